"""What no reader may be shown: codes, empty lists, doubled words, seams between sentences."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from webapp.catalogue.reading.trade_names import codes_in
from webapp.catalogue.reading.views import AnyPart, Catalogue
from webapp.catalogue.schema.part_kinds import PART_KINDS

_SNAKE = re.compile(r"\b[a-z]+_[a-z_]+\b")
_DOUBLED = re.compile(r"\b([a-z]+) \1\b", re.IGNORECASE)
_SEAMS = re.compile(r"[.;:,] *[.;:,]|\( *\)| ,|  |\{|\}")
_NOT_SAID = re.compile(
    r"\b(None|True|False|nan|inf|set\(\)|frozenset)\b|one of (no|$)|takes? *(,|\.|$)"
)
_WORD = re.compile(r"[a-z]+")
_SIZE = re.compile(r"[\d.-]+")


def parts_of(catalogues: Iterable[Catalogue]) -> dict[str, tuple[AnyPart, ...]]:
    """Every part of several catalogues by kind, each once."""
    found: dict[str, dict[str, AnyPart]] = {kind: {} for kind in PART_KINDS}
    for catalogue in catalogues:
        for kind, parts in catalogue.parts.items():
            found[kind].update({part.slug: part for part in parts})
    return {kind: tuple(parts.values()) for kind, parts in found.items()}


@dataclass(frozen=True)
class Codes:
    """Every code, as one pattern, and the names of parts, which are the builder's own words."""

    pattern: re.Pattern[str]
    names: re.Pattern[str]


def codes_of(catalogues: Collection[Catalogue]) -> Codes:
    """Every code and every name in addresses that can be told from a word of the trade."""
    found: set[str] = set()
    names: set[str] = set()
    for catalogue in catalogues:
        frame, data = type(catalogue.revision.data), catalogue.revision.data.model_dump(mode="json")
        found |= set(codes_in(frame, data))
        names |= set(_names_in(data))
        for kind, parts in catalogue.parts.items():
            for part in parts:
                found |= set(codes_in(PART_KINDS[kind], part.data.model_dump(mode="json")))
                # "low-rider" and "half-link" are how the trade writes; "64-622" is a tyre's size
                found |= {part.slug} if re.search(r"\d", part.slug) else set()
    told = {c for c in found if not _WORD.fullmatch(c) and not _SIZE.fullmatch(c)}
    names |= {part.name for parts in parts_of(catalogues).values() for part in parts}
    return Codes(
        pattern=re.compile(rf"(?<![\w-])(?:{_any(told)})(?![\w-])"),
        names=re.compile(_any(names), re.IGNORECASE),
    )


def _names_in(data: Any) -> Iterator[str]:
    """What the builder called a place for luggage and the like, anywhere in a frame's data."""
    if isinstance(data, Mapping):
        if "name" in data:
            yield data["name"]
        for inner in data.values():
            yield from _names_in(inner)
    elif isinstance(data, list):
        for inner in data:
            yield from _names_in(inner)


def _any(words: Iterable[str]) -> str:
    return "|".join(re.escape(word) for word in sorted(words, key=len, reverse=True))


def wrong_in(text: str, codes: Codes) -> list[str]:
    """What stands in a text that no reader may be shown."""
    shown = codes_shown(text, codes)
    for pattern in (_SNAKE, _DOUBLED, _SEAMS, _NOT_SAID):
        shown += [found[0] for found in pattern.finditer(text)]
    return shown


def codes_shown(text: str, codes: Codes) -> list[str]:
    """Codes in a text outside the names that the builder wrote."""
    return codes.pattern.findall(codes.names.sub(" ", text))


def read_by_nobody(text: str, codes: Codes) -> list[str]:
    """Codes and names of fields in a whole page, whose other words are not ours to judge."""
    return codes_shown(text, codes) + _SNAKE.findall(text)
