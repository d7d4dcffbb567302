"""Packed content: whatever goes in comes out, for ever, and damage is seen."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from alembic import command
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import Connection, Engine, text
from sqlmodel import select

from tests.webapp.quote.conftest import Ask
from webapp.common.storage.database import reading, writing
from webapp.migrations import configuration, upgrade
from webapp.quote.freezing.content import QuoteContent
from webapp.quote.freezing.packing import (
    FORMS,
    NEWEST,
    SECTIONS,
    Damaged,
    Packed,
    pack,
    unpack,
    words,
)
from webapp.quote.tables import QuoteVersion

KEPT = Path(__file__).parent / "packed"

# Every character there is, halves of pairs too: JSON can name them.
anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False)
    | st.text(st.characters()) | st.text(st.characters(min_codepoint=0xD800, max_codepoint=0xDFFF)),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    max_leaves=8,
)  # fmt: skip
content_like = st.fixed_dictionaries(
    {},
    optional={
        "figures": anything,
        "checks": anything,
        "drawing": anything
        | st.fixed_dictionaries(
            {}, optional=dict.fromkeys(("full", "compact", "paper", "words"), anything)
        ),
        "terms": anything,
    },
)


@given(anything | content_like)
def test_whatever_is_packed_comes_out_the_same(value: Any) -> None:
    packed = pack(value)
    found = unpack(packed)
    assert (found, json.dumps(found)) == (value, json.dumps(value))  # in the same order too
    assert pack(value) == packed


def assert_holds(now: Any, kept: Any) -> None:
    """Everything kept is there unchanged, at every depth; only new fields may stand beside it."""
    if isinstance(kept, dict):
        for name, value in kept.items():
            assert_holds(now[name], value)
    elif isinstance(kept, list):
        assert len(now) == len(kept)
        for each, value in zip(now, kept, strict=True):
            assert_holds(each, value)
    else:
        assert now == kept


@pytest.mark.parametrize("form", FORMS)
def test_what_was_packed_once_opens_for_ever(form: int) -> None:
    """Kept from when the form was new, never made again (see `webapp.quote.freezing.packing`)."""
    plain = json.loads((KEPT / f"form_{form}.json").read_text())
    assert unpack((KEPT / f"form_{form}.packed").read_bytes()) == plain
    assert_holds(QuoteContent.model_validate(plain).model_dump(mode="json"), plain)


def test_an_older_quote_gives_its_numbers_as_printed() -> None:
    plain = json.loads((KEPT / "form_1.json").read_text())
    content = QuoteContent.model_validate(plain)
    for figure in content.figures:
        assert [f"{number:g}" for number in figure.numbers if number is not None] == [
            f"{float(cell.replace('−', '-')):g}" for cell in figure.cells if cell != "not known"
        ]
    settings = {each.label: (each.number, each.unit) for each in content.settings}
    assert settings == {"Spacers": (10.0, "mm"), "Saddle height": (653.0, "mm")}
    checks = {each.key: each for each in content.checks}
    fork = checks["fork-length"]
    assert (fork.figure_number, fork.limit_number, fork.margin_number) == (425.0, 450.0, 25.0)
    assert fork.unit == "mm"
    assert checks["headset-frame"].figure_number is None
    printed = [each.figure for each in content.checks if each.figure_number is None]
    assert set(printed) == {""}


def test_a_quote_keeps_its_numbers_beside_what_is_printed(shop: Engine, ask: Ask) -> None:
    content = ask(shop).content
    again = QuoteContent.model_validate(content.model_dump(mode="json"))
    assert again == content
    for figure in content.figures:
        places = len(figure.cells[0].partition(".")[2])
        for cell, value in zip(figure.cells, figure.numbers, strict=True):
            assert value is not None
            assert abs(value - float(cell.replace("−", "-"))) <= 0.5 * 10**-places + 1e-4
    assert any(
        value != round(value, 2) for each in content.figures for value in each.numbers if value
    )
    by_label = {each.label: each for each in content.settings}
    assert by_label["Saddle height"].number is not None
    assert by_label["Saddle height"].unit == "mm"
    for check in content.checks:
        assert (check.figure == "") == (check.figure_number is None)
        assert (check.limit == "") == (check.limit_number is None)


def test_the_words_of_a_form_never_change() -> None:
    found = {
        form: hashlib.sha256(b"\n".join(words(form)) + b"\n").hexdigest()[:16] for form in FORMS
    }
    assert found == {1: "77cecebb0f1d235d"}
    assert all(len(words(form)) == len(SECTIONS) + 1 for form in FORMS)
    assert max(FORMS) == NEWEST


def test_a_version_takes_a_tenth_of_its_words(shop: Engine, ask: Ask) -> None:
    asked = ask(shop)
    with reading(shop) as session:
        row = session.exec(select(QuoteVersion)).one()
        length = session.connection().execute(text("SELECT length(content) FROM quote_version"))
        assert QuoteContent.model_validate(row.content) == asked.content
        assert length.scalar_one() < len(json.dumps(row.content)) / 10


def test_damage_is_seen_and_never_read_as_something_else() -> None:
    packed = (KEPT / "form_1.packed").read_bytes()
    for place in range(0, len(packed), 61):
        with pytest.raises(Damaged):
            unpack(packed[:place])
        with pytest.raises(Damaged):
            unpack(packed[:place] + bytes([packed[place] ^ 0x55]) + packed[place + 1 :])
    for bad in (b"", b"\x00", b"{}", packed + b"\x00"):
        with pytest.raises(Damaged):
            unpack(bad)


QUOTE = (
    "INSERT INTO quote (id, number, token, token_hash, state, created_at, customer_name,"
    " customer_mail, customer_note, current_version) VALUES (:n, :t, :t, :t, 'sent',"
    " '2026-03-01 09:00:00', 'Ada', 'ada@marl.example', '', 1)"
)


def versions(connection: Connection, kind: Any) -> dict[int, Any]:
    """What every version says, read in the form it is kept in."""
    kept = sa.table("quote_version", sa.column("id"), sa.column("content", kind))
    return {row.id: row.content for row in connection.execute(sa.select(kept))}


def test_versions_of_an_older_database_are_packed_and_say_the_same(empty_engine: Engine) -> None:
    """On both databases, there and back again, more of them than are read at once."""
    whole = json.loads((KEPT / "form_1.json").read_text())
    said = {n: {**whole, "terms": [f"Term {n} \x85\u2028"]} for n in range(1, 121)}
    kept = sa.table(
        "quote_version", *map(sa.column, ("id", "quote_id", "number", "created_by", "model")),
        sa.column("build"), sa.column("created_at"), sa.column("customer", sa.JSON()),
        sa.column("content", sa.JSON()),
    )  # fmt: skip
    with writing(empty_engine) as session:
        connection = session.connection()
        steps = configuration(connection)
        command.upgrade(steps, "0006")
        for n, content in said.items():
            connection.execute(text(QUOTE), {"n": n, "t": f"t{n}"})
            row = {"id": n, "quote_id": n, "number": 1, "created_by": "rider", "model": "knapweed",
                   "build": "size=m", "customer": {}, "content": content}  # fmt: skip
            at = text("'2026-03-01 09:00:00'")
            connection.execute(kept.insert().values(created_at=at, **row))
        upgrade(connection)
        assert versions(connection, Packed()) == said
        command.downgrade(steps, "0006")
        assert versions(connection, sa.JSON()) == said
        upgrade(connection)
        assert versions(connection, Packed()) == said
