"""Statements of the geometry (codes with values) as sentences."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum
from functools import reduce
from types import MappingProxyType

from geometry.core import AnyOf, Statement
from webapp.common.text.language import filled, tr


@dataclass(frozen=True)
class Sentences:
    """The words of one topic.

    Parameters
    ----------
    of : mapping of kind of statement to str
        A sentence with the names of its values, as `tr` gives it.
    words : mapping of enum member to str
        What values are called that are one of a few things.
    units : mapping of str to str
        What the values called ``unit`` are called.
    """

    of: Mapping[type[Statement], str]
    words: Mapping[Enum, str] = field(default_factory=lambda: MappingProxyType({}))
    units: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))

    def say(self, statement: Statement) -> str:
        """The sentence of a statement, without its full stop.

        Raises
        ------
        KeyError
            A kind of statement, or a word, that this topic does not know.
        """
        if isinstance(statement, AnyOf):
            return any_of([self.say(way) for way in statement.ways])
        values = {
            f.name: self._value(getattr(statement, f.name)) for f in dataclasses.fields(statement)
        }
        if "unit" in values:
            values["unit"] = self.units[str(values["unit"])]
        return filled(self.of[type(statement)], **values).strip()

    def word(self, value: str) -> str:
        """A value that may be one of a few things, or else stands for itself."""
        return self.words[value] if isinstance(value, Enum) else value

    def _value(self, value: object) -> object:
        if isinstance(value, Statement):
            return self.say(value)
        if isinstance(value, tuple):
            return one_of([str(self._value(each)) for each in value])
        return self.words[value] if isinstance(value, Enum) else value


def any_of(ways: Sequence[str]) -> str:
    """Several ways, each enough.

    >>> any_of(["a half link", "33 × 18"])
    'a half link, or 33 × 18'
    """
    return reduce(lambda told, way: tr("{told}, or {way}", told=told, way=way), ways)


def one_of(things: Sequence[str]) -> str:
    """Things of which one is enough.

    >>> one_of(["4", "5"])
    '4 or 5'
    """
    return reduce(lambda told, thing: tr("{told} or {thing}", told=told, thing=thing), things)


def all_of(things: Sequence[str]) -> str:
    """Things that belong together.

    >>> all_of(["hub", "frame"])
    'hub and frame'
    """
    return reduce(lambda told, thing: tr("{told} and {thing}", told=told, thing=thing), things)
