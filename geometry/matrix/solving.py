"""The whole matrix at once: sizes × forks × wheel pairs × axle positions × states.

Axes, in this order everywhere::

    S size   F fork   W wheel pair   P axle position   T state

One call computes every figure of every combination as arrays. A hundred
thousand builds take milliseconds, memory grows with their number and no more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from geometry.bike import LOADINGS, Loading
from geometry.core import (
    ContradictoryInput,
    DifferentNames,
    FloatArray,
    InvalidInput,
    OneOf,
    SomethingGiven,
    first_bad,
)
from geometry.matrix.axes import AxlePositions, Forks, Sizes, WheelPairs
from geometry.matrix.kernel import BLOCK, Prepared, Scratch, solve_block
from geometry.matrix.remedies import BuildThatStands
from geometry.matrix.rows import check_standover, prepare, unreachable


class BuildIndex(NamedTuple):
    """Which build of a matrix: a place on each of its five axes."""

    size: int
    fork: int
    wheels: int
    position: int
    state: int


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Matrix:
    """Every figure of every build, arrays of shape (S, F, W, P, T).

    Lengths [mm], angles [deg], shares [of 1]; each array contiguous, float64.
    Figures are named and meant as in `geometry.bike.standing.Standing`.

    Parameters
    ----------
    effective_seat_angle : array [deg], if saddle heights were given
        BB centre to where the seat tube's axis reaches the saddle height.
    grips_to_rear_axle, grips_to_rear_axle_straight : array [mm], if a cockpit was
        Grips to rear axle, level and straight.
    standover : array [mm], if its place was given
        Top tube's upper edge above the ground.
    front_share : array [of 1], if a mass centre was given
        Share of the load on the front wheel.
    possible : array of bool
        False where a build cannot exist; its figures are NaN there, and only
        there. All true unless the matrix was asked to mark such builds.
    states : tuple of str
        Names along the last axis.
    """

    head_angle: FloatArray
    seat_tube_angle: FloatArray
    reach: FloatArray
    stack: FloatArray
    effective_top_tube: FloatArray
    bb_drop: FloatArray
    bb_drop_front: FloatArray
    bb_height: FloatArray
    chainstay_length: FloatArray
    rear_centre: FloatArray
    front_centre: FloatArray
    front_centre_straight: FloatArray
    wheelbase: FloatArray
    trail: FloatArray
    mechanical_trail: FloatArray
    wheel_flop: FloatArray
    turn: FloatArray
    effective_seat_angle: FloatArray | None = None
    grips_to_rear_axle: FloatArray | None = None
    grips_to_rear_axle_straight: FloatArray | None = None
    standover: FloatArray | None = None
    front_share: FloatArray | None = None
    possible: NDArray[np.bool_]
    states: tuple[str, ...]

    @property
    def shape(self) -> tuple[int, ...]:
        """(S, F, W, P, T)."""
        return self.turn.shape

    @property
    def outputs(self) -> dict[str, FloatArray]:
        """The arrays there are, by name."""
        names = (field.name for field in fields(self) if field.name not in ("possible", "states"))
        found = ((name, getattr(self, name)) for name in names)
        return {name: value for name, value in found if value is not None}

    def at(self, index: BuildIndex) -> dict[str, float]:
        """Every figure of one build [mm, deg]."""
        return {name: float(value[index]) for name, value in self.outputs.items()}

    def change(self, before: str, after: str) -> dict[str, FloatArray]:
        """What changes from one state to another, signed, arrays (S, F, W, P) by figure.

        Parameters
        ----------
        before, after : str
            Names among ``states``.

        Raises
        ------
        InvalidInput
            A state that the matrix does not hold.
        """
        one, other = self._state("before", before), self._state("after", after)
        return {name: value[..., other] - value[..., one] for name, value in self.outputs.items()}

    def _state(self, field: str, name: str) -> int:
        if name not in self.states:
            raise InvalidInput(field, name, OneOf(choices=self.states))
        return self.states.index(name)


RIDER_OUTPUTS = {
    "effective_seat_angle": "effective_seat_angle",
    "grips_to_rear_axle": "grips_x",
    "grips_to_rear_axle_straight": "grips_x",
    "standover": "ahead",
    "front_share": "mass_x",
}
"""Outputs that need more than the bare bike, and the row each is made from."""

BARE_OUTPUTS = tuple(
    field.name
    for field in fields(Matrix)
    if field.name not in (*RIDER_OUTPUTS, "possible", "states")
)
"""Outputs of the bare bike."""


def solve_matrix(
    *,
    sizes: Sizes,
    forks: Forks,
    wheels: WheelPairs,
    positions: AxlePositions,
    states: Sequence[Loading] = LOADINGS,
    impossible: Literal["refuse", "mark"] = "refuse",
) -> Matrix:
    """Every figure of all sizes × forks × wheel pairs × axle positions × states.

    Parameters
    ----------
    sizes : Sizes
        S sizes, each with what is known of its rider.
    forks : Forks
        F forks with headset and sag.
    wheels : WheelPairs
        W pairs of radii with their deflections.
    positions : AxlePositions
        P axle positions, shared by the sizes.
    states : sequence of Loading
        T states; unloaded, sagged and bottomed if not given.
    impossible : {"refuse", "mark"}
        What becomes of combinations that cannot exist (wheels that overlap, a
        position outside a size's slot, a compression beyond a fork's travel, a
        front axle behind the rear, a tube fallen level): the first raises, or
        all are NaN with ``possible`` false.

    Returns
    -------
    Matrix
        Arrays of shape (S, F, W, P, T), build for build what `stand`, `hands`,
        `seated` and `standover` give.

    Raises
    ------
    ContradictoryInput
        A combination that cannot exist; ``index`` is its place on the five axes.
    InvalidInput
        No states, two of one name, or a standover place beyond the top tube.

    Notes
    -----
    Formulas and sources as in `geometry.bike.standing.solve`.

    Examples
    --------
    >>> from geometry.examples import trail_fork, trail_hardtail
    >>> found = solve_matrix(
    ...     sizes=Sizes(frame=trail_hardtail(), saddle_height=740.0),
    ...     forks=Forks(fork=trail_fork(), lower_headset_stack=12.0, sag=25.0),
    ...     wheels=WheelPairs(front_radius=np.array([370.0, 360.0]), rear_radius=370.0),
    ...     positions=AxlePositions(at=np.array([0.0, 8.0, 16.0])),
    ... )
    >>> found.shape, found.states
    ((1, 1, 2, 3, 3), ('unloaded', 'sagged', 'bottomed'))
    >>> round(float(found.head_angle[0, 0, 0, 0, 0]), 2)
    68.0
    """
    _check_states(states)
    if impossible not in ("refuse", "mark"):
        raise InvalidInput("impossible", impossible, OneOf(choices=("refuse", "mark")))
    shape = (sizes.count, forks.count, wheels.count, positions.count, len(states))
    given = prepare(
        sizes=sizes, forks=forks, wheels=wheels, positions=positions, states=states, shape=shape
    )
    names = BARE_OUTPUTS + tuple(n for n, row in RIDER_OUTPUTS.items() if row in given.rows)
    values = np.empty((len(names), shape[0] * shape[1], shape[2], shape[3] * shape[4]))
    possible = ~unreachable(sizes, forks, positions, states, shape)
    _fill(given, dict(zip(names, values, strict=True)), possible.reshape(values.shape[1:]))
    if not possible.all():
        if impossible == "refuse":
            _refuse_first(possible)
        values[:, ~possible.reshape(values.shape[1:])] = np.nan
    arrays = {name: value.reshape(shape) for name, value in zip(names, values, strict=True)}
    found = Matrix(**arrays, possible=possible, states=tuple(state.name for state in states))
    check_standover(sizes, found.turn, possible)
    return found


def _check_states(states: Sequence[Loading]) -> None:
    names = [state.name for state in states]
    if not names:
        raise InvalidInput("states", "empty", SomethingGiven())
    if len(set(names)) < len(names):
        raise InvalidInput("states", ", ".join(names), DifferentNames())


def _fill(given: Prepared, out: dict[str, FloatArray], possible: NDArray[np.bool_]) -> None:
    """Solve block by block; the blocks are of the cache's size, not of builds."""
    rows, wheels, line = possible.shape
    many = max(1, min(wheels, BLOCK // line))
    deep = max(1, BLOCK // (wheels * line)) if many == wheels else 1
    scratch = Scratch(deep * many * line)
    # What cannot stand is found block by block and never reaches the caller.
    with np.errstate(invalid="ignore", divide="ignore"):
        for row in range(0, rows, deep):
            for wheel in range(0, wheels, many):
                block = slice(row, min(row + deep, rows)), slice(wheel, min(wheel + many, wheels))
                bad = solve_block(given, out, scratch, *block)
                if bad is not None:
                    possible[block] &= ~bad


def _refuse_first(possible: NDArray[np.bool_]) -> None:
    """Raise for the first build that cannot exist."""
    index = first_bad(~possible)
    place = BuildIndex(*index) if index is not None else None
    raise ContradictoryInput("build", place, BuildThatStands(), index)
