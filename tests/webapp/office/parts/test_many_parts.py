"""Many parts kept at once are kept and remembered as one by one, whole and in a moment."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from typing import Any

import pytest
import sqlalchemy as sa
from sqlalchemy import Engine
from sqlmodel import col, select

from tests.webapp.office.parts.test_csv_import import DAY, HEAD, a_file, saddle, tried
from webapp.catalogue import setup
from webapp.catalogue.tables import Edit, FrameModel, Offer, Part, Price, Stamp
from webapp.catalogue.writing import many_parts
from webapp.catalogue.writing.models import put_model
from webapp.catalogue.writing.parts import put_offer, put_part, put_part_price
from webapp.common.errors import Conflict
from webapp.common.storage.database import reading, writing
from webapp.office.parts.csv_files import read_file
from webapp.office.parts.csv_import import Trial, save_rows, try_file

AT = datetime(2026, 3, 1, 9, tzinfo=UTC)


def kept(shop: Engine, text: str) -> Trial:
    trial = tried(shop, text)
    with writing(shop) as session:
        save_rows(session, trial, who="Edda", at=AT)
    return trial


def one_by_one(shop: Engine, trial: Trial) -> None:
    """What `save_rows` stands for, by the ways in for a single part."""
    with writing(shop) as session:
        for place, row in enumerate(trial.rows, start=1):
            if row.outcome not in ("new", "changed"):
                continue
            names = {"who": "Edda", "kind": row.kind, "slug": row.slug}
            part = put_part(session, name=row.name, data=row.data, **names)
            if row.minor is not None:
                listed = trial.known.price_list
                put_part_price(session, price_list=listed, minor=row.minor, **names)
            for model, usual in row.offers:
                own = session.exec(
                    select(Offer.position)
                    .join(FrameModel, col(FrameModel.id) == col(Offer.model_id))
                    .where(Offer.part_id == part.id, FrameModel.slug == model)
                ).first()
                position = 1000 + place if own is None else own
                put_offer(session, model=model, position=position, standard=usual, **names)


def all_rows(shop: Engine) -> dict[str, list[Any]]:
    """All rows without their numbers, whatever order they were written in."""
    with reading(shop) as session:
        slugs = {part.id: part.slug for part in session.exec(select(Part)).all()}
        found: dict[str, list[Any]] = {}
        for table in (Part, Price, Offer, Edit):
            rows = [row.model_dump(exclude={"id", "at"}) for row in session.exec(select(table))]
            for row in rows:
                for values in (row, row.get("before"), row.get("after")):
                    if values and "part_id" in values:
                        values["part_id"] = slugs.get(values["part_id"])
            found[table.__name__] = sorted(json.dumps(row, sort_keys=True) for row in rows)
    return found


def changes(shop: Engine) -> str:
    """New parts, changed ones, others' prices, and two new usual choices of one kind."""
    with reading(shop) as session:
        part = session.exec(
            select(Part).where(Part.kind == "saddle").order_by(col(Part.id))
        ).first()
    assert part
    told = [part.data.get(name) for name in ("rail_forward", "rail_back", "length", "width")]
    numbers = ",".join("" if value is None else str(value) for value in told)
    return "\n".join(
        [
            HEAD,
            *(saddle(number) for number in range(5)),
            saddle(7).replace(",knapweed,,", ",knapweed burdock,knapweed,"),
            saddle(8).replace(",knapweed,,", ",knapweed,knapweed,"),
            f"saddle,{part.slug},Another name,77.00,knapweed,knapweed,47,{numbers}",
        ]
    )


def test_it_keeps_what_is_kept_one_by_one(shop: Engine, tmp_path: Any) -> None:
    import shutil

    from webapp.common.storage.database import make_engine

    shop.dispose()
    shutil.copy(tmp_path / "shop.sqlite", tmp_path / "other.sqlite")
    other = make_engine(f"sqlite:///{tmp_path / 'other.sqlite'}")
    text = changes(shop)
    trial = kept(shop, text)
    assert {row.outcome for row in trial.rows} == {"new", "changed"}
    one_by_one(other, tried(other, text))
    made, expected = all_rows(shop), all_rows(other)
    for table in expected:
        assert sorted(set(made[table]) ^ set(expected[table])) == []
    assert made == expected
    other.dispose()


def test_on_both_databases(empty_engine: Engine) -> None:
    setup.prepare(empty_engine)
    kept(empty_engine, changes(empty_engine))
    assert {row.outcome for row in tried(empty_engine, changes(empty_engine)).rows} <= {
        "unchanged",
        "changed",  # two usual choices of one kind: the last one stays
    }


def test_few_statements_are_made_while_others_wait(shop: Engine) -> None:
    """Work under the lock is counted, not timed: it must not grow with every row."""
    trial = tried(shop, a_file(1500, bad=0))
    statements: list[str] = []
    with writing(shop) as session:

        @sa.event.listens_for(session.connection(), "before_cursor_execute")
        def count(_c: object, _cursor: object, words: str, *_: object) -> None:
            statements.append(words)

        save_rows(session, trial, who="Edda", at=AT)
    assert len(statements) < 40
    with reading(shop) as session:
        made = session.exec(select(Part).where(col(Part.slug).like("saddle-1___"))).all()
        assert len(made) == 600


def test_a_catalogue_changed_since_the_trial_is_looked_at_anew(shop: Engine) -> None:
    trial = tried(shop, a_file(20, bad=0))
    with writing(shop) as session:
        put_model(session, who="Holt", slug="own", name="Own")
    before = all_rows(shop)
    with pytest.raises(Conflict), writing(shop) as session:
        save_rows(session, trial, who="Edda", at=AT)
    assert all_rows(shop) == before


def test_nothing_is_half_kept(shop: Engine, monkeypatch: pytest.MonkeyPatch) -> None:
    def breaks(*_: object) -> None:
        raise RuntimeError("the power went")

    trial = tried(shop, a_file(20, bad=0))
    before = all_rows(shop)
    monkeypatch.setattr(many_parts, "_put_offers", breaks)
    with pytest.raises(RuntimeError), writing(shop) as session:
        save_rows(session, trial, who="Edda", at=AT)
    assert all_rows(shop) == before


def test_caches_see_that_the_catalogue_is_new(shop: Engine) -> None:
    def stamp() -> str:
        with reading(shop) as session:
            return session.exec(select(Stamp.token)).one()

    before = stamp()
    kept(shop, a_file(20, bad=0))
    assert stamp() != before


def test_a_trial_writes_nothing(shop: Engine) -> None:
    before = all_rows(shop)
    with reading(shop) as session:
        try_file(session, read_file(a_file(20).encode()), day=DAY)
    assert all_rows(shop) == before
