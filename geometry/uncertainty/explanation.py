"""Why a figure is what it is: as typed data that pages, interface and paper render.

Every figure comes with its name, definition, formula, the terms of the formula
as they stand, the inputs it rests on with how strongly it follows each, its
source and its interval.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.bike import Bike, closure, figures, numbers
from geometry.core import (
    FigureOfBike,
    InvalidInput,
    Num,
    OneAtATime,
)
from geometry.glossary import GLOSSARY, TERMS, entry
from geometry.uncertainty.tolerance import (
    Figures,
    Interval,
    Sensitivities,
    Tolerances,
    applying,
    intervals_from,
    sensitivities,
)

_SECOND_DIGIT_BELOW = 2.0
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


def printed(value: float, unit: str, decimals: int, half_width: float | None = None) -> str:
    """A value with its unit and interval, to no more digits than the interval bears.

    Parameters
    ----------
    value : float [mm, deg]
    unit : str
        ``"mm"``, ``"°"`` or empty.
    decimals : int
        Most to print.
    half_width : float, optional [mm, deg]
        Of the interval.

    Returns
    -------
    str

    Notes
    -----
    The half-width is printed to its first digit, to its second when the first
    is 1, and the value to the same place; common practice in stating
    measurements.

    Examples
    --------
    >>> printed(66.418, "°", 2, 0.31), printed(1171.13, "mm", 1, 4.2)
    ('66.4° ± 0.3', '1171 mm ± 4')
    >>> printed(66.418, "°", 2)
    '66.42°'
    """
    space = unit and ("" if unit == "°" else " ")
    if half_width is None:
        return _number(value, decimals) + space + unit
    places = min(decimals, places_of(half_width))
    return f"{_number(value, places)}{space}{unit} ± {_number(half_width, places)}"


def _number(value: float, decimals: int) -> str:
    """A number with fixed decimals, never ``-0``, with a true minus sign."""
    text = f"{round(value, decimals) + 0.0:.{decimals}f}"
    return text.replace("-", "−")


def places_of(half_width: float) -> int:
    """Decimals that a half-width bears.

    Parameters
    ----------
    half_width : float [any unit]
        For 0 any number of decimals.

    Returns
    -------
    int
        To its first digit, to its second when the first is 1.

    Examples
    --------
    >>> places_of(0.31), places_of(0.14), places_of(4.2), places_of(0.0)
    (1, 2, 0, 9)
    """
    if half_width == 0:
        return 9
    exponent = int(np.floor(np.log10(half_width)))
    leading = half_width / 10.0**exponent
    return max(0, -exponent + (leading < _SECOND_DIGIT_BELOW))


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
    of = closures if key.startswith("closure_") else figures
    return _explained(bike, of, tolerances, key)[key]


def explain_all(bike: Bike, tolerances: Tolerances | None = None) -> dict[str, Explanation]:
    """Every figure of a bike, explained, by its key in the order of a sheet.

    Parameters
    ----------
    bike : Bike
        One bike.
    tolerances : mapping of str to Tolerance or sequence of Tolerance, optional
        By input.

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
    return _explained(bike, figures, tolerances)


def _explained(
    bike: Bike, of: Figures, tolerances: Tolerances | None, only: str | None = None
) -> dict[str, Explanation]:
    """Explanations of some figures; slopes are taken once for all of them."""
    if bike.shape != ():
        raise InvalidInput("bike", f"of shape {bike.shape}", OneAtATime())
    found = sensitivities(bike, of=of)
    if only is not None and only not in found.values:
        raise InvalidInput("key", only, FigureOfBike())
    wanted = list(found.values) if only is None else [only]
    applied = applying(bike, tolerances or {})
    spans = intervals_from(found, applied, wanted) if tolerances else {}
    stated = {
        key: float(np.sqrt(sum(np.square(one.half_width) for one in several)))
        for key, several in applied.items()
    }
    own = found.values if of is figures else figures(bike)
    values = {**numbers(bike), **own, **found.values}
    terms = {key: _term(key, value) for key, value in values.items()}
    known = [(terms[key], GLOSSARY[key].source, stated.get(key)) for key in found.inputs]
    return {
        key: _explanation(key, found, terms=terms, span=spans.get(key), known=known)
        for key in wanted
    }


_Known = tuple[Term, str, float | None]
"""An input as used, where such a value comes from, and its half-width."""


def _explanation(
    key: str,
    found: Sensitivities,
    *,
    terms: Mapping[str, Term],
    span: Interval | None,
    known: Sequence[_Known],
) -> Explanation:
    """One figure's explanation from its slopes and interval."""
    told = entry(key)
    parts: Mapping[str, Num] = {} if span is None else span.parts
    rests = [
        Influence(
            term=term,
            source=source,
            slope=slope,
            tolerance=tolerance,
            part=_part(parts, term.key),
        )
        for (term, source, tolerance), slope in zip(known, found.slopes[key].tolist(), strict=True)
        if abs(slope) > _NOTHING
    ]
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
        half_width=None if span is None else float(span.half_width),
        terms=tuple(terms[name] for name in TERMS[key] if name in terms),
        inputs=tuple(sorted(rests, key=lambda one: (-(one.part or 0.0), -abs(one.slope)))),
    )


def _part(parts: Mapping[str, Num], key: str) -> float | None:
    """What the tolerance of an input does to a figure; None where it has none."""
    part = parts.get(key)
    return None if part is None else float(part)


def _term(key: str, value: Num) -> Term:
    """A term as it stands."""
    told = entry(key)
    return Term(
        key=key,
        name=told.name,
        symbol=told.symbol,
        unit=told.unit,
        decimals=told.decimals,
        value=float(value),
    )
