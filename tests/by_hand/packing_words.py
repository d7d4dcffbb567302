"""Make the words that quotes are packed against, and the sample that keeps their form readable.

    python -m tests.by_hand.packing_words

writes ``webapp/quote/freezing/packing_words_N.txt`` and ``tests/.../packed/form_N.*`` for the
newest form, from a Burdock and a Knapweed of the demo catalogue as quoted today; the sample is
another. The letterhead and the texts of the shop are left out: they are no words that all shops
share. Once quotes were kept in a form its files must never change: give better words a new number
first, in `webapp.quote.freezing.packing`.
"""

from __future__ import annotations

import json
import tempfile
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Engine

from webapp.builds.choice.build_choice import read_choice
from webapp.catalogue import setup
from webapp.catalogue.reading.load import load_catalogue
from webapp.common.storage.database import make_engine, reading, writing
from webapp.quote.customer import Customer
from webapp.quote.freezing import packing
from webapp.quote.lifecycle.request import ask_for_quote

KEPT = Path(__file__).parents[1] / "webapp" / "quote" / "freezing" / "packed"
AT = datetime(2026, 3, 1, 9, 30, tzinfo=UTC)
_SEEN = 32_000
"""Bytes; zlib looks back 32 kB at most, and best at what stands last."""


def quoted(engine: Engine, model: str, **chosen: str) -> dict[str, Any]:
    """The content of a fresh quote, as plain values."""
    with reading(engine) as session:
        catalogue = load_catalogue(session, model)
    choice = read_choice(catalogue, {name: [value] for name, value in chosen.items()}).strict()
    customer = Customer(name="Ada Marl", mail="ada@marl.example", note="")
    with writing(engine) as session:
        view = ask_for_quote(session, catalogue, choice, customer, form_key="", at=AT)
    return view.content.model_dump(mode="json")


def of_any_shop(content: dict[str, Any]) -> dict[str, Any]:
    """Without what one shop says of itself."""
    nobody: dict[str, Any] = dict.fromkeys(content["letterhead"], "") | {"lines": []}
    return content | {"letterhead": nobody, "cautions": [], "terms": [], "fit_notice": ""}


def packed(value: Any) -> str:
    """As `packing` writes it."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def words(contents: list[dict[str, Any]]) -> bytes:
    """A line for each section, and one for the rest."""
    lines = []
    rests = [of_any_shop(content) for content in contents]
    for path in packing.SECTIONS:
        lines.append("".join(packed(section(content, path)) for content in contents))
        rests = [without(rest, path) for rest in rests]
    lines.append("".join(packed(rest) for rest in rests))
    seen = (line.encode()[-_SEEN:].decode(errors="ignore") for line in lines)
    return b"".join(line.encode() + b"\n" for line in seen)


def section(content: dict[str, Any], path: tuple[str, ...]) -> Any:
    """What stands at that place."""
    value: Any = content
    for name in path:
        value = value[name]
    return value


def without(content: dict[str, Any], path: tuple[str, ...]) -> dict[str, Any]:
    """The same with nothing at that place."""
    first, *others = path
    inner = without(content[first], tuple(others)) if others else None
    return content | {first: inner}


def main() -> None:
    """Write the words, forget the old ones, and pack the sample against the new."""
    with tempfile.TemporaryDirectory() as folder:
        engine = make_engine(f"sqlite:///{folder}/words.sqlite")
        setup.prepare(engine)
        tourer, trail = quoted(engine, "burdock", size="l"), quoted(engine, "knapweed", size="m")
        sample = quoted(engine, "burdock", size="s")
        engine.dispose()
    file = Path(packing.__file__).parent / packing.FORMS[packing.NEWEST]
    file.write_bytes(words([tourer, trail]))
    packing.words.cache_clear()
    KEPT.mkdir(exist_ok=True)
    kept = KEPT / f"form_{packing.NEWEST}.json"
    kept.write_text(json.dumps(sample, ensure_ascii=False, indent=1) + "\n")
    kept.with_suffix(".packed").write_bytes(packing.pack(sample))


if __name__ == "__main__":
    main()
