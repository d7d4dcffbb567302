"""Changes of parts in use: seen with their effect first, put in force, taken back for a day."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from html import unescape

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import Engine
from sqlmodel import col, select

from tests.webapp.office.test_shop_pages import form_at
from webapp.builds.choice.build_choice import read_choice
from webapp.builds.solving.figures import solve_states
from webapp.builds.solving.solver_inputs import assemble
from webapp.catalogue.reading.as_changed import load_as_changed
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.row_changes import RowChange
from webapp.catalogue.schema.part_kinds import PART_KINDS, ForkData
from webapp.catalogue.tables import Edit, Part
from webapp.catalogue.writing.change_sets import ChangedMeanwhile
from webapp.catalogue.writing.parts import put_part, put_part_price
from webapp.common.errors import Conflict
from webapp.common.storage.database import reading, writing
from webapp.office.forms.data_form import texts_of
from webapp.office.part_changes.drafts import (
    Proposal,
    proposals,
    propose,
    put_in_force,
    take_back,
)
from webapp.office.part_changes.effect import effects_of

AT = datetime(2026, 11, 1, 9, tzinfo=UTC)
DAY = date(2026, 11, 1)
WHO = "Edda"


def usual(shop: Engine, kind: str = "fork") -> Part:
    """The usual part of a kind of the Knapweed."""
    with reading(shop) as session:
        part = load_catalogue(session, "knapweed").standard(kind)
        assert part is not None
        return session.exec(select(Part).where(Part.kind == kind, Part.slug == part.slug)).one()


def longer(shop: Engine, by: float = 20.0, **more: float) -> Proposal:
    """A draft that makes the usual fork longer."""
    fork = usual(shop)
    data = {**fork.data, "axle_to_crown": fork.data["axle_to_crown"] + by, **more}

    def work() -> None:
        put_part(session, who=WHO, kind="fork", slug=fork.slug, name=fork.name, data=data)

    with writing(shop) as session:
        made = propose(session, work, who=WHO, at=AT, title="Longer", address="/")
    assert made is not None
    return made


def test_a_longer_fork_is_a_draft_that_tells_what_each_build_would_be(shop: Engine) -> None:
    """Independent way: the build solved alone with the fork's data changed in the database."""
    before = usual(shop)
    made = longer(shop)
    assert made.is_draft
    assert usual(shop).data == before.data
    with reading(shop) as session:
        (found, *others) = effects_of(session, made.changes, today=DAY)
        changed = load_as_changed(session, "knapweed", made.changes, on=DAY)
    assert found.name == "Knapweed"
    assert all(each.is_none for each in others if before.slug not in str(each))
    assert found.builds is not None
    with writing(shop) as session:
        put_in_force(session, made.number, who=WHO, at=AT)
    with reading(shop) as session:
        real = load_catalogue(session, "knapweed", on=DAY)
    assert {k: [(p.slug, p.data, p.price, p.standard, p.retired) for p in v]
            for k, v in real.parts.items()} == {
            k: [(p.slug, p.data, p.price, p.standard, p.retired) for p in v]
            for k, v in changed.parts.items()}  # fmt: skip
    row = next(each for each in found.rows if each.name == "Head angle")
    for size, (_, after, _) in zip(real.sizes, row.cells, strict=True):
        choice = read_choice(real, {"size": [size.slug]}).choice
        states = solve_states(assemble(real, choice), standover_at=0.0)
        assert float(after) == pytest.approx(states["unloaded"].figures["head_angle"], abs=0.051)


def test_undo_takes_all_of_it_back_within_a_day_and_is_in_the_history(shop: Engine) -> None:
    before = usual(shop).data
    made = longer(shop)
    with writing(shop) as session:
        put_in_force(session, made.number, who=WHO, at=AT)
    with reading(shop) as session:
        assert [one.number for one in proposals(session, at=AT)] == [made.number]
        assert proposals(session, at=AT + timedelta(days=1, seconds=1)) == ()
    with writing(shop) as session, pytest.raises(Conflict):
        take_back(session, made.number, who=WHO, at=AT + timedelta(days=2))
    with writing(shop) as session:
        take_back(session, made.number, who="Holt", at=AT + timedelta(hours=23))
    assert usual(shop).data == before
    with reading(shop) as session:
        last = session.exec(select(Edit).order_by(col(Edit.id).desc())).first()
        assert last is not None
        assert (last.who, last.row_key, (last.after or {})["data"]) == (
            "Holt", f"fork/{usual(shop).slug}", before)  # fmt: skip
    with writing(shop) as session, pytest.raises(Conflict):
        take_back(session, made.number, who=WHO, at=AT)  # it is taken back already


def test_what_another_changed_meanwhile_stays_or_is_told(shop: Engine) -> None:
    fork, made = usual(shop), longer(shop)
    offset = fork.data["offset"] + 1
    with writing(shop) as session:  # another field: both stand
        put_part(session, who="Holt", kind="fork", slug=fork.slug, name=fork.name,
                 data={**fork.data, "offset": offset})  # fmt: skip
    with writing(shop) as session:
        put_in_force(session, made.number, who=WHO, at=AT)
    now = usual(shop).data
    assert (now["offset"], now["axle_to_crown"]) == (offset, fork.data["axle_to_crown"] + 20)
    second = longer(shop, 5.0)
    with writing(shop) as session:  # the same field
        put_part(session, who="Holt", kind="fork", slug=fork.slug, name=fork.name,
                 data={**now, "axle_to_crown": 500.0})  # fmt: skip
    with pytest.raises(ChangedMeanwhile, match="axle_to_crown"), writing(shop) as session:
        put_in_force(session, second.number, who=WHO, at=AT)
    assert usual(shop).data["axle_to_crown"] == 500.0
    with writing(shop) as session:
        put_in_force(session, second.number, who=WHO, at=AT, over=True)
    assert usual(shop).data["axle_to_crown"] == now["axle_to_crown"] + 5


