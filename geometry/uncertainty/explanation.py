"""Why a figure is what it is: as typed data that pages, interface and paper render.

Every figure comes with its name, definition, formula, the terms of the formula
as they stand, the inputs it rests on with how strongly it follows each, its
source and its interval.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from geometry.bike import Bike, closure, figures, jacobian, numbers
from geometry.core import (
    FigureOfBike,
    FloatArray,
    InvalidInput,
    Num,
    OneAtATime,
)
from geometry.glossary import GLOSSARY, TERMS, entry
from geometry.uncertainty.interval import spread
from geometry.uncertainty.printing import printed
from geometry.uncertainty.tolerance import (
    Tolerances,
    applying,
)

_NOTHING = 1e-9
"""Slopes below this are rounding of slopes that are 0."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Term:
    """A term of a formula, as it stands.

    Parameters
    ----------
    key : str
        Figure or input, by its key in the glossary.
    name, symbol, unit : str
        From the glossary.
    decimals : int
        How many are printed.
    value : float [mm, deg]
    """

    key: str
    name: str
    symbol: str
    unit: str
    decimals: int
    value: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Influence:
    """An input that a figure rests on.

    Parameters
    ----------
    term : Term
        The input as used.
    source : str
        Where such a value comes from.
    slope : float
        Change of the figure for one unit of the input.
    tolerance : float or None [mm, deg]
        Its half-width ±; ``None`` when none is stated.
    part : float or None [mm, deg]
        What that tolerance alone does to the figure, ±.
    """

    term: Term
    source: str
    slope: float
    tolerance: float | None
    part: float | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Explanation:
    """One figure of one bike, explained.

    Parameters
    ----------
    key, name, symbol, unit : str
        From the glossary.
    decimals : int
        How many are printed.
    definition, formula, source : str
        What it is, how it is computed, where that comes from.
    value : float [mm, deg]
    half_width : float or None [mm, deg]
        Of its interval, about 95 in 100; ``None`` when no tolerances are known.
    terms : tuple of Term
        Terms of the formula that are figures or inputs themselves.
    inputs : tuple of Influence
        Every input it rests on; those whose tolerance does most come first,
        then those it follows most.
    """

    key: str
    name: str
    symbol: str
    unit: str
    decimals: int
    definition: str
    formula: str
    source: str
    value: float
    half_width: float | None
    terms: tuple[Term, ...]
    inputs: tuple[Influence, ...]

    @property
    def text(self) -> str:
        """Value and interval as printed: ``66.4° ± 0.3``, ``1171 mm ± 4``."""
        return printed(self.value, self.unit, self.decimals, self.half_width)


def closures(bike: Bike) -> dict[str, Num]:
    """Closure of a bike's drawing, by its keys in the glossary.

    Parameters
    ----------
    bike : Bike

    Returns
    -------
    dict of str to float or array [mm, deg]

    Raises
    ------
    ContradictoryInput
        A drawing that no head angle closes.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> round(closures(Bike(build=trail_build()))["closure_axle"], 1)
    0.0
    """
    found = closure(bike.build.frame)
    return {"closure_axle": found.axle, "closure_head_angle": found.head_angle}


def explain(bike: Bike, key: str, tolerances: Tolerances | None = None) -> Explanation:
    """One figure of a bike, explained.

    Parameters
    ----------
    bike : Bike
        One bike.
    key : str
        Figure of this bike, or ``closure_axle``, ``closure_head_angle``.
    tolerances : mapping of str to Tolerance or sequence of Tolerance, optional
        By input; without any, no interval is told.

    Returns
    -------
    Explanation

    Raises
    ------
    InvalidInput
        An array of bikes, or a key that is no figure of this bike.
    ContradictoryInput
        A closure asked of a drawing that no head angle closes.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> found = explain(Bike(build=trail_build()), "trail")
    >>> found.formula, found.text
    ('T = (Rf cos HA − o) / sin HA', '97.7 mm')
    >>> [(term.symbol, round(term.value, 1)) for term in found.terms]
    [('Rf', 370.0), ('HA', 68.0), ('o', 48.0)]
    """
    _one_only(bike)
    of = closures if key.startswith("closure_") else figures
    found = of(bike)
    if key not in found:
        raise InvalidInput("key", key, FigureOfBike())
    asked = _Asked(bike, {key: found[key]}, {**figures(bike), **found})
    return _explained(asked, jacobian(of, bike, numbers(bike)), tolerances)[key]


