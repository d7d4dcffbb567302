"""The inner work of the matrix: whole blocks of builds through NumPy's own loops.

`geometry.bike.standing.solve` says the same in readable form; here every step writes
into memory set aside beforehand, and runs over blocks of builds small enough to
stay in the processor's cache. What depends on few axes is computed on those
alone:

=======  =============  ====================================================
operand  shape          depends on
=======  =============  ====================================================
row      (N, 1, 1)      size and fork, N = sizes × forks
leg      (n, 1, P·T)    size, fork, position and state: the line of the axles
wheel    (1, W, P·T)    wheels and state
full     (n, W, P·T)    everything
=======  =============  ====================================================
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from geometry.core import FloatArray, Num

BLOCK = 16384
"""Builds worked on at a time: the working memory of so many fits a common
second-level cache, and calls into NumPy cost little beside their work."""

_SHORT = 64
"""Runs shorter than this waste NumPy's inner loops: below it in P·T, legs are
spread over the wheels first, and below it in W·P·T rows over the block."""

_DEGREES = 180.0 / np.pi


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Prepared:
    """A matrix's inputs on their small axes; lengths [mm], angles [deg].

    ``rows`` holds arrays (N, 1, 1) by name; ``front_x`` and ``front_y`` (N, T)
    the front axle and ``rear`` named arrays (S, P·T) about the rear axle, in
    the drawn attitude; ``wheels`` arrays (1, W, P·T). Optional rows decide
    which outputs there are.
    """

    rows: dict[str, FloatArray]
    front_x: FloatArray
    front_y: FloatArray
    rear: dict[str, FloatArray]
    wheels: dict[str, FloatArray]
    sizes: int
    positions: int


class Scratch:
    """Memory for one block, used again for the next."""

    def __init__(self, size: int) -> None:
        self._memory = np.empty((5, size))

    def take(self, shape: tuple[int, ...]) -> list[FloatArray]:
        """Five arrays of the block's shape."""
        size = shape[0] * shape[1] * shape[2]
        return [memory[:size].reshape(shape) for memory in self._memory]


class _Block(NamedTuple):
    """One block's part of everything, and the memory to work in."""

    into: dict[str, FloatArray]
    row: dict[str, FloatArray]
    leg: dict[str, FloatArray]
    wheel: dict[str, FloatArray]
    cosine: FloatArray
    sine: FloatArray
    one: FloatArray
    other: FloatArray
    spare: FloatArray

    def plus(self, out: FloatArray, a: Num, x: Num, b: Num, y: Num) -> None:
        """``out = a x + b y``; `out` may not be among the factors."""
        np.multiply(a, x, out=out)
        np.multiply(b, y, out=self.spare)
        np.add(out, self.spare, out=out)

    def minus(self, out: FloatArray, a: Num, x: Num, b: Num, y: Num) -> None:
        """``out = a x − b y``; `out` may not be among the factors."""
        np.multiply(a, x, out=out)
        np.multiply(b, y, out=self.spare)
        np.subtract(out, self.spare, out=out)


