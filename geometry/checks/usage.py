"""Usage classes of EN 17406: what a bike is built to be ridden on."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from geometry.checks.outcomes import AskMaker, Check, Source, unknown
from geometry.core import (
    InvalidInput,
    NumberBetween,
    Statement,
)


class Ground(StrEnum):
    """What is ridden on, by class."""

    PAVED = "paved"
    GRAVEL = "gravel"
    ROUGH_TRAILS = "rough_trails"
    DESCENTS = "descents"
    EXTREME_DOWNHILL = "extreme_downhill"
    ROAD_SPORT = "road_sport"


@dataclass(frozen=True, kw_only=True)
class UsageStated(Statement):
    """A part's class and the class of the riding."""

    part: str
    stated: int
    built_for: Ground
    wished: int
    riding: Ground


@dataclass(frozen=True, kw_only=True)
class UsageNotStated(Statement):
    """The usage class of a part is not stated."""

    part: str


@dataclass(frozen=True, kw_only=True)
class PartOfClass(Statement):
    """A part of one of these classes, or gentler riding."""

    classes: tuple[int, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class UsageClass:
    """One class.

    Parameters
    ----------
    number : int
        1 to 6.
    ground : Ground
        What is ridden on.
    drop : float or None [mm]
        Drops up to this; ``None`` where the class names none.
    covers : frozenset of int
        Classes whose riding lies within this one.
    """

    number: int
    ground: Ground
    drop: float | None
    covers: frozenset[int]


USAGE_CLASSES = MappingProxyType(
    {
        row.number: row
        for row in (
            UsageClass(number=1, ground=Ground.PAVED, drop=None, covers=frozenset({1})),
            UsageClass(number=2, ground=Ground.GRAVEL, drop=150.0, covers=frozenset({1, 2})),
            UsageClass(
                number=3, ground=Ground.ROUGH_TRAILS, drop=600.0, covers=frozenset({1, 2, 3})
            ),
            UsageClass(
                number=4,
                ground=Ground.DESCENTS,
                drop=1200.0,
                covers=frozenset({1, 2, 3, 4}),
            ),
            UsageClass(
                number=5,
                ground=Ground.EXTREME_DOWNHILL,
                drop=None,
                covers=frozenset({1, 2, 3, 4, 5}),
            ),
            UsageClass(number=6, ground=Ground.ROAD_SPORT, drop=None, covers=frozenset({1, 6})),
        )
    }
)
"""EN 17406, from an excerpt: drops of class 2 up to 150 mm, of class 3 below 600 mm,
of class 4 (descents below 40 km/h) below 1200 mm. That 1 to 5 each cover those before,
and that road sport covers paved ground alone, is read from their wording."""


def usage_class(number: int) -> UsageClass:
    """A class by its number.

    Parameters
    ----------
    number : int
        1 to 6.

    Returns
    -------
    UsageClass

    Raises
    ------
    InvalidInput
        Any other number.

    Examples
    --------
    >>> usage_class(3).drop
    600.0
    """
    if number not in USAGE_CLASSES:
        raise InvalidInput("usage_class", number, NumberBetween(lowest=1.0, highest=6.0, unit=""))
    return USAGE_CLASSES[number]


def usage_check(*, wished: int, part: str, stated: int | None) -> Check[Statement]:
    """Whether a frame or part is built for the riding wished.

    Parameters
    ----------
    wished : int
        Class of the riding.
    part : str
        Name of the frame or part.
    stated : int or None
        Its class; ``None`` when its maker states none.

    Returns
    -------
    Check
        Code ``load.usage``, of safety.

    Raises
    ------
    InvalidInput
        A number that is no class.

    Examples
    --------
    >>> usage_check(wished=4, part="touring rim", stated=2).remedy
    PartOfClass(classes=(4, 5))
    """
    code, source = "load.usage", Source.EN_17406
    wanted = usage_class(wished)
    if stated is None:
        missing, remedy = UsageNotStated(part=part), AskMaker()
        return unknown(code, missing=missing, source=source, remedy=remedy, safety=True)
    fits = wished in usage_class(stated).covers
    able = tuple(n for n, row in USAGE_CLASSES.items() if wished in row.covers)
    return Check(
        code=code,
        outcome="clear" if fits else "no",
        figure=float(stated),
        limit=float(wished),
        reason=UsageStated(
            part=part,
            stated=stated,
            built_for=usage_class(stated).ground,
            wished=wished,
            riding=wanted.ground,
        ),
        source=source,
        remedy="" if fits else PartOfClass(classes=able),
        safety=True,
    )