def test_what_is_not_in_use_takes_hold_at_once(shop: Engine) -> None:
    fork = usual(shop)
    made: list[Proposal | None] = []
    with writing(shop) as session:
        made += [
            propose(session, work, who=WHO, at=AT, title="t", address="/")
            for work in (
                lambda: put_part(session, who=WHO, kind="fork", slug="new", name="New",
                                 data=fork.data),
                lambda: put_part(session, who=WHO, kind="fork", slug=fork.slug, name="Called so",
                                 data=fork.data),
                lambda: put_part_price(session, who=WHO, price_list="eur-2026", kind="fork",
                                       slug="new", minor=100),
                lambda: None,
                lambda: put_part_price(session, who=WHO, price_list="eur-2026", kind="fork",
                                       slug=fork.slug, minor=100),
            )
        ]  # fmt: skip
    assert [one and one.state for one in made] == ["in force"] * 3 + [None, "draft"]
    assert usual(shop).name == "Called so"
    first = made[0]
    assert first is not None
    with pytest.raises(ChangedMeanwhile, match="priced since"), writing(shop) as session:
        take_back(session, first.number, who=WHO, at=AT)


def test_a_part_of_no_default_build_is_looked_at_wherever_it_can_stand(shop: Engine) -> None:
    """A saddle so tall that no rider's height is left begins to fail in its own builds alone."""
    with reading(shop) as session:
        catalogue = load_catalogue(session, "knapweed")
        other = next(p for p in catalogue.offered("stem") if not p.standard and p.slug != "40-0")
        row = session.exec(select(Part).where(Part.kind == "stem", Part.slug == other.slug)).one()
    wrong = {**row.data, "bar_diameter": 25.4}
    was = {"name": row.name, "state": row.state, "replaced_by": "", "data": row.data}
    change = RowChange(
        table="part", key=f"stem/{row.slug}", before=was, after=was | {"data": wrong}
    )
    with reading(shop) as session:
        (found,) = (e for e in effects_of(session, [change], today=DAY) if e.name == "Knapweed")
    assert found.builds is not None
    sizes = len(found.sizes)
    assert found.builds.lost == sum(f.count for f in found.builds.flips if f.worse) > 0
    assert found.builds.lost == sizes * 3  # every size at three axle positions
    assert found.rows == ()


def part_form(app: FastAPI, builder: TestClient, kind: str, slug: str) -> dict[str, str]:
    """A part's form as a browser sends it back unchanged."""
    with reading(app.state.engine) as session:
        row = session.exec(select(Part).where(Part.kind == kind, Part.slug == slug)).one()
    page = builder.get(f"/office/parts/{kind}/{slug}").text
    texts = texts_of(PART_KINDS[kind], row.data) | {"part_name": row.name}
    for name, value in re.findall(
        r'name="((?:part_price|place:[^"]+))"[^>]*? value="([^"]*)"', page
    ):
        texts[unescape(name)] = value
    for tick in re.findall(r'<input[^>]*type="checkbox"[^>]*>', page):
        if " checked" in tick:
            texts[unescape(re.findall(r'name="([^"]+)"', tick)[0])] = "yes"
    return form_at(builder, f"/office/parts/{kind}/{slug}", texts)


def test_the_pages_lead_from_the_form_to_the_effect_and_back(
    builder: TestClient, app: FastAPI
) -> None:
    builder.follow_redirects = True
    fork = usual(app.state.engine)
    at = f"/office/parts/fork/{fork.slug}"
    form = part_form(app, builder, "fork", fork.slug)
    assert builder.post(at, data=form, follow_redirects=False).headers["location"] == (
        "/office/parts?kind=fork")  # fmt: skip
    data = ForkData.model_validate(fork.data)
    made = builder.post(
        at, data=form | {"axle_to_crown": f"{data.axle_to_crown + 25}"}, follow_redirects=False
    )
    assert made.headers["location"] == "/office/part-changes/1"
    page = builder.get("/office/part-changes/1").text
    assert "Effect on the Knapweed" in page
    assert "Head angle" in page
    assert "axle to crown" in page
    assert fork.name in builder.get("/office/part-changes").text
    assert usual(app.state.engine).data == fork.data
    kept = builder.post("/office/part-changes/1/put-in-force")
    assert kept.status_code == 200
    assert "Take it back" in kept.text
    assert usual(app.state.engine).data["axle_to_crown"] == data.axle_to_crown + 25
    assert builder.post("/office/part-changes/1/put-in-force").status_code == 409
    assert builder.post("/office/part-changes/1/take-back").status_code == 200
    assert usual(app.state.engine).data == fork.data
    assert builder.get("/office/part-changes/99").status_code == 404
    builder.post(f"{at}/retire", data={})
    page = builder.get("/office/part-changes/2").text
    assert "It is the usual fork of the Knapweed" in page
    others = re.findall(r'<option value="([a-z0-9-]+)"', page)
    with_other = builder.post(f"{at}/retire", data={"replaced_by": others[0], "instead_of": "2"})
    assert "Fork: " in with_other.text
    number = with_other.url.path.rpartition("/")[2]
    assert builder.get("/office/part-changes/2").status_code == 404 or number == "2"
    assert builder.post(f"/office/part-changes/{number}/put-in-force").status_code == 200
    assert usual(app.state.engine).slug == others[0]
    builder.post(f"/office/part-changes/{number}/take-back")
    assert usual(app.state.engine).slug == fork.slug
