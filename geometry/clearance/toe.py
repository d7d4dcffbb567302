"""A toe and the front wheel: how close the steered tyre comes to a pedal.

The bike as it stands: x forward, y up, z to the rider's right, origin at the BB
centre. The tyre is a torus turning about the steering axis, up to 90°. It is
filled by balls of radius r, half its width, whose centres (X, Y, Z) lie on the
circle of radius ρ = R − r about the axle.

In the pedal's plane, z from the middle of the bike, such a ball shows a disc of
radius ``s = r cos φ`` when ``Z = z + r sin φ``; and the pedal's centre runs
round the BB on a circle of radius c, the crank length. Moved forward, that
circle meets that disc after ``X − √((c + s)² − Y²)``::

            .-.          ___
          /  c  \\       /   \\
         |   +   |-->  |  o s |   centre (X, Y)
          \\     /       \\ ___/
            '-'

With a the ball's distance along the steering axis and e its distance from it,
turning the wheel until the ball is at Z leaves it ``B = √(e² − Z²)`` behind the
axis; a ball of the wheel's front half, which comes abreast when the wheel is
turned the other way, is left as far ahead of it. So

    X = ox − a cos HA ∓ B sin HA,    Y = oy + a sin HA ∓ B cos HA

where (ox, oy) is a point of the axis. A small wheel's rear half may never come
abreast while its front half, which reaches further out by twice the offset, does.

Turned 90°, B is 0, and its square root is steep there. Each half is therefore
described by t and p in which everything is smooth up to 90°: with W the angle
round the wheel from the ball furthest from the axis to the one that is abreast
only at 90°, a ball is at ``W sin t``; and φ runs with the cosine of p up to the
last that comes abreast. The clearance is the least over t, p and both halves,
found by a coarse look at all of it and ever closer looks around the best.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from geometry.checks import Check, Source, judge
from geometry.clearance.pedals import Pedal, Wheel
from geometry.clearance.statements import Beside, MoreToeRoom, NeverAbreast, ToeAhead
from geometry.core import (
    FloatArray,
    InvalidInput,
    Num,
    OneOf,
    Statement,
    checked,
    cos,
    degrees,
    plain,
    sin,
)

View = Literal["pedal path", "from above"]

TOE_US = 89.0
"""Least toe clearance [mm]: 16 CFR 1512.17(d)."""

TOE_ISO = 100.0
"""Least toe clearance [mm] in Japan and, from memory, in ISO 4210-2."""

_HALF_TURN = np.pi / 2.0
_AROUND = np.linspace(-_HALF_TURN, _HALF_TURN, 17)  # t
_ACROSS = np.linspace(0.0, np.pi, 13)  # p
_NEAR = 15.0  # starts this much worse than the best are not refined [mm]
_AT_A_TIME = 500  # keeps the coarse grid within some tens of megabytes
_LOOKS = 60
_FINE = 3e-7  # steps at which it is found [rad]; the way is then within 1e-9 mm of its least
_STENCIL = np.linspace(-1.0, 1.0, 5)
# Both of t and p, which run from the first to the last.
_T_AND_P = np.array([[0], [1]])
_FIRST, _LAST = np.array([[[-_HALF_TURN]], [[0.0]]]), np.array([[[_HALF_TURN]], [[np.pi]]])


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Toe:
    """How close the steered front wheel comes to a pedal.

    Parameters
    ----------
    clearance : float or array [mm]
        From the pedal's centre forward to the tyre; infinite when the tyre
        never comes abreast of the pedal, negative when it reaches behind it.
    steering_angle : float or array [deg]
        At which that is, the wheel turned to the other side; NaN with an
        infinite clearance.
    """

    clearance: Num
    steering_angle: Num


@dataclass(frozen=True, slots=True, eq=False)
class _Swept:
    """One half of a wheel, steering axis and crank; every field broadcasts with t and p."""

    along: FloatArray  # of the wheel's centre: a
    ahead: FloatArray  # of the wheel's centre, ahead of the axis; behind it in the front half
    circle: FloatArray  # ρ
    tyre: FloatArray  # r
    axis_x: FloatArray
    axis_y: FloatArray
    cosine: FloatArray
    sine: FloatArray
    plane: FloatArray  # z
    crank: FloatArray  # c
    path: FloatArray  # 1 follows the pedal's circle, 0 looks from above
    half: FloatArray  # 1 the rear half, −1 the front half
    swung: FloatArray  # ρ, negative in the front half
    turn: FloatArray  # half of how far φ runs, to the last ball that comes abreast
    never: NDArray[np.bool_]  # whether no ball does

    @classmethod
    def of(cls, fields: Sequence[FloatArray]) -> _Swept:
        """The rear halves of wheels, then their front halves, with two more axes for t and p.

        What is the same for all balls is worked out here.
        """
        rear = np.array(fields)
        half = np.repeat([1.0, -1.0], rear.shape[1])
        along, ahead, circle, tyre, *others = np.concatenate((rear, rear), axis=1)
        ahead, plane = half * ahead, others[4]
        furthest = circle - ahead  # of the ball furthest from the axis: its distance from it
        last = np.arcsin(_between(-1.0, (furthest - plane) / tyre, 1.0))
        turn, never = (last + _HALF_TURN) / 2.0, furthest <= plane - tyre
        each = along, ahead, circle, tyre, *others, half, half * circle, turn, never
        return cls(*(field[:, None, None] for field in each))

    def rows(self, index: NDArray[np.intp]) -> _Swept:
        """Some of them."""
        return _Swept(*(getattr(self, name)[index] for name in self.__slots__))

    def _ball(self, t: FloatArray, p: FloatArray) -> tuple[FloatArray, ...]:
        """Angle round the wheel, φ, Z and e of the ball at t and p."""
        phi = self.turn * (1.0 - np.cos(p)) - _HALF_TURN
        side = self.plane + self.tyre * np.sin(phi)
        abreast = (np.abs(side) + self.ahead) / self.circle
        u = np.arccos(_between(-1.0, abreast, 1.0)) * np.sin(t)
        return u, phi, side, self.circle * np.cos(u) - self.ahead

    def way(self, t: FloatArray, p: FloatArray) -> FloatArray:
        """Way to the ball at t and p [mm]; infinite where they never meet."""
        u, phi, side, out = self._ball(t, p)
        along = self.along + self.swung * np.sin(u)
        back = self.half * np.sqrt(np.maximum(out * out - side * side, 0.0))
        height = self.path * (self.axis_y + self.sine * along - self.cosine * back)
        reach = self.crank + self.tyre * np.cos(phi)
        run = reach * reach - height * height
        x = self.axis_x - self.cosine * along - self.sine * back
        way = x - np.sqrt(np.maximum(run, 0.0))
        return np.where(self.never | (out <= 0) | (run <= 0), np.inf, way)

    def steering(self, t: FloatArray, p: FloatArray) -> FloatArray:
        """Steering angle that brings the ball at t and p abreast of the pedal [rad]."""
        _, _, side, out = self._ball(t, p)
        return np.arcsin(np.minimum(side / out, 1.0))


def _between(low: Num, values: FloatArray, high: Num) -> FloatArray:
    """Values moved to the ends of a range; for small arrays several times quicker than clip."""
    return np.minimum(np.maximum(values, low), high)


def _coarse_grid(swept: _Swept) -> tuple[FloatArray, FloatArray, FloatArray]:
    """The best of a coarse grid over both quarters of both halves; (builds, 4) ways, t and p."""
    ways = swept.way(_AROUND[:, None], _ACROSS[None, :])
    middle = _AROUND.size // 2
    found = []
    for quarter in (slice(0, middle + 1), slice(middle, None)):
        part = ways[:, quarter].reshape(len(ways), -1)
        best = np.argmin(part, axis=-1)
        around, across = np.divmod(best, _ACROSS.size)
        found.append((part[np.arange(len(part)), best], _AROUND[quarter][around], _ACROSS[across]))
    # from quarters by halves, one after another, to a row a build
    row = np.array(found).reshape(2, 3, 2, -1).transpose(1, 3, 2, 0).reshape(3, -1, 4)
    return row[0], row[1], row[2]


def _closer(swept: _Swept, t: FloatArray, p: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Least way near a start, and its steering: a small grid moved to its best and shrunk.

    It is shrunk only when its best is not at its edge, so that it follows a valley.
    """
    at, row = np.array((t, p)), np.arange(t.size)
    step = np.repeat([[axis[1] - axis[0]] for axis in (_AROUND, _ACROSS)], t.size, axis=1)
    for _ in range(_LOOKS):
        grid = _between(_FIRST, at[:, :, None] + step[:, :, None] * _STENCIL, _LAST)
        ways = swept.way(grid[0][:, :, None], grid[1][:, None, :])
        best = np.argmin(ways.reshape(t.size, _STENCIL.size**2), axis=-1)
        new = grid[_T_AND_P, row, np.array(np.divmod(best, _STENCIL.size))]
        near = np.abs(new - at) < 0.75 * step
        at, step = new, np.where(near[0] & near[1], step / 2.5, step)
        if (step < _FINE).all():
            break
    found = at[0][:, None, None], at[1][:, None, None]
    return swept.way(*found)[:, 0, 0], swept.steering(*found)[:, 0, 0]


