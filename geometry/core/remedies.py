"""What would be right at a field that was refused, as codes with values.

A remedy that several fields may share is here; those of one topic stand with it. The caller
puts them into the reader's language.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from geometry.core.statements import Statement


@dataclass(frozen=True, kw_only=True)
class Remedy(Statement):
    """What would be right.

    ``of_parts`` is true where no single number is at fault, but how several parts of a
    build or of its drawing go together.
    """

    of_parts: ClassVar[bool] = False


@dataclass(frozen=True, kw_only=True)
class AnyNumber(Remedy):
    """A number, instead of something else."""


@dataclass(frozen=True, kw_only=True)
class FiniteNumber(Remedy):
    """A number that is neither infinite nor undefined."""

    unit: str


@dataclass(frozen=True, kw_only=True)
class SmallerSize(Remedy):
    """A number no larger than this, whatever its sign."""

    most: float
    unit: str


@dataclass(frozen=True, kw_only=True)
class MoreThan(Remedy):
    """A number above a bound."""

    bound: float
    unit: str


@dataclass(frozen=True, kw_only=True)
class AtLeast(Remedy):
    """A number not below a bound."""

    bound: float
    unit: str


@dataclass(frozen=True, kw_only=True)
class AtMost(Remedy):
    """A number not above a bound."""

    bound: float
    unit: str


@dataclass(frozen=True, kw_only=True)
class NumberBetween(Remedy):
    """A number not outside two bounds."""

    lowest: float
    highest: float
    unit: str


@dataclass(frozen=True, kw_only=True)
class WholeNumber(Remedy):
    """A count without a fraction."""

    unit: str


@dataclass(frozen=True, kw_only=True)
class SeveralNumbers(Remedy):
    """Numbers in a row, at least one, each finite."""


@dataclass(frozen=True, kw_only=True)
class AsManyNumbers(Remedy):
    """As many numbers as the other inputs have."""

    count: int


@dataclass(frozen=True, kw_only=True)
class MatchingShape(Remedy):
    """An array that goes together with one of this shape."""

    shape: str


@dataclass(frozen=True, kw_only=True)
class LessThanChainstay(Remedy):
    """A BB drop shorter than the chainstay."""


@dataclass(frozen=True, kw_only=True)
class OneAtATime(Remedy):
    """One frame or bike, not an array of them: ask once for each."""


@dataclass(frozen=True, kw_only=True)
class SomethingGiven(Remedy):
    """At least one of what the field is a list of."""


@dataclass(frozen=True, kw_only=True)
class OneOf(Remedy):
    """One of a few words."""

    choices: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class DifferentNames(Remedy):
    """A name that no other entry of the list has."""


@dataclass(frozen=True, kw_only=True)
class KeyOfGlossary(Remedy):
    """A key of the glossary."""


@dataclass(frozen=True, kw_only=True)
class KeyOfInput(Remedy):
    """The glossary's key of an input, such as ``fork.offset``."""


@dataclass(frozen=True, kw_only=True)
class FigureOfBike(Remedy):
    """The key of a figure that the bike in question has."""


@dataclass(frozen=True, kw_only=True)
class InputOfBike(Remedy):
    """The key of an input of a part that the bike in question has."""


@dataclass(frozen=True, kw_only=True)
class FigureOrInputOfBike(Remedy):
    """The key of a figure or an input of the bike in question."""
