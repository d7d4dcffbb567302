"""The first start: from nothing to a filled catalogue, once, whoever comes first."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from sqlalchemy import Engine, inspect
from sqlmodel import col, func, select

from webapp.catalogue import demo, setup
from webapp.catalogue.reading.load import list_models
from webapp.catalogue.tables import Part
from webapp.catalogue.writing.shop import put_settings
from webapp.common.errors import Invalid
from webapp.common.paths import DEMO_DATA
from webapp.common.storage.database import reading, writing


def count(engine: Engine) -> int:
    with reading(engine) as session:
        return session.exec(select(func.count(col(Part.id)))).one()


def test_filled_once(empty_engine: Engine) -> None:
    assert setup.prepare(empty_engine)
    parts = count(empty_engine)
    assert parts > 100
    assert not setup.prepare(empty_engine)
    assert count(empty_engine) == parts


def test_two_at_once(empty_engine: Engine) -> None:
    with ThreadPoolExecutor(2) as pool:
        outcomes = list(pool.map(lambda _: setup.prepare(empty_engine), range(2)))
    assert sorted(outcomes) == [False, True]


def test_a_shop_that_has_begun_is_left_alone(
    empty_engine: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(setup, "load_demo", lambda _session: None)
        setup.prepare(empty_engine)
    settings = {
        "letterhead": {
            "name": "A",
            "lines": [],
            "email": "a@b.example",
            "web": "https://b.example",
        },
        "tax_name": "VAT",
        "tax_percent": "7.7",
        "deposit_percent": 0,
        "quote_valid_days": 30,
        "lead_time_weeks": 4,
        "cautions": [],
        "fit_notice": "",
    }
    with writing(empty_engine) as session:
        put_settings(session, who="the builder", data=settings)
    assert not setup.prepare(empty_engine)
    with reading(empty_engine) as session:
        assert list_models(session) == ()


def test_broken_files_leave_nothing(
    empty_engine: Engine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for file in DEMO_DATA.rglob("*.toml"):
        copy = tmp_path / file.relative_to(DEMO_DATA)
        copy.parent.mkdir(exist_ok=True)
        text = file.read_text(encoding="utf-8")
        copy.write_text(text.replace("stack = 618", "stack = 6180"), encoding="utf-8")
    monkeypatch.setattr(demo, "DEMO_DATA", tmp_path)
    with pytest.raises(
        Invalid,
        match=r"knapweed/revision_1.toml, line 152: knapweed\.m\.stack is 6180: from 400 to 800 mm",
    ):
        setup.prepare(empty_engine)
    assert inspect(empty_engine).get_table_names() == []