def solve_block(
    given: Prepared,
    out: dict[str, FloatArray],
    scratch: Scratch,
    rows: slice[int, int, None],
    wheels: slice[int, int, None],
) -> NDArray[np.bool_] | None:
    """Every figure of one block of builds.

    Parameters
    ----------
    given : Prepared
        The inputs.
    out : dict of str to array (N, W, P·T) [mm, deg]
        Written in place, the block's part only.
    scratch : Scratch
        Of at least the block's size.
    rows, wheels : slice
        The block.

    Returns
    -------
    array of bool (n, W, P·T) or None
        Builds that cannot stand; ``None`` when all can.

    Notes
    -----
    Formulas and sources as in `geometry.bike.standing.solve`, `geometry.bike.cockpit` and
    `geometry.bike.steering_geometry`, build for build the same figures.

    Examples
    --------
    What `geometry.matrix.solving.solve_matrix` does, for a matrix of one build.

    >>> from geometry.examples import trail_fork, trail_hardtail
    >>> from geometry.matrix.solving import BARE_OUTPUTS
    >>> from geometry.matrix import AxlePositions, Forks, Sizes, WheelPairs
    >>> from geometry.matrix.rows import prepare
    >>> from geometry.bike import LOADINGS
    >>> given = prepare(
    ...     sizes=Sizes(frame=trail_hardtail()),
    ...     forks=Forks(fork=trail_fork(), lower_headset_stack=12.0),
    ...     wheels=WheelPairs(front_radius=375.0, rear_radius=375.0),
    ...     positions=AxlePositions(),
    ...     states=LOADINGS[:1],
    ...     shape=(1, 1, 1, 1, 1),
    ... )
    >>> out = {name: np.empty((1, 1, 1)) for name in BARE_OUTPUTS}
    >>> solve_block(given, out, Scratch(1), slice(0, 1), slice(0, 1))
    >>> round(out["head_angle"].item(), 2)
    68.0
    """
    into = {name: value[rows, wheels] for name, value in out.items()}
    shape = into["turn"].shape
    leg = _legs(given, rows)
    row = {name: value[rows] for name, value in given.rows.items()}
    if shape[2] < _SHORT:
        leg |= {name: _spread(leg[name], shape) for name in _IN_FORMULAS}
    if shape[1] * shape[2] < _SHORT:
        row = {name: _spread(value, shape) for name, value in row.items()}
    block = _Block(
        into,
        row,
        leg,
        {name: value[:, wheels] for name, value in given.wheels.items()},
        *scratch.take(shape),
    )
    _turn(block)
    _axles(block)
    _tubes(block)
    upright = _head(block) and _seat(block) and _positive(block.cosine)
    _rider(block)
    _standover(block)
    apart = block.wheel["radii"].max() < leg["distance"].min()
    return None if upright and apart else _impossible(block)


def _spread(value: FloatArray, shape: tuple[int, ...]) -> FloatArray:
    """A row's or leg's numbers repeated to the block's shape."""
    if value.shape[1:] == (1, 1):
        return np.repeat(value.reshape(-1), shape[1] * shape[2]).reshape(shape)
    return value if value.shape == shape else np.broadcast_to(value, shape).copy()


_IN_FORMULAS = ("distance", "reciprocal", "along_x", "along_y", "slope", "rear_x", "rear_y")


def _legs(given: Prepared, rows: slice[int, int, None]) -> dict[str, FloatArray]:
    """The line from rear to front axle, drawn attitude, (n, 1, P·T)."""
    forks = given.front_x.shape[0] // given.sizes
    size = np.arange(rows.start, rows.stop) // forks
    leg = {name: value[size] for name, value in given.rear.items()}
    split = (size.size, given.positions, given.front_x.shape[1])
    front_x, front_y = given.front_x[rows, None, :], given.front_y[rows, None, :]
    dx = (front_x - leg["rear_x"].reshape(split)).reshape(size.size, -1)
    dy = (front_y - leg["rear_y"].reshape(split)).reshape(size.size, -1)
    leg["distance"] = np.sqrt(dx * dx + dy * dy)
    leg["reciprocal"] = 1.0 / leg["distance"]
    leg["along_x"] = dx * leg["reciprocal"]
    leg["along_y"] = dy * leg["reciprocal"]
    leg["slope"] = np.arctan2(dy, dx) * _DEGREES
    straight = np.broadcast_to(np.sqrt(front_x * front_x + front_y * front_y), split)
    leg["front_straight"] = straight.reshape(size.size, -1)
    return {name: value[:, None, :] for name, value in leg.items()}


def _turn(at: _Block) -> None:
    """The turn to the ground with its cosine and sine; the wheelbase on the way."""
    turn, leg, rise, level = at.into["turn"], at.leg, at.one, at.other
    np.multiply(at.wheel["difference"], leg["reciprocal"], out=rise)
    np.multiply(rise, rise, out=level)
    np.subtract(1.0, level, out=level)
    np.sqrt(level, out=level)
    np.arcsin(rise, out=turn)
    np.multiply(turn, _DEGREES, out=turn)
    np.subtract(turn, leg["slope"], out=turn)
    np.multiply(level, leg["distance"], out=at.into["wheelbase"])
    at.plus(at.cosine, level, leg["along_x"], rise, leg["along_y"])
    at.minus(at.sine, rise, leg["along_x"], level, leg["along_y"])


