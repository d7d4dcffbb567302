"""Tolerances of what goes in, and how every figure that comes out follows it.

One convention throughout: a tolerance ± t is the half-width of an interval that
holds about 95 in 100 cases, two standard deviations (2 σ) of a normal spread.
Intervals of figures are the same: 66.4° ± 0.3 holds the bike's head angle about
95 times in 100.

An input may carry several tolerances: how it was drawn (rounding), made
(welding, moulding) and measured. They, and those of different inputs, are taken
as independent, and add in squares.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
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
from geometry.glossary import inputs

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
    return plain(np.sqrt(squared(_several(tolerance))) / SIGMAS)


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
    has = numbers(bike)
    for key in tolerances:
        if key not in has and key not in {e.key for e in inputs()}:
            raise InvalidInput("tolerances", key, KeyOfInput())
    return {key: _several(one) for key, one in tolerances.items() if key in has}


def squared(several: Sequence[Tolerance], kind: Kind | None = None) -> Num:
    """The squares of an input's tolerances, or of those of one kind, added up."""
    widths = (one.half_width for one in several if kind is None or one.kind == kind)
    return sum((width * width for width in widths), 0.0)
