"""Trade names of codes: the names the builder gave, else a readable form of the code.

Data is compared by its code (``12x148-through``); readers see its name.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from webapp.catalogue.schema.fields import CODE_PATTERN, Data
from webapp.catalogue.schema.validation import data_schema
from webapp.common.text.language import tr

_TIMES = re.compile(r"(?<=\d)x(?=\d)")
_EMPTY: Mapping[str, str] = MappingProxyType({})


def readable(code: str) -> str:
    """A code as it can be read where nobody has given it a name.

    >>> readable("12x148-through"), readable("hub-gear"), readable("one_two")
    ('12 × 148 through', 'hub gear', 'one two')
    """
    return _TIMES.sub(" × ", code.replace("-", " ").replace("_", " "))


@dataclass(frozen=True)
class TradeNames:
    """The names given so far, by code; called with a code, it always returns a name."""

    given: Mapping[str, str] = field(default_factory=lambda: _EMPTY)

    def __call__(self, code: str) -> str:
        """The trade's name of a code.

        >>> names = TradeNames({"six-bolt": "rotor on six bolts"})
        >>> names("six-bolt"), names("15x110-through")
        ('rotor on six bolts', '15 × 110 through')
        """
        return self.given.get(code) or readable(code)

    def display(self, text: str) -> tuple[str, str]:
        """Codes in a field as readers see them, and a hint that says which have no name.

        >>> TradeNames({"six-bolt": "rotor on six bolts"}).display("six-bolt")
        ('rotor on six bolts', 'shown as: rotor on six bolts')
        >>> NO_NAMES.display("six-bolt")[1]
        'shown as: six bolt (no trade name given yet)'
        """
        codes = text.split()
        words = "\n".join(map(self, codes))
        names = [
            self(code)
            if code in self.given
            else tr("{name} (no trade name given yet)", name=self(code))
            for code in codes
        ]
        return words, tr("shown as: {names}", names=", ".join(names)) if names else ""


NO_NAMES = TradeNames()
"""Before any name was given."""


def holds_codes(schema: Mapping[str, Any]) -> bool:
    """Whether a text, or each text of a list, is a code by its JSON schema."""
    return CODE_PATTERN in (schema.get("pattern"), schema.get("items", {}).get("pattern"))


def joint_of(schema: Mapping[str, Any]) -> str:
    """The joint whose standards a field, or each entry of it, takes; empty for none.

    >>> joint_of({"type": "array", "items": {"type": "string", "joint": "boss"}})
    'boss'
    """
    return str(schema.get("joint") or schema.get("items", {}).get("joint", ""))


def codes_in(model: type[Data], values: Mapping[str, Any]) -> Iterator[str]:
    """Every code that a piece of data carries.

    Parameters
    ----------
    model : type
        Its class.
    values : mapping
        The data as JSON.

    Examples
    --------
    >>> from webapp.catalogue.schema.part_kinds import HeadsetData
    >>> list(codes_in(HeadsetData, {"lower_stack": 10, "fits": "in-44", "steerer": "tapered-1.5"}))
    ['in-44', 'tapered-1.5']
    """
    return (code for _, code in standards_in(model, values))


def standards_in(model: type[Data], values: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Every standard that a piece of data carries: the joint it is for, and its code.

    Examples
    --------
    >>> from webapp.catalogue.schema.part_kinds import HeadsetData
    >>> list(standards_in(HeadsetData, {"fits": "in-44", "steerer": "tapered-1.5"}))
    [('head_tube', 'in-44'), ('steerer', 'tapered-1.5')]
    """
    whole = data_schema(model)
    return _standards(whole, whole, values)


def _standards(
    whole: Mapping[str, Any], schema: Mapping[str, Any], value: Any
) -> Iterator[tuple[str, str]]:
    if "$ref" in schema:
        schema = whole["$defs"][schema["$ref"].rsplit("/", 1)[1]]
    for choice in schema.get("anyOf", ()):
        yield from _standards(whole, choice, value)
    if isinstance(value, str) and schema.get("pattern") == CODE_PATTERN:
        yield schema.get("joint", ""), value
    elif isinstance(value, Mapping):
        for name, inner in schema.get("properties", {}).items():
            yield from _standards(whole, inner, value.get(name))
    elif isinstance(value, list | tuple) and "items" in schema:
        for each in value:
            yield from _standards(whole, schema["items"], each)
