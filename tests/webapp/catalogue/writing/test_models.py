"""The validated way in: drafts, publishing, parts, prices, and the memory of edits."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from sqlalchemy import Engine
from sqlalchemy.exc import IntegrityError
from sqlmodel import Session, SQLModel, col, select

from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.tables import Edit, FrameModel, FrameSize, Price
from webapp.catalogue.writing.models import (
    publish,
    put_draft,
    put_model,
    put_size,
    remove_size,
    withdraw,
)
from webapp.catalogue.writing.parts import (
    put_frame_price,
    put_offer,
    put_part,
    put_part_price,
    put_price_list,
    remove_offer,
    restore_part,
    retire_part,
)
from webapp.catalogue.writing.shop import put_style
from webapp.common.errors import Conflict, Invalid, NotFound
from webapp.common.storage.database import reading, writing

WHO = "the builder"
DAY = date(2026, 6, 1)


def draft_like(session: Session, catalogue: Catalogue, **changes: Any) -> int:
    """A draft with the medium of the published revision, changed."""
    model = catalogue.model.slug
    draft = put_draft(session, who=WHO, model=model, data=catalogue.revision.data)
    medium = catalogue.size("m").data.model_dump() | changes
    put_size(
        session,
        who=WHO,
        model=model,
        revision=draft.number,
        slug="m",
        name="Medium",
        position=0,
        data=medium,
    )
    return draft.number


def last_edit(session: Session) -> Edit:
    found = session.exec(select(Edit).order_by(col(Edit.id).desc())).first()
    assert found is not None
    return found


def test_draft_becomes_published_and_never_changes(engine: Engine) -> None:
    with reading(engine) as session:
        knapweed = load_catalogue(session, "knapweed")
    with writing(engine) as session:
        number = draft_like(session, knapweed)
        assert number == 3
        publish(session, who=WHO, model="knapweed", revision=number, on=DAY)
    with reading(engine) as session:
        newest = load_catalogue(session, "knapweed").revision
        assert (newest.number, newest.state, newest.published_on) == (3, "published", DAY)
    medium = knapweed.size("m").data
    attempts = (
        lambda s: put_size(
            s, who=WHO, model="knapweed", revision=3, slug="m", name="M", position=0, data=medium
        ),
        lambda s: remove_size(s, who=WHO, model="knapweed", revision=3, slug="m"),
        lambda s: publish(s, who=WHO, model="knapweed", revision=3, on=DAY),
    )
    for attempt in attempts:
        with writing(engine) as session, pytest.raises(Conflict, match="begin a new draft"):
            attempt(session)


def test_one_draft_at_a_time(shop: Engine, knapweed: Catalogue) -> None:
    with writing(shop) as session:
        data = knapweed.revision.data
        first = put_draft(session, who=WHO, model="knapweed", data=data, changelog="a")
        again = put_draft(session, who=WHO, model="knapweed", data=data, changelog="b")
        assert first.number == again.number == 3
        assert again.changelog == "b"


def test_contradictory_size_stays_a_draft(shop: Engine, knapweed: Catalogue) -> None:
    with writing(shop) as session:
        number = draft_like(session, knapweed, head_angle=65.9)
        with pytest.raises(Invalid) as caught:
            publish(session, who=WHO, model="knapweed", revision=number, on=DAY)
    assert caught.value.field == "m.closure"
    assert str(caught.value.value).endswith(" mm")
    # The published medium is drawn at 68.4° with a closure of −0.18 mm; a degree moves
    # the front axle by 4.7 mm, so the angle that closes it is 0.04° below the printed one.
    assert "which rounding can do; a head angle of 68.36° would" in caught.value.remedy


def test_sizes_that_cannot_be_frames_are_said_together(shop: Engine, knapweed: Catalogue) -> None:
    with writing(shop) as session:
        number = draft_like(session, knapweed, slot_length=5)  # drawn at slot position 12
        bad = knapweed.size("l").data.model_dump() | {"stack": 641}
        put_size(
            session, who=WHO, model="knapweed", revision=number, slug="l", name="Large",
            position=1, data=bad,
        )  # fmt: skip
        with pytest.raises(Invalid) as caught:
            publish(session, who=WHO, model="knapweed", revision=number, on=DAY)
    fields = [problem.field for problem in caught.value.problems]
    assert fields == ["m.drawn_with.slot_position", "l.closure"]


def test_nothing_is_published_without_sizes(shop: Engine, knapweed: Catalogue) -> None:
    with writing(shop) as session:
        number = draft_like(session, knapweed)
        remove_size(session, who=WHO, model="knapweed", revision=number, slug="m")
        with pytest.raises(Invalid, match="at least one size"):
            publish(session, who=WHO, model="knapweed", revision=number, on=DAY)


def test_withdrawn_with_a_reason(shop: Engine) -> None:
    with writing(shop) as session:
        with pytest.raises(Invalid, match="customers will read"):
            withdraw(session, who=WHO, model="knapweed", revision=2, reason=" ", on=DAY)
        withdraw(session, who=WHO, model="knapweed", revision=2, reason="Misprint.", on=DAY)
        with pytest.raises(Conflict, match="this one is withdrawn"):
            withdraw(session, who=WHO, model="knapweed", revision=2, reason="Again.", on=DAY)


def test_edits_are_remembered(shop: Engine, knapweed: Catalogue) -> None:
    old = knapweed.part("stem", "40-0")
    data = old.data.model_dump() | {"clamp_height": 38}
    with writing(shop) as session:
        put_part(session, who=WHO, kind="stem", slug="40-0", name=old.name, data=data)
    with reading(shop) as session:
        edit = last_edit(session)
        assert (edit.who, edit.row_table, edit.row_key) == (WHO, "part", "stem/40-0")
        assert edit.before is not None
        assert edit.after is not None
        assert edit.before["data"]["clamp_height"] == 40
        assert edit.after["data"]["clamp_height"] == 38
        number = edit.id
    with writing(shop) as session:
        put_part(session, who=WHO, kind="stem", slug="40-0", name=old.name, data=data)
    with reading(shop) as session:
        assert last_edit(session).id == number, "an edit that changes nothing is none"


def test_removal_is_remembered(shop: Engine) -> None:
    with writing(shop) as session:
        remove_offer(session, who=WHO, model="knapweed", kind="pedal", slug="clip")
        edit = last_edit(session)
        assert edit.before is not None
        assert edit.after is None
    with reading(shop) as session:
        offered = [p.slug for p in load_catalogue(session, "knapweed").offered("pedal")]
    assert offered == ["flat"]


def test_refused_edit_leaves_nothing(shop: Engine, knapweed: Catalogue) -> None:
    with reading(shop) as session:
        before = last_edit(session).id
    with pytest.raises(Invalid), writing(shop) as session:
        draft_like(session, knapweed)
        put_part(session, who=WHO, kind="stem", slug="new", name="new", data={})
    with reading(shop) as session:
        assert last_edit(session).id == before
        with pytest.raises(NotFound):
            load_catalogue(session, "knapweed", 3, drafts=True)


def test_one_usual_choice_of_a_kind(shop: Engine) -> None:
    with writing(shop) as session:
        put_offer(
            session, who=WHO, model="knapweed", kind="stem", slug="50-0", position=2, standard=True
        )
    with reading(shop) as session:
        stems = load_catalogue(session, "knapweed").parts["stem"]
        assert [stem.slug for stem in stems if stem.standard] == ["50-0"]
        burdock = load_catalogue(session, "burdock").standard("stem")
        assert burdock is not None
        assert burdock.slug == "80-6"


def test_retired_part_opens_and_is_not_offered(shop: Engine) -> None:
    with writing(shop) as session:
        retire_part(session, who=WHO, kind="stem", slug="40-0", replaced_by="50-0")
    with reading(shop) as session:
        catalogue = load_catalogue(session, "knapweed")
        stem = catalogue.part("stem", "40-0")
        assert stem.retired
        assert stem.replaced_by == "50-0"
        assert "40-0" not in [part.slug for part in catalogue.offered("stem")]
        assert catalogue.standard("stem") is None
    with writing(shop) as session:
        restore_part(session, who=WHO, kind="stem", slug="40-0")
    with reading(shop) as session:
        standard = load_catalogue(session, "knapweed").standard("stem")
        assert standard is not None
        assert standard.slug == "40-0"


@pytest.mark.parametrize("replacement", ["40-0", "35-0"])
def test_replacement_must_be_another_live_part(shop: Engine, replacement: str) -> None:
    with writing(shop) as session:
        retire_part(session, who=WHO, kind="stem", slug="35-0")
        with pytest.raises(Invalid, match="another stem that is not retired"):
            retire_part(session, who=WHO, kind="stem", slug="40-0", replaced_by=replacement)


def test_price_list_of_the_day(shop: Engine) -> None:
    with writing(shop) as session:
        put_price_list(
            session,
            who=WHO,
            slug="eur-2027",
            name="Prices 2027",
            currency="EUR",
            valid_from=date(2027, 1, 1),
            tax_included=True,
        )
        put_frame_price(session, who=WHO, price_list="eur-2027", model="knapweed", minor=155_000)
        put_part_price(
            session, who=WHO, price_list="eur-2027", kind="stem", slug="40-0", minor=7100
        )
    with reading(shop) as session:
        now = load_catalogue(session, "knapweed", on=date(2026, 12, 31))
        then = load_catalogue(session, "knapweed", on=date(2027, 1, 1))
        assert (now.price_list, then.price_list) == ("Prices 2026", "Prices 2027")
        assert (now.frame_price.minor, then.frame_price.minor) == (149_000, 155_000)
        price = then.part("stem", "40-0").price
        assert price is not None
        assert price.minor == 7100
        assert then.part("stem", "50-0").price is None
        with pytest.raises(NotFound, match="a day on which a price list is valid"):
            load_catalogue(session, "knapweed", on=date(2020, 1, 1))


@pytest.mark.parametrize("minor", [-1, 10**9, 12.5, True])
def test_impossible_prices(shop: Engine, minor: Any) -> None:
    with writing(shop) as session, pytest.raises(Invalid, match="whole number of minor units"):
        put_part_price(
            session, who=WHO, price_list="eur-2026", kind="stem", slug="40-0", minor=minor
        )


def test_price_list_currency_and_days(shop: Engine) -> None:
    def attempt(session: Session, **changes: Any) -> None:
        values: dict[str, Any] = {"currency": "EUR", "valid_from": DAY, "valid_to": None} | changes
        put_price_list(session, who=WHO, slug="eur-2026", name="x", tax_included=True, **values)

    with writing(shop) as session:
        with pytest.raises(Conflict, match="begin another list"):
            attempt(session, currency="CHF")
        with pytest.raises(Invalid, match="not before valid_from"):
            attempt(session, valid_to=date(2020, 1, 1))
        with pytest.raises(Invalid, match="one of AUD"):
            attempt(session, currency="XXX")


def test_names_that_do_not_exist_are_answered_with_those_that_do(shop: Engine) -> None:
    with writing(shop) as session:
        with pytest.raises(NotFound, match=r"one of .*knapweed"):
            put_draft(session, who=WHO, model="teasel", data={})
        with pytest.raises(NotFound, match="one of 1, 2"):
            publish(session, who=WHO, model="knapweed", revision=9, on=DAY)
        with pytest.raises(NotFound, match=r"one of .*rigid-long"):
            retire_part(session, who=WHO, kind="fork", slug="none")
        with pytest.raises(NotFound, match="one of eur-2026"):
            put_frame_price(session, who=WHO, price_list="x", model="knapweed", minor=1)
        with pytest.raises(Invalid, match="one of fork"):
            put_part(session, who=WHO, kind="horn", slug="a", name="a", data={})


@pytest.mark.parametrize("slug", ["", "Knap weed", "knapweed-", "é", "a" * 61])
def test_slugs_are_made_for_addresses(shop: Engine, slug: str) -> None:
    with writing(shop) as session:
        with pytest.raises(Invalid) as caught:
            put_model(session, who=WHO, slug=slug, name="A")
        with pytest.raises(Invalid):
            put_style(session, who=WHO, slug=slug, name="A", position=0, windows={})
    assert caught.value.field == "model.slug"
    assert caught.value.remedy.startswith("name in addresses")


@pytest.mark.parametrize(
    ("row", "refusal"),
    [
        (Price(price_list_id=1, minor=1), "CHECK constraint failed: ck_price_one_thing"),
        (
            FrameSize(revision_id=999, slug="x", name="x", position=0, data={}),
            "FOREIGN KEY constraint failed",
        ),
        (FrameModel(slug="knapweed", name="Another"), "UNIQUE constraint failed"),
    ],
)
def test_tables_refuse_what_must_never_be(shop: Engine, row: SQLModel, refusal: str) -> None:
    with pytest.raises(IntegrityError, match=refusal), writing(shop) as session:
        session.add(row)
