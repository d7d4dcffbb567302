"""Tolerances of what goes in, and the interval of every figure that comes out.

One convention throughout: a tolerance ± t is the half-width of an interval that
holds about 95 in 100 cases, two standard deviations (2 σ) of a normal spread.
Intervals of figures are the same: 66.4° ± 0.3 holds the bike's head angle about
95 times in 100.

An input may carry several tolerances: how it was drawn (rounding), made
(welding, moulding) and measured. They, and those of different inputs, are taken
as independent, and add in squares.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np

from geometry.bike import Bike, figures, jacobian, numbers
from geometry.core import (
    Checked,
    FigureOfBike,
    FloatArray,
    InputOfBike,
    InvalidInput,
    KeyOfInput,
    Num,
    OneOf,
    number,
    plain,
)
from geometry.glossary import entry, inputs

Kind = Literal["drawn", "made", "measured"]
"""Where an uncertainty comes from: the drawing, the making or the measuring."""

SIGMAS = 2.0
"""Standard deviations in a half-width ±."""


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Tolerance(Checked):
    """How far a number may be from what is stated: ± half_width, about 95 in 100.

    Parameters
    ----------
    half_width : float or array [mm or deg, as the input]
        Two standard deviations.
    kind : {"drawn", "made", "measured"}
        Where it comes from.

    Examples
    --------
    >>> Tolerance(half_width=0.5, kind="made").half_width
    0.5
    """

    half_width: Num = number("the input's unit", least=0)
    kind: Kind = "made"

    def __post_init__(self) -> None:
        Checked.__post_init__(self)
        if self.kind not in get_args(Kind):
            raise InvalidInput("kind", self.kind, OneOf(choices=get_args(Kind)))


Figures = Callable[[Bike], Mapping[str, Num]]
"""From a bike to its figures, by their keys."""

Tolerances = Mapping[str, Tolerance | Sequence[Tolerance]]
"""Tolerances by their input's key in the glossary (``"frame.head_angle"``)."""


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Sensitivities:
    """How the figures of a bike follow its inputs.

    Parameters
    ----------
    inputs : tuple of str
        Keys of k inputs.
    values : mapping of str to float or array
        Every figure [mm, deg], of the bike's shape.
    slopes : mapping of str to array (k, *shape)
        For every figure its slope by each input, in the order of ``inputs``.
    """

    inputs: tuple[str, ...]
    values: Mapping[str, Num]
    slopes: Mapping[str, FloatArray]

    def of(self, figure: str, by: str) -> Num:
        """Slope of one figure by one input [figure's unit per input's unit]."""
        if figure not in self.slopes:
            raise InvalidInput("figure", figure, FigureOfBike())
        if by not in self.inputs:
            raise InvalidInput("by", by, InputOfBike())
        return plain(self.slopes[figure][self.inputs.index(by)])


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Interval:
    """A figure with its uncertainty: value ± half_width, about 95 in 100.

    Parameters
    ----------
    value : float or array [mm, deg]
    half_width : float or array [mm, deg]
        Two standard deviations.
    parts : mapping of str to float or array [mm, deg]
        What each input's tolerance alone would give; their squares add up to
        the half-width's square.
    kinds : mapping of str to float or array [mm, deg]
        The same for all that was drawn, made and measured.
    """

    value: Num
    half_width: Num
    parts: Mapping[str, Num]
    kinds: Mapping[Kind, Num]

    @property
    def low(self) -> Num:
        """Lower end [mm, deg]."""
        return self.value - self.half_width

    @property
    def high(self) -> Num:
        """Upper end [mm, deg]."""
        return self.value + self.half_width

    def ranked(self) -> list[tuple[str, float]]:
        """Inputs and their parts, largest first; for arrays by their root mean square."""
        sizes = {key: float(np.sqrt(np.mean(np.square(p)))) for key, p in self.parts.items()}
        return sorted(sizes.items(), key=lambda item: -item[1])

    @property
    def largest(self) -> str | None:
        """Key of the input that adds most, ``None`` when none adds anything."""
        ranked = self.ranked()
        return ranked[0][0] if ranked and ranked[0][1] > 0 else None


