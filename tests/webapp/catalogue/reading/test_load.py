"""The way out: how many queries, what is remembered, what opens and what does not."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import FrozenInstanceError
from datetime import date

import pytest
from sqlalchemy import Engine, event

from webapp.catalogue.reading.load import (
    list_models,
    list_revisions,
    load_catalogue,
    models_beside,
    revisions_beside,
)
from webapp.catalogue.reading.views import Catalogue, UnknownChoice
from webapp.catalogue.schema.part_kinds import ForkData, StemData
from webapp.catalogue.writing.models import put_draft, put_model, withdraw
from webapp.catalogue.writing.parts import put_part_price
from webapp.common.errors import NotFound
from webapp.common.storage.database import reading, writing

WHO = "the builder"
FIRST_READ = 10  # stamp, model, revision, price list, prices, sizes, parts, settings, styles
DAY = date(2026, 6, 1)


@contextmanager
def queries(engine: Engine) -> Iterator[list[str]]:
    """The SELECTs sent to the database meanwhile."""
    sent: list[str] = []

    def note(_connection: object, _cursor: object, statement: str, *_rest: object) -> None:
        if statement.startswith("SELECT"):
            sent.append(statement)

    event.listen(engine, "before_cursor_execute", note)
    yield sent
    event.remove(engine, "before_cursor_execute", note)


def test_few_queries_and_then_one(shop: Engine) -> None:
    with queries(shop) as sent, reading(shop) as session:
        first = load_catalogue(session, "knapweed", on=DAY)
    assert len(sent) == FIRST_READ
    with queries(shop) as sent, reading(shop) as session:
        second = load_catalogue(session, "knapweed", on=DAY)
    assert len(sent) == 1
    assert second is first


def test_lists_take_one_or_two_queries(shop: Engine) -> None:
    with queries(shop) as sent, reading(shop) as session:
        list_models(session)
    assert len(sent) == 1
    with queries(shop) as sent, reading(shop) as session:
        list_revisions(session, "knapweed")
    assert len(sent) == 2


def test_what_lies_beside_a_catalogue_is_read_once_and_anew_after_an_edit(shop: Engine) -> None:
    def beside(count: int) -> tuple[list[str], list[int]]:
        with reading(shop) as session:
            catalogue = load_catalogue(session, "burdock")
            with queries(shop) as sent:
                models = models_beside(session, catalogue)
                revisions = revisions_beside(session, catalogue)
        assert len(sent) == count
        return [each.name for each in models], [each.number for each in revisions]

    assert beside(3) == beside(0) == (["Knapweed", "Burdock"], [1])
    with writing(shop) as session:
        put_model(session, who=WHO, slug="knapweed", name="Elsewhere")
    assert beside(3) == (["Elsewhere", "Burdock"], [1])


def test_an_edit_is_seen_at_once(engine: Engine) -> None:
    def price() -> int:
        with reading(engine) as session:
            found = load_catalogue(session, "knapweed").part("stem", "40-0").price
        assert found is not None
        return found.minor

    assert price() == 6900
    with writing(engine) as session:
        put_part_price(
            session, who=WHO, price_list="eur-2026", kind="stem", slug="40-0", minor=7000
        )
    assert price() == 7000


def test_an_abandoned_edit_is_never_seen(shop: Engine) -> None:
    with pytest.raises(RuntimeError, match="changed my mind"), writing(shop) as session:
        put_model(session, who=WHO, slug="knapweed", name="Knapweed the Great")
        assert load_catalogue(session, "knapweed").model.name == "Knapweed the Great"
        raise RuntimeError("changed my mind")
    with reading(shop) as session:
        assert load_catalogue(session, "knapweed").model.name == "Knapweed"


def test_databases_do_not_share_what_is_remembered(engine: Engine, shop: Engine) -> None:
    with writing(shop) as session:
        put_model(session, who=WHO, slug="knapweed", name="Elsewhere")
    with reading(shop) as here, reading(engine) as there:
        assert load_catalogue(here, "knapweed").model.name == "Elsewhere"
        assert load_catalogue(there, "knapweed").model.name == "Knapweed"


def test_withdrawn_opens_by_number_only(shop: Engine) -> None:
    with writing(shop) as session:
        withdraw(session, who=WHO, model="knapweed", revision=2, reason="Misprint.", on=DAY)
    with reading(shop) as session:
        assert load_catalogue(session, "knapweed").revision.number == 1
        old = load_catalogue(session, "knapweed", 2).revision
        assert (old.state, old.withdrawn_on, old.withdrawn_reason) == (
            "withdrawn",
            DAY,
            "Misprint.",
        )
    with writing(shop) as session:
        withdraw(session, who=WHO, model="burdock", revision=1, reason="Misprint.", on=DAY)
    with reading(shop) as session:
        assert [model.slug for model in list_models(session)] == ["knapweed"]
        with pytest.raises(NotFound, match="a model with a published revision"):
            load_catalogue(session, "burdock")


def test_drafts_open_only_when_asked_for(shop: Engine, knapweed: Catalogue) -> None:
    with writing(shop) as session:
        put_draft(session, who=WHO, model="knapweed", data=knapweed.revision.data)
    with reading(shop) as session:
        assert load_catalogue(session, "knapweed", 3, drafts=True).revision.state == "draft"
        assert load_catalogue(session, "knapweed", drafts=True).revision.number == 2
        with pytest.raises(NotFound, match="still a draft"):
            load_catalogue(session, "knapweed", 3)
        assert [r.number for r in list_revisions(session, "knapweed")] == [2, 1]
        assert [r.number for r in list_revisions(session, "knapweed", drafts=True)] == [3, 2, 1]


def test_unknown_choices_name_what_exists(shop: Engine, knapweed: Catalogue) -> None:
    with pytest.raises(UnknownChoice) as size:
        knapweed.size("3xl")
    assert (size.value.field, size.value.value) == ("size", "3xl")
    assert size.value.remedy == "one of xs, s, m, l, xl, xxl"
    with pytest.raises(UnknownChoice, match="one of suspension-130, rigid-long"):
        knapweed.part("fork", "rigid-tourer")
    with pytest.raises(UnknownChoice, match="one of fork, headset"):
        knapweed.part("horn", "loud")
    with pytest.raises(UnknownChoice, match="one of fork, headset"):
        knapweed.standard("horn")
    with pytest.raises(UnknownChoice, match="one of trail, in-between"):
        knapweed.style("racing")
    with reading(shop) as session, pytest.raises(NotFound, match=r"one of .*burdock"):
        load_catalogue(session, "teasel")
    with reading(shop) as session, pytest.raises(NotFound, match="one of 1, 2"):
        load_catalogue(session, "knapweed", 99)


def test_views_are_typed_and_frozen(knapweed: Catalogue) -> None:
    assert knapweed.data(ForkData, "suspension-130").travel == 130
    assert isinstance(knapweed.part("stem", "40-0").data, StemData)
    with pytest.raises(FrozenInstanceError):
        knapweed.currency = "USD"  # type: ignore[misc]
    with pytest.raises(TypeError):
        knapweed.parts["fork"] = ()  # type: ignore[index]


def test_order_is_the_builders(knapweed: Catalogue) -> None:
    assert [size.slug for size in knapweed.sizes] == ["xs", "s", "m", "l", "xl", "xxl"]
    assert knapweed.size("xl").surcharge.minor == 6000
    assert knapweed.size("m").surcharge.minor == 0
    assert knapweed.parts["fork"][0].slug == "suspension-130"
    assert knapweed.settings.tax_percent == 19
