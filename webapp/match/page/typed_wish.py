"""A wish read from an address: where its target comes from, bounds and parts."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from geometry.search import Bounds, Target
from webapp.builds.present_bike.bike import PresentBike
from webapp.builds.present_bike.typed import Query, plain_number, text_of
from webapp.common.errors import Invalid, Problem
from webapp.match.page.wish_fields import (
    BOUNDED,
    FORKS,
    POINTS,
    SHIFTS,
    SOURCES,
    TOLERANCE,
    Bounded,
    WishField,
)
from webapp.match.wish import HANDLING, Wish

_NOWHERE = Target(grip=(0.0, 0.0), saddle=(0.0, 0.0))


@dataclass(frozen=True, kw_only=True)
class TypedWish:
    """What was typed, what is wrong with it, and the wish that follows.

    Parameters
    ----------
    typed : mapping of field to str
    problems : tuple of Problem
    source : str
        Where the target comes from: one of `SOURCES`.
    target : Target or None
        Where grips and saddle are wished; None where that is not known yet.
    wish : Wish
    """

    typed: Mapping[str, str]
    problems: tuple[Problem, ...]
    source: str
    target: Target | None
    wish: Wish


def read_wish(
    query: Query, bike: PresentBike, fitted: Target | None, places: tuple[str, ...]
) -> TypedWish:
    """The wish of an address; nothing typed is lost.

    Parameters
    ----------
    query : mapping of str to sequence of str
    bike : PresentBike
    fitted : Target or None
        What *fit* advises the rider that is carried; None without one.
    places : tuple of str
        Places that may be fixed.

    Returns
    -------
    TypedWish
    """
    names = [field.name for field in (*POINTS, *SHIFTS, TOLERANCE)]
    names += [name for each in BOUNDED for name in each.names]
    typed = {name: text_of(query, name) for name in (*names, *places)}
    problems: list[Problem] = []
    values = {field.name: _value(field, typed, problems) for field in (*SHIFTS, TOLERANCE)}
    pointed = _pointed(typed, problems)
    found = {"present": bike.target, "fit": fitted, "typed": pointed}
    source = _source(text_of(query, "from"), found)
    target = found[source]
    if target is not None:
        grip = target.grip[0] - values["closer"], target.grip[1] + values["higher"]
        target = replace(target, grip=grip)
    bounds = _bounds(typed, problems)
    wish = Wish(
        target=target or _NOWHERE,
        bounds=bounds,
        fixed={place: typed[place] for place in places if typed[place]},
        tolerance=values["tolerance"],
        handling={},
    )
    if typed.get("fork") in FORKS:
        own = {place: slug for place, slug in wish.fixed.items() if place != "fork"}
        wish = replace(wish, fixed=own, bounds={**bounds, "fork_travel": FORKS[typed["fork"]]})
    if source == "present":
        wish = _as_now(wish, bike)
    return TypedWish(
        typed=MappingProxyType(typed),
        problems=tuple(problems),
        source=source,
        target=target,
        wish=wish,
    )


def _source(text: str, found: Mapping[str, Target | None]) -> str:
    """The source asked for, or the first that gives a position."""
    if text in SOURCES:
        return text
    return next((name for name in SOURCES if found[name] is not None), "present")


def _as_now(wish: Wish, bike: PresentBike) -> Wish:
    """The wish with what the present bike should keep or change."""
    handling = {key: value for key, value in bike.handling.items() if key in HANDLING}
    return replace(
        wish,
        bounds={**bike.feel_bounds, **wish.bounds},
        handling=handling,
        saddle_down_to=bike.saddle_down_to,
    )


def _pointed(typed: Mapping[str, str], problems: list[Problem]) -> Target | None:
    """A position that was typed, once all four of its numbers are there."""
    if not any(typed[field.name] for field in POINTS):
        return None
    values = [_value(field, typed, problems) for field in POINTS]
    if not all(math.isfinite(value) for value in values):
        return None
    ahead, up, behind, high = values
    return Target(grip=(ahead, up), saddle=(-behind, high))


def _bounds(typed: Mapping[str, str], problems: list[Problem]) -> Bounds:
    found = {}
    for each in BOUNDED:
        least, most = (
            _value(WishField.of(each, name, unset), typed, problems)
            for name, unset in zip(each.names, (-math.inf, math.inf), strict=True)
        )
        if least > most:
            problems.append(_wrong_way(each, typed))
        elif math.isfinite(least) or math.isfinite(most):
            found[each.key] = least, most
    return found


def _wrong_way(each: Bounded, typed: Mapping[str, str]) -> Problem:
    least, most = each.names
    return Problem(least, typed[least], each.not_above(typed[most]))


def _value(field: WishField, typed: Mapping[str, str], problems: list[Problem]) -> float:
    text = typed[field.name]
    if not text:
        return field.unset
    try:
        return plain_number(text, field.name, field.low, field.high)
    except Invalid as error:
        problems += error.problems
        return field.unset
