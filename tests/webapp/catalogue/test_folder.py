"""The catalogue as a folder of readable files: out, in again, and the same; faults with lines."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import Engine
from sqlmodel import Session, col, select

from webapp.archive.row_values import read_lines, tables
from webapp.catalogue.__main__ import main
from webapp.catalogue.folder_dump import dump_folder
from webapp.catalogue.marks.kept import keep_mark
from webapp.catalogue.reading.costs import costs
from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.schema.frames import SizeData
from webapp.catalogue.setup import load_own
from webapp.catalogue.tables import FrameSize
from webapp.catalogue.writing.costs import put_cost
from webapp.catalogue.writing.models import withdraw
from webapp.catalogue.writing.parts import put_part_price, put_price_list, retire_part
from webapp.catalogue.writing.price_scopes import put_scope
from webapp.catalogue.writing.shop import put_settings, put_trade_name
from webapp.common.errors import Conflict
from webapp.common.paths import DEMO_DATA
from webapp.common.storage.database import make_engine, reading, writing
from webapp.office.revisions.drafts import begin_draft
from webapp.office.settings.styles import remove_style

NOT_SAME = {"catalogue_edit", "catalogue_stamp"}  # who did it when


ELSEWHERE = (
    "account",
    "quote",
    "mail",
    "bench",
    "serial",
    "customer",
    "outcome",
    "outbox",
    "order",
)


def rows(engine: Engine) -> dict[str, list[str]]:
    """Every row of the catalogue without its numbers, by its table."""
    with engine.connect() as connection:
        found = {}
        for table in tables():
            if table.name in NOT_SAME or table.name.startswith(ELSEWHERE):
                continue
            lines = [json.loads(line) for line in read_lines(connection, table)]
            own = [
                {name: value for name, value in line.items() if not name.endswith("id")}
                for line in lines
            ]
            found[table.name] = sorted(json.dumps(line, sort_keys=True) for line in own)
    return found


def put_draft_size(session: Session, *, stated: dict[str, float]) -> None:
    """A size of the draft keeps what a published table states beside what is drawn."""
    size = session.exec(select(FrameSize).order_by(col(FrameSize.id).desc())).first()
    assert size is not None
    data = SizeData.model_validate(size.data | {"stated": stated})
    size.data = data.model_dump(mode="json")
    session.add(size)


def put_mark(session: Session) -> None:
    """The shop has a mark, and every other setting that can be left out."""
    drawn = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path d="M0 0h9v9z"/></svg>'
    settings = settings_data(session).model_dump(mode="json")
    settings["look"] = {"accent": "#14506b", "mark": keep_mark(session, drawn)}
    settings |= {"time_zone": "Europe/Oslo", "number_style": "nb", "how_to_pay": "To “us”.\nSoon."}
    put_settings(session, who="t", data=settings | {"embed_sites": ["https://one.example"]})


def dumped(engine: Engine, folder: Path) -> dict[str, str]:
    with reading(engine) as session:
        dump_folder(session, folder)
    return {p.relative_to(folder).as_posix(): p.read_text() for p in folder.rglob("*.toml")}


@pytest.fixture
def first(tmp_path: Path, _filled_sqlite: Path) -> Iterator[Engine]:
    """The demo's database."""
    shutil.copy(_filled_sqlite, tmp_path / "a.sqlite")
    engine = make_engine(f"sqlite:///{tmp_path / 'a.sqlite'}")
    yield engine
    engine.dispose()


def test_what_is_dumped_is_loaded_again_and_is_the_same(tmp_path: Path, first: Engine) -> None:
    second = make_engine(f"sqlite:///{tmp_path / 'b.sqlite'}")
    with writing(first) as session:
        begin_draft(session, who="t", model="knapweed")
        withdraw(
            session, who="t", model="knapweed", revision=1, reason="“Old”.", on=date(2026, 1, 2)
        )
        retire_part(session, who="t", kind="saddle", slug="trail", replaced_by="touring")
        put_price_list(session, who="t", slug="chf", name="CHF", currency="CHF",
                       valid_from=date(2030, 1, 1), tax_included=False)  # fmt: skip
        remove_style(session, who="t", slug="loaded")
        put_scope(session, who="t", kind="group", slug="dealers", name="Dealers")
        put_scope(session, who="t", kind="region", slug="north", name="North", countries=("NO",))
        put_price_list(session, who="t", slug="north", name="North", currency="EUR",
                       valid_from=date(2026, 1, 1), tax_included=True,
                       customer_group="dealers", region="north")  # fmt: skip
        put_trade_name(session, who="t", code="eye", name="lamp eye", joint="boss")
        put_cost(session, who="t", key="saddle/touring", minor=1234, currency="EUR")
        put_cost(session, who="t", key="frame/knapweed", minor=70000, currency="EUR")
        put_part_price(session, who="t", price_list="chf", kind="saddle", slug="touring", minor=5)
        put_draft_size(session, stated={"front_centre": 745.5, "wheelbase": 1178.0})
        put_mark(session)
    out = dumped(first, tmp_path / "out")
    assert "[size.stated]" in out["knapweed/revision_003.toml"]
    assert (tmp_path / "out" / "mark.svg").exists()
    shop = (tmp_path / "out" / "shop.toml").read_text()
    assert 'amount = "-60.00"' in shop
    assert "minor" not in shop
    load_own(second, tmp_path / "out")
    assert dumped(second, tmp_path / "again") == out
    with reading(first) as session, reading(second) as other:
        assert len(costs(session)) == 2
        assert costs(other) == costs(session)
    before, after = rows(first), rows(second)
    assert {"frame_size", "part", "offer", "price", "cost", "shop_mark"} <= set(before)
    for name, kept in before.items():
        assert after[name] == kept, name
    with pytest.raises(Conflict):
        load_own(second, tmp_path / "out")
    second.dispose()


@pytest.mark.parametrize(
    ("file", "was", "now", "told"),
    [
        ("knapweed/revision_2.toml", "head_angle = ", "head_angle = 9", "revision_2.toml, line "),
        ("parts_front.toml", "offset = 50", "offset = 500", "parts_front.toml, line "),
        ("shop.toml", 'tax_percent = "19"', 'tax_percent = "190"', "shop.toml, line 5"),
        ("shop.toml", "[settings]", "[settings", "shop.toml"),
        ("shop.toml", 'amount = "-60.00"', 'amount = "cheap"', "an amount such as 129.00"),
        ("burdock/model.toml", 'name = "Burdock"\n', "", "burdock/model.toml"),
        ("parts_front.toml", 'price = "240.00"', 'price = "dear"', "an amount such as 129.00"),
        ("parts_front.toml", "[[fork]]", "fork = 'long'\n[[rim]]", "parts_front.toml"),
        ("mark.svg", "", "<svg/>", "mark.svg"),
        ("shop.toml", "[settings]", "settings = 3\n[odd]", "shop.toml"),
    ],
)
def test_a_fault_is_told_with_its_file_and_line(
    tmp_path: Path, file: str, was: str, now: str, told: str, capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    folder = tmp_path / "files"
    shutil.copytree(DEMO_DATA, folder)
    content = (folder / file).read_text() if was else ""
    assert was in content
    (folder / file).write_text(content.replace(was, now, 1))
    monkeypatch.setenv("DATA_FOLDER", str(tmp_path / "data"))
    monkeypatch.delenv("DATABASE_URL", raising=False)
    assert main(["load", str(folder)]) == 1
    said = capsys.readouterr().err
    assert told in said
    assert "Traceback" not in said