def explain_all(
    bike: Bike,
    tolerances: Tolerances | None = None,
    *,
    keys: Iterable[str] | None = None,
    values: Mapping[str, Num] | None = None,
    most: int | None = None,
) -> dict[str, Explanation]:
    """Figures of a bike, explained, by their keys.

    Parameters
    ----------
    bike : Bike
        One bike.
    tolerances : mapping of str to Tolerance or sequence of Tolerance, optional
        By input.
    keys : iterable of str, optional
        Of the figures wanted, as far as this bike has them; all, in the order of a sheet, if not
        given.
    values : mapping of str to float [mm, deg], optional
        Its figures, as `figures` has them, where they are known already.
    most : int, optional
        So many inputs of each figure are told, the first ones; all if not given.

    Returns
    -------
    dict of str to Explanation
        Those of `figures`; the drawing's closure is asked for with `explain`.

    Raises
    ------
    InvalidInput
        An array of bikes.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> list(explain_all(Bike(build=trail_build())))[:3]
    ['reach', 'stack', 'effective_top_tube']
    """
    _one_only(bike)
    own = figures(bike) if values is None else values
    wanted = own if keys is None else {key: own[key] for key in keys if key in own}
    asked = _Asked(bike, wanted, own, most)
    return _explained(asked, jacobian(figures, bike, numbers(bike)), tolerances)


def _one_only(bike: Bike) -> None:
    if bike.shape != ():
        raise InvalidInput("bike", f"of shape {bike.shape}", OneAtATime())


class _Asked(NamedTuple):
    """What is explained: figures of a bike among all its figures, and how many inputs of each."""

    bike: Bike
    explained: Mapping[str, Num]
    figures: Mapping[str, Num]
    most: int | None = None


def _explained(
    asked: _Asked, slopes: Mapping[str, FloatArray], tolerances: Tolerances | None
) -> dict[str, Explanation]:
    """Explanations of some figures; what holds for all of them is worked out at once."""
    given = numbers(asked.bike)
    inputs = tuple(given)
    followed = np.array([slopes[key] for key in asked.explained])
    applied = applying(asked.bike, tolerances or {})
    spans = spread(followed, inputs, applied)
    parts: FloatArray = np.zeros(followed.shape)
    parts[:, [inputs.index(key) for key in applied]] = spans.parts
    terms = _Terms({**given, **asked.figures, **asked.explained})
    sources = _Inputs(terms, inputs, dict(zip(applied, spans.tolerances, strict=True)))
    rows = zip(
        asked.explained,
        spans.half_widths.tolist(),
        _ranked(followed, parts, asked.most),
        followed.tolist(),
        parts.tolist(),
        strict=True,
    )
    return {
        key: _explanation(
            key,
            terms,
            half_width=half_width if tolerances else None,
            inputs=tuple(sources.influence(at, slope[at], part[at]) for at in ranked),
        )
        for key, half_width, ranked, slope, part in rows
    }


def _ranked(slopes: FloatArray, parts: FloatArray, most: int | None) -> list[list[int]]:
    """Positions of each figure's inputs: those that do most, then those it follows most."""
    strength = np.abs(slopes)
    nothing = strength <= _NOTHING
    order = np.lexsort((-strength, -parts, nothing))[:, :most].tolist()
    counts = (~nothing).sum(axis=1).tolist()
    return [row[:count] for row, count in zip(order, counts, strict=True)]


class _Terms(dict[str, Term]):
    """Terms as they stand, by key, made when they are asked for."""

    def __init__(self, values: Mapping[str, Num]) -> None:
        super().__init__()
        self.values_of = values

    def __missing__(self, key: str) -> Term:
        told = entry(key)
        self[key] = Term(
            key=key,
            name=told.name,
            symbol=told.symbol,
            unit=told.unit,
            decimals=told.decimals,
            value=float(self.values_of[key]),
        )
        return self[key]


class _Inputs:
    """The inputs of a bike by their position, with their tolerances ±."""

    def __init__(self, terms: _Terms, keys: Sequence[str], tolerances: Mapping[str, Num]) -> None:
        self.terms, self.keys = terms, keys
        self.tolerances = {key: float(half_width) for key, half_width in tolerances.items()}

    def influence(self, at: int, slope: float, part: float) -> Influence:
        """One of them on a figure."""
        key = self.keys[at]
        tolerance = self.tolerances.get(key)
        return Influence(
            term=self.terms[key],
            source=GLOSSARY[key].source,
            slope=slope,
            tolerance=tolerance,
            part=None if tolerance is None else part,
        )


def _explanation(
    key: str, terms: _Terms, *, half_width: float | None, inputs: tuple[Influence, ...]
) -> Explanation:
    """One figure's explanation."""
    told = entry(key)
    return Explanation(
        key=key,
        name=told.name,
        symbol=told.symbol,
        unit=told.unit,
        decimals=told.decimals,
        definition=told.definition,
        formula=told.formula,
        source=told.source,
        value=terms[key].value,
        half_width=half_width,
        terms=tuple(terms[name] for name in TERMS[key] if name in terms.values_of),
        inputs=inputs,
    )