def sensitivities(
    bike: Bike, by: Iterable[str] | None = None, *, of: Figures = figures
) -> Sensitivities:
    """How every figure of a bike follows its inputs, exactly.

    Parameters
    ----------
    bike : Bike
        One bike, or arrays of bikes.
    by : iterable of str, optional
        Keys of the inputs; all of the bike's if not given.
    of : callable, optional
        From a bike to other figures than those of the standing bike.

    Returns
    -------
    Sensitivities
        Slopes [figure's unit per input's unit], arrays (k, *shape).

    Raises
    ------
    InvalidInput
        A key that is no input of this bike.

    Notes
    -----
    Complex step through the solver itself; see `jacobian`.

    Examples
    --------
    Twenty millimetres more fork slacken the head angle by about a degree.

    >>> from geometry.examples import trail_build
    >>> found = sensitivities(Bike(build=trail_build()), ["fork.axle_to_crown"])
    >>> round(20 * found.of("head_angle", "fork.axle_to_crown"), 1)
    -0.9
    """
    keys = tuple(numbers(bike)) if by is None else tuple(by)
    return Sensitivities(inputs=keys, values=of(bike), slopes=jacobian(of, bike, keys))


def standard_deviation(tolerance: Tolerance | Sequence[Tolerance]) -> Num:
    """Standard deviation of an input from its tolerances.

    Parameters
    ----------
    tolerance : Tolerance or sequence of Tolerance

    Returns
    -------
    float or array [mm, deg]
        ``sqrt(Σ half_width²) / 2``.

    Examples
    --------
    >>> drawn = Tolerance(half_width=0.3, kind="drawn")
    >>> made = Tolerance(half_width=0.4, kind="made")
    >>> round(standard_deviation([drawn, made]), 3)
    0.25
    """
    squares = sum(np.square(one.half_width) for one in _several(tolerance))
    return plain(np.sqrt(squares) / SIGMAS)


def _several(tolerance: Tolerance | Sequence[Tolerance]) -> Sequence[Tolerance]:
    """One or more tolerances as a sequence."""
    return (tolerance,) if isinstance(tolerance, Tolerance) else tuple(tolerance)


def applying(bike: Bike, tolerances: Tolerances) -> dict[str, Sequence[Tolerance]]:
    """The tolerances of those inputs that a bike has, each as a sequence.

    Parameters
    ----------
    bike : Bike
    tolerances : mapping of str to Tolerance or sequence of Tolerance
        A builder's whole list; inputs of parts that this bike does not have
        are left out.

    Returns
    -------
    dict of str to sequence of Tolerance

    Raises
    ------
    InvalidInput
        A key that is no input at all.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> stated = {
    ...     "fork.offset": Tolerance(half_width=1.0),
    ...     "stem.length": Tolerance(half_width=1.0),
    ... }
    >>> list(applying(Bike(build=trail_build()), stated))
    ['fork.offset']
    """
    known = {e.key for e in inputs()}
    for key in tolerances:
        if key not in known:
            raise InvalidInput("tolerances", key, KeyOfInput())
    has = numbers(bike)
    return {key: _several(one) for key, one in tolerances.items() if key in has}


