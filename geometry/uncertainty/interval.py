"""The interval of every figure that comes out, from the tolerances of what goes in.

Conventions as in `geometry.uncertainty.tolerance`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from geometry.bike import Bike, figures
from geometry.core import FigureOfBike, FloatArray, InvalidInput, Num, plain
from geometry.glossary import entry
from geometry.uncertainty.tolerance import (
    SIGMAS,
    Figures,
    Kind,
    Sensitivities,
    Tolerance,
    Tolerances,
    applying,
    sensitivities,
    squared,
    standard_deviation,
)


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
    found = sensitivities(bike, applied, of=of)
    wanted = list(found.values if results is None else results)
    for name in wanted:
        entry(name)
        if name not in found.values:
            raise InvalidInput("results", name, FigureOfBike())
    return dict(zip(wanted, _spread(found, wanted, applied), strict=True))


def _spread(
    found: Sensitivities, wanted: Sequence[str], applied: Mapping[str, Sequence[Tolerance]]
) -> Iterator[Interval]:
    """The intervals of some figures, all worked out at once."""
    if not wanted:
        return
    shape = np.shape(found.values[wanted[0]])
    all_of = spread(np.array([found.slopes[name] for name in wanted]), found.inputs, applied)
    by_kind = {kind: _each(width, shape) for kind, width in all_of.kinds.items()}
    for at, name in enumerate(wanted):
        yield Interval(
            value=found.values[name],
            half_width=plain(all_of.half_widths[at]),
            parts=dict(zip(applied, _each(all_of.parts[at], shape), strict=True)),
            kinds={kind: each[at] for kind, each in by_kind.items()},
        )


class Spread(NamedTuple):
    """Uncertainties of several figures at once, as those of an `Interval` [mm, deg].

    ``tolerances`` are the inputs' own ±, ``parts`` of shape (figures, inputs with a tolerance,
    *bikes), the others (figures, *bikes).
    """

    tolerances: Sequence[Num]
    parts: FloatArray
    half_widths: FloatArray
    kinds: Mapping[Kind, FloatArray]


def spread(
    slopes: FloatArray, inputs: Sequence[str], applied: Mapping[str, Sequence[Tolerance]]
) -> Spread:
    """Uncertainties of several figures at once, from their slopes.

    Parameters
    ----------
    slopes : array (figures, inputs, *bikes)
        Each figure's slope by each input [figure's unit per input's unit].
    inputs : sequence of str
        Keys of the inputs, in the order of ``slopes``.
    applied : mapping of str to sequence of Tolerance
        As from `applying`; inputs without one are taken as exact.

    Returns
    -------
    Spread

    Notes
    -----
    Formula and source as in `intervals`.

    Examples
    --------
    >>> import numpy as np
    >>> widths = {"a": [Tolerance(half_width=3.0)], "b": [Tolerance(half_width=4.0)]}
    >>> float(spread(np.ones((1, 2)), ["a", "b"], widths).half_widths[0])
    5.0
    """
    shape = slopes.shape[2:]
    # In one piece, so that sums over it are rounded alike however it was made.
    slopes = slopes.take([inputs.index(key) for key in applied], axis=1)
    deviations = [standard_deviation(several) for several in applied.values()]
    parts = np.abs(slopes * _column(deviations, shape))
    parts *= SIGMAS
    squares = {
        kind: np.sum(
            np.square(slopes) * _column([squared(o, kind) for o in applied.values()], shape), 1
        )
        for kind in dict.fromkeys(one.kind for several in applied.values() for one in several)
    }
    return Spread(
        tolerances=[SIGMAS * deviation for deviation in deviations],
        parts=parts,
        half_widths=np.sqrt(sum(squares.values(), np.zeros((len(slopes), *shape)))),
        kinds={kind: np.sqrt(square) for kind, square in squares.items()},
    )


def _column(values: Sequence[Num], shape: tuple[int, ...]) -> FloatArray:
    """One number for each input, of the bikes' shape."""
    if not shape:
        return np.array(values, dtype=np.float64)
    return np.array([np.broadcast_to(value, shape) for value in values]).reshape(-1, *shape)


def _each(values: FloatArray, shape: tuple[int, ...]) -> list[Num]:
    """One row for each figure or input; plain numbers of one bike."""
    return list(values) if shape else values.tolist()