def _axles(at: _Block) -> None:
    """Where both axles stand, and the BB over the ground."""
    into, leg = at.into, at.leg
    at.minus(into["rear_centre"], at.sine, leg["rear_y"], at.cosine, leg["rear_x"])
    at.plus(into["bb_drop"], at.sine, leg["rear_x"], at.cosine, leg["rear_y"])
    np.subtract(into["wheelbase"], into["rear_centre"], out=into["front_centre"])
    np.add(into["bb_drop"], at.wheel["difference"], out=into["bb_drop_front"])
    np.subtract(at.wheel["rear"], into["bb_drop"], out=into["bb_height"])
    into["chainstay_length"][...] = leg["chainstay_length"]
    into["front_centre_straight"][...] = leg["front_straight"]


def _tubes(at: _Block) -> None:
    """Angles of the tubes and the head tube's top."""
    into, row = at.into, at.row
    for name in ("head_angle", "seat_tube_angle", "effective_seat_angle"):
        if name in into:
            np.subtract(row[name], into["turn"], out=into[name])
    at.minus(into["reach"], at.cosine, row["reach"], at.sine, row["stack"])
    at.plus(into["stack"], at.sine, row["reach"], at.cosine, row["stack"])


def _head(at: _Block) -> bool:
    """Trail three ways; true when every steering axis points up."""
    row, sine, cosine = at.row, at.one, at.other
    at.minus(sine, at.cosine, row["head_sine"], at.sine, row["head_cosine"])
    at.plus(cosine, at.cosine, row["head_cosine"], at.sine, row["head_sine"])
    mechanical = at.into["mechanical_trail"]
    np.multiply(at.wheel["front"], cosine, out=mechanical)
    np.subtract(mechanical, row["offset"], out=mechanical)
    np.divide(mechanical, sine, out=at.into["trail"])
    np.multiply(mechanical, cosine, out=at.into["wheel_flop"])
    return _positive(sine)


def _seat(at: _Block) -> bool:
    """Effective top tube; true when every seat tube points up."""
    row, sine = at.row, at.one
    at.minus(sine, at.cosine, row["seat_sine"], at.sine, row["seat_cosine"])
    np.divide(row["top_to_seat_axis"], sine, out=at.into["effective_top_tube"])
    return _positive(sine)


def _rider(at: _Block) -> None:
    """Grips and load share, where cockpit and mass centre are given."""
    into, row = at.into, at.row
    if "grips_x" in row:
        level = into["grips_to_rear_axle"]
        at.minus(level, at.cosine, row["grips_x"], at.sine, row["grips_y"])
        np.add(level, into["rear_centre"], out=level)
        into["grips_to_rear_axle_straight"][...] = at.leg["grips_straight"]
    if "mass_x" in row:
        share = into["front_share"]
        at.minus(share, at.cosine, row["mass_x"], at.sine, row["mass_y"])
        np.add(share, into["rear_centre"], out=share)
        np.divide(share, into["wheelbase"], out=share)


def _standover(at: _Block) -> None:
    """Height of the top tube's upper edge, where its place is given."""
    if "standover" not in at.into:
        return
    row, cosine, sine, height = at.row, at.one, at.other, at.into["standover"]
    at.minus(cosine, at.cosine, row["tube_cosine"], at.sine, row["tube_sine"])
    at.plus(sine, at.sine, row["tube_cosine"], at.cosine, row["tube_sine"])
    np.multiply(sine, row["ahead"], out=height)
    np.add(height, row["tube_edge"], out=height)
    np.divide(height, cosine, out=height)
    np.add(height, at.into["bb_height"], out=height)


def _positive(values: FloatArray) -> bool:
    """True when all are positive numbers."""
    return bool(values.min() > 0)


def _impossible(at: _Block) -> NDArray[np.bool_]:
    """Builds that cannot stand, by the same conditions as `geometry.bike.standing.stand`."""
    bad = np.asarray(at.wheel["radii"] >= at.leg["distance"]) | ~(at.cosine > 0)
    for name in ("head_angle", "seat_tube_angle"):
        bad |= ~(np.sin(at.into[name] / _DEGREES) > 0)
    return bad