def intervals(
    bike: Bike,
    tolerances: Tolerances,
    results: Iterable[str] | None = None,
    *,
    of: Figures = figures,
) -> dict[str, Interval]:
    """Every figure of a bike with its interval, from the tolerances of its inputs.

    Parameters
    ----------
    bike : Bike
        One bike, or arrays of bikes.
    tolerances : mapping of str to Tolerance or sequence of Tolerance
        By input; an input without one is taken as exact. Tolerances of parts
        that the bike does not have are left out.
    results : iterable of str, optional
        Keys of the figures wanted; all if not given.
    of : callable, optional
        From a bike to other figures than those of the standing bike.

    Returns
    -------
    dict of str to Interval
        By figure, of the bike's shape.

    Raises
    ------
    InvalidInput
        A key that is no input, or no figure of this bike.

    Notes
    -----
    Linear propagation of independent errors: with slopes aᵢ and half-widths
    tᵢ, ``half_width² = Σ (aᵢ tᵢ)²``. Source: JCGM 100:2008 (GUM), clause 5.1,
    with a coverage factor of 2. Checked against Monte Carlo to 3 %.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> tolerances = {
    ...     "frame.head_angle": Tolerance(half_width=0.2, kind="made"),
    ...     "fork.axle_to_crown": Tolerance(half_width=3.0, kind="made"),
    ... }
    >>> found = intervals(Bike(build=trail_build()), tolerances)["head_angle"]
    >>> print(f"{found.value:.1f} ± {found.half_width:.1f}, most from {found.largest}")
    68.0 ± 0.2, most from frame.head_angle
    """
    applied = applying(bike, tolerances)
    return intervals_from(sensitivities(bike, applied, of=of), applied, results)


def intervals_from(
    found: Sensitivities,
    applied: Mapping[str, Sequence[Tolerance]],
    results: Iterable[str] | None = None,
) -> dict[str, Interval]:
    """Figures with their intervals, as `intervals` has them, from slopes that are known.

    Parameters
    ----------
    found : Sensitivities
        By every input of ``applied``, and maybe others.
    applied : mapping of str to sequence of Tolerance
        As from `applying`.
    results : iterable of str, optional
        Keys of the figures wanted; all if not given.

    Returns
    -------
    dict of str to Interval

    Raises
    ------
    InvalidInput
        A key that is no figure of this bike.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> bike, stated = Bike(build=trail_build()), {"frame.reach": Tolerance(half_width=1.0)}
    >>> found = intervals_from(sensitivities(bike), applying(bike, stated), ["reach"])
    >>> round(found["reach"].half_width, 2)
    1.0
    """
    wanted = list(found.values if results is None else results)
    for name in wanted:
        entry(name)
        if name not in found.values:
            raise InvalidInput("results", name, FigureOfBike())
    return dict(zip(wanted, _spread(found, wanted, applied), strict=True))


def _spread(
    found: Sensitivities, wanted: Sequence[str], applied: Mapping[str, Sequence[Tolerance]]
) -> Iterator[Interval]:
    """The intervals of some figures, all worked out at once; figures × inputs × bikes."""
    shape = np.shape(found.values[wanted[0]]) if wanted else ()
    rows = [found.inputs.index(key) for key in applied]
    slopes = np.array([found.slopes[name][rows] for name in wanted])
    parts = np.abs(slopes * _column([standard_deviation(o) for o in applied.values()], shape))
    parts *= SIGMAS
    squares = {
        kind: np.sum(
            np.square(slopes) * _column([_square(o, kind) for o in applied.values()], shape), 1
        )
        for kind in dict.fromkeys(one.kind for several in applied.values() for one in several)
    }
    half_widths = np.sqrt(sum(squares.values(), np.zeros((len(wanted), *shape))))
    by_kind = {kind: _each(np.sqrt(square), shape) for kind, square in squares.items()}
    for at, name in enumerate(wanted):
        yield Interval(
            value=found.values[name],
            half_width=plain(half_widths[at]),
            parts=dict(zip(applied, _each(parts[at], shape), strict=True)),
            kinds={kind: each[at] for kind, each in by_kind.items()},
        )


def _square(several: Sequence[Tolerance], kind: Kind) -> Num:
    """The squares of an input's tolerances of one kind, added up."""
    return sum((np.square(one.half_width) for one in several if one.kind == kind), 0.0)


def _column(values: Sequence[Num], shape: tuple[int, ...]) -> FloatArray:
    """One number for each input, of the bikes' shape."""
    if not shape:
        return np.array(values, dtype=np.float64)
    return np.array([np.broadcast_to(value, shape) for value in values]).reshape(-1, *shape)


def _each(values: FloatArray, shape: tuple[int, ...]) -> list[Num]:
    """One row for each figure or input; plain numbers of one bike."""
    return list(values) if shape else values.tolist()
