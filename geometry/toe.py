"""A toe and the front wheel: how close the steered tyre comes to a pedal.

The bike as it stands: x forward, y up, z to the rider's right, origin at the BB
centre. The tyre is a torus turning about the steering axis. It is filled by
balls of radius r, half its width, whose centres (X, Y, Z) lie on the circle of
radius ρ = R − r about the axle.

In the pedal's plane, z from the middle of the bike, such a ball shows a disc of
radius ``s = r cos φ`` when ``Z = z + r sin φ``; and the pedal's centre runs
round the BB on a circle of radius c, the crank length. Moved forward, that
circle meets that disc after ``X − √((c + s)² − Y²)``::

            .-.          ___
          /  c  \\       /   \\
         |   +   |-->  |  o s |   centre (X, Y)
          \\     /       \\ ___/
            '-'

A ball's place on the tyre is the angle u (0 rearmost, upward positive). With a
its distance along the steering axis and b ahead of it, turning the wheel until
the ball is at Z leaves it ``B = √(b² − Z²)`` behind the axis, so

    X = ox − a cos HA − B sin HA,    Y = oy + a sin HA − B cos HA

where (ox, oy) is a point of the axis. The clearance is the least of
``X − √((c + s)² − Y²)`` over u and φ: a smooth function of two unknowns, found by
a coarse look at all of it and Newton's method with exact derivatives.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from geometry.angles import Num, cos, degrees, sin
from geometry.checks import Check, judge
from geometry.errors import InvalidInput
from geometry.feet import Pedal, Wheel
from geometry.inputs import checked, plain

View = Literal["pedal path", "from above"]

TOE_US = 89.0
"""Least toe clearance [mm]: 16 CFR 1512.17(d)."""

TOE_ISO = 100.0
"""Least toe clearance [mm] in Japan and, from memory, in ISO 4210-2."""

_AROUND = np.linspace(-1.4, 1.4, 61)[:, None]
_ACROSS = np.linspace(-1.5, 1.5, 31)[None, :]
_NEWTON_STEPS = 20
_AT_A_TIME = 2000  # keeps the coarse look within some tens of megabytes
_TINY = 1e-30  # step of the complex-step derivative


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
    """One wheel, steering axis and crank; every field broadcasts with u and φ."""

    wheel_x: Any  # axle from the point of the axis
    wheel_y: Any
    circle: Any  # ρ
    tyre: Any  # r
    axis_x: Any
    axis_y: Any
    cosine: Any
    sine: Any
    plane: Any  # z
    crank: Any  # c
    path: Any  # 1 follows the pedal's circle, 0 looks from above

    def rows(self, start: int, stop: int) -> _Swept:
        """Some of the builds, counted flat, with two more axes for u and φ."""
        flat = (np.ravel(getattr(self, name)) for name in self.__slots__)
        return _Swept(*(field[start:stop, None, None] for field in flat))

    def across_axis(self, u: Any) -> tuple[Any, Any, Any, Any]:
        """a and b of the ball at u, and their changes with u."""
        x = self.wheel_x - self.circle * np.cos(u)
        y = self.wheel_y + self.circle * np.sin(u)
        x_u, y_u = self.circle * np.sin(u), self.circle * np.cos(u)
        along, along_u = self.sine * y - self.cosine * x, self.sine * y_u - self.cosine * x_u
        ahead, ahead_u = self.sine * x + self.cosine * y, self.sine * x_u + self.cosine * y_u
        return along, ahead, along_u, ahead_u

    def way(self, u: Any, phi: Any) -> Any:
        """Way to the ball at u, met at φ [mm]; infinite where they never meet."""
        along, ahead, _, _ = self.across_axis(u)
        side = self.plane + self.tyre * np.sin(phi)
        behind = ahead * ahead - side * side
        back = np.sqrt(np.maximum(behind, 0.0))
        height = self.path * (self.axis_y + self.sine * along - self.cosine * back)
        reach = self.crank + self.tyre * np.cos(phi)
        run = reach * reach - height * height
        x = self.axis_x - self.cosine * along - self.sine * back
        way = x - np.sqrt(np.maximum(run, 0.0))
        return np.where((behind > 0) & (run > 0) & (ahead < 0), way, np.inf)

    def gradient(self, u: Any, phi: Any) -> tuple[Any, Any]:
        """Change of the way with u and with φ; also of complex u and φ."""
        along, ahead, along_u, ahead_u = self.across_axis(u)
        side, side_phi = self.plane + self.tyre * np.sin(phi), self.tyre * np.cos(phi)
        back = np.sqrt(ahead * ahead - side * side)
        back_u, back_phi = ahead * ahead_u / back, -side * side_phi / back
        height = self.path * (self.axis_y + self.sine * along - self.cosine * back)
        height_u = self.path * (self.sine * along_u - self.cosine * back_u)
        height_phi = -self.path * self.cosine * back_phi
        reach, reach_phi = self.crank + side_phi, self.plane - side
        run = np.sqrt(reach * reach - height * height)
        x_u, x_phi = -self.cosine * along_u - self.sine * back_u, -self.sine * back_phi
        way_u = x_u + height * height_u / run
        return way_u, x_phi - (reach * reach_phi - height * height_phi) / run

    def steering(self, u: Any, phi: Any) -> Any:
        """Steering angle that brings the ball at u there [rad]."""
        _, ahead, _, _ = self.across_axis(u)
        return np.arcsin((self.plane + self.tyre * np.sin(phi)) / -ahead)


def _first_look(swept: _Swept) -> tuple[Any, Any]:
    """The best of a coarse grid over the whole tyre, a few thousand builds at a time."""
    shape, best = np.shape(swept.plane), []
    for start in range(0, max(np.size(swept.plane), 1), _AT_A_TIME):
        ways = swept.rows(start, start + _AT_A_TIME).way(_AROUND, _ACROSS)
        best.append(np.argmin(ways.reshape(len(ways), _AROUND.size * _ACROSS.size), axis=-1))
    around, across = np.divmod(np.concatenate(best).reshape(shape), _ACROSS.size)
    return _AROUND[around, 0], _ACROSS[0, across]


def _newton_step(swept: _Swept, u: Any, phi: Any) -> tuple[Any, Any]:
    """One Newton step downhill, shortened until it does not lead uphill."""
    g_u, g_phi = swept.gradient(u, phi)
    by_u = swept.gradient(u + 1j * _TINY, phi + 0j)
    by_phi = swept.gradient(u + 0j, phi + 1j * _TINY)
    h_uu, h_up, h_pp = (d.imag / _TINY for d in (by_u[0], by_phi[0], by_phi[1]))
    det = h_uu * h_pp - h_up * h_up
    step_u, step_phi = -(h_pp * g_u - h_up * g_phi) / det, -(h_uu * g_phi - h_up * g_u) / det
    way, best_u, best_phi = swept.way(u, phi), u, phi
    for share in (1.0, 0.5, 0.1):
        new_u, new_phi = u + share * step_u, phi + share * step_phi
        new = swept.way(new_u, new_phi)
        better = new < way
        way = np.where(better, new, way)
        best_u, best_phi = np.where(better, new_u, best_u), np.where(better, new_phi, best_phi)
    return best_u, best_phi


def toe_clearance(
    *,
    wheel: Wheel,
    head_angle: Num,
    axis_x: Num,
    axis_y: Num,
    pedal: Pedal,
    view: View = "pedal path",
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
    The frame is held still as the wheel turns, up to 90°. A mudguard is taken as
    reaching all round, which is on the safe side. Source of the distance: 16 CFR
    1512.17(d), forward and parallel to the bike's long axis, from the centre of
    either pedal to the arc swept by tyre or mudguard. How it is found stands at
    the head of this module; checked against sampling of the steered torus and
    against a general-purpose minimiser.

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
        raise InvalidInput("view", view, 'must be "pedal path" or "from above"')
    fields = (
        wheel.x - axis_x,
        wheel.y - axis_y,
        wheel.radius - wheel.width / 2.0,
        wheel.width / 2.0,
        axis_x,
        axis_y,
        cos(head_angle),
        sin(head_angle),
        pedal.centre,
        pedal.crank_length,
        1.0 if view == "pedal path" else 0.0,
    )
    return _closest(_Swept(*np.broadcast_arrays(*fields)))


def _closest(swept: _Swept) -> Toe:
    """The least way over the whole tyre."""
    u, phi = _first_look(swept)
    never = np.isinf(swept.way(u, phi))
    # where wheel and pedal never meet, steps are NaN and are never taken
    with np.errstate(invalid="ignore", divide="ignore"):
        for _ in range(_NEWTON_STEPS):
            u, phi = _newton_step(swept, u, phi)
        angle = degrees(swept.steering(u, phi))
    clearance = np.where(never, np.inf, swept.way(u, phi))
    return Toe(clearance=plain(clearance), steering_angle=plain(np.where(never, np.nan, angle)))


def toe_check(
    toe: Toe,
    *,
    what: str = "tyre",
    limit: float = TOE_US,
    wished: float = TOE_ISO,
    feet_held: bool = False,
) -> Check:
    """Hold a toe clearance against its limit.

    Parameters
    ----------
    toe : Toe
        Of one build.
    what : str
        "tyre" or "mudguard".
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
    ('tight', '5 mm more: shorter cranks, a smaller front wheel or a longer front centre')
    """
    clearance = float(toe.clearance)
    where = f", the wheel turned {toe.steering_angle:.0f}°" if np.isfinite(clearance) else ""
    remedy = "shorter cranks, a smaller front wheel or a longer front centre"
    return judge(
        f"feet.toe.{what}",
        figure=clearance,
        limit=0.0 if feet_held else limit,
        unit="mm",
        reason=f"From the pedal's centre forward to the {what}: {clearance:.0f} mm{where}"
        if np.isfinite(clearance)
        else f"The {what} never comes abreast of the pedal",
        source="feet held on the pedals: no limit" if feet_held else "16 CFR 1512.17(d)",
        remedy=f"{np.ceil(max(wished - clearance, 0.0)):.0f} mm more, by {remedy}",
        band=0.0 if feet_held else max(wished - limit, 0.0),
        safety=not feet_held,
    )