def toe_clearance(
    *,
    wheel: Wheel,
    head_angle: Num,
    axis_x: Num,
    axis_y: Num,
    pedal: Pedal,
    view: View = "pedal path",
    enough: float = np.inf,
) -> Toe:
    """Least distance from the pedal's centre forward to the tyre, at any steering angle.

    Parameters
    ----------
    wheel : Wheel
        The front wheel standing straight ahead, or its mudguard.
    head_angle : float or array [deg]
        Of the standing bike.
    axis_x, axis_y : float or array [mm]
        Any point of the steering axis.
    pedal : Pedal
        Crank length and the pedal centre's distance from the middle plane.
    view : {"pedal path", "from above"}
        Measure at the pedal's own height, wherever it is on its turn; or from
        the pedal level in front to the tyre as seen from above, whatever its
        height there, which is the stricter reading.
    enough : float [mm]
        A clearance that is surely beyond this is told roughly, some millimetres too
        large and without its steering angle, which is much quicker.

    Returns
    -------
    Toe
        Of the broadcast shape.

    Raises
    ------
    InvalidInput
        An angle or point that is not finite, a head angle outside 30° to 100°,
        an unknown view.

    Notes
    -----
    The frame is held still as the wheel turns, up to 90° to either side. A
    mudguard is taken as reaching all round, which is on the safe side; turned far,
    the side of the tyre within may be nearer still, so both are asked. Source of
    the distance: 16 CFR 1512.17(d), forward and parallel to the bike's long axis,
    from the centre of either pedal to the arc swept by tyre or mudguard. How it
    is found stands at the head of this module; checked against sampling of the
    steered torus over the whole steering range and against a general-purpose
    minimiser.

    Examples
    --------
    >>> wheel = Wheel(x=640.0, y=60.0, radius=360.0, width=55.0)
    >>> pedal = Pedal(crank_length=170.0, centre=135.0, outer=185.0)
    >>> toe = toe_clearance(wheel=wheel, head_angle=70.0, axis_x=590.0, axis_y=60.0, pedal=pedal)
    >>> round(toe.clearance, 1), round(toe.steering_angle, 1)
    (144.4, 26.2)
    """
    head_angle = checked("head_angle", head_angle, "degrees", least=30, most=100)
    axis_x, axis_y = checked("axis_x", axis_x, "mm"), checked("axis_y", axis_y, "mm")
    if view not in ("pedal path", "from above"):
        raise InvalidInput("view", view, OneOf(choices=("pedal path", "from above")))
    x, y = wheel.x - axis_x, wheel.y - axis_y
    cosine, sine = cos(head_angle), sin(head_angle)
    fields = (
        sine * y - cosine * x,
        sine * x + cosine * y,
        wheel.radius - wheel.width / 2.0,
        wheel.width / 2.0,
        axis_x,
        axis_y,
        cosine,
        sine,
        pedal.centre,
        pedal.crank_length,
        1.0 if view == "pedal path" else 0.0,
    )
    return _closest(np.broadcast_arrays(*fields), enough)


def _closest(fields: Sequence[FloatArray], enough: float) -> Toe:
    """The least way over the whole tyre, some builds at a time."""
    shape, count = np.shape(fields[0]), int(np.size(fields[0]))
    flat = [np.ravel(field) for field in fields]
    parts = [
        _closest_of([field[start : start + _AT_A_TIME] for field in flat], enough)
        for start in range(0, max(count, 1), _AT_A_TIME)
    ]
    clearance, angle = (np.concatenate(each).reshape(shape) for each in zip(*parts, strict=True))
    return Toe(clearance=plain(clearance), steering_angle=plain(angle))


def _closest_of(fields: Sequence[FloatArray], enough: float) -> tuple[FloatArray, FloatArray]:
    """Least way and its steering angle of builds in a row: the best of four quarters."""
    count = len(fields[0])
    both = _Swept.of(fields)
    first, t, p = _coarse_grid(both)
    least = np.min(first, axis=-1, keepdims=True)
    ways, angles = np.where(least > enough + _NEAR, first, np.inf), np.full(first.shape, np.nan)
    near = np.isfinite(first) & (first <= least + _NEAR) & (least <= enough + _NEAR)
    build, quarter = found = np.nonzero(near)
    row = build + count * (quarter // 2)  # two quarters are a half
    ways[found], angles[found] = _closer(both.rows(row), t[found], p[found])
    best = np.arange(count), np.argmin(ways, axis=-1)
    return ways[best], np.asarray(degrees(angles[best]))


def toe_check(
    toe: Toe,
    *,
    what: Beside = Beside.TYRE,
    limit: float = TOE_US,
    wished: float = TOE_ISO,
    feet_held: bool = False,
) -> Check[Statement]:
    """Hold a toe clearance against its limit.

    Parameters
    ----------
    toe : Toe
        Of one build.
    what : Beside
        Tyre or mudguard.
    limit, wished : float [mm]
        Below the first it fails; between the two it is tight.
    feet_held : bool
        True with pedals that hold the foot, for which there is no limit.

    Returns
    -------
    Check
        Code ``feet.toe.<what>``, of safety unless the feet are held.

    Examples
    --------
    >>> check = toe_check(Toe(clearance=95.0, steering_angle=20.0))
    >>> check.outcome, check.remedy
    ('tight', MoreToeRoom(by=5.0))
    """
    clearance = float(toe.clearance)
    return judge(
        f"feet.toe.{what}",
        figure=clearance,
        limit=0.0 if feet_held else limit,
        unit="mm",
        reason=ToeAhead(what=what, clearance=clearance, turned=float(toe.steering_angle))
        if np.isfinite(clearance)
        else NeverAbreast(what=what),
        source=Source.FEET_HELD if feet_held else Source.CFR_TOE,
        remedy=MoreToeRoom(by=float(np.ceil(max(wished - clearance, 0.0)))),
        band=0.0 if feet_held else max(wished - limit, 0.0),
        safety=not feet_held,
    )
