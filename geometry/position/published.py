"""Where a bike's grips, saddle and axles are, from the numbers it was published with.

A table of geometry with a stem, a bar and a saddle says as much of a position as a
tape; what it leaves out is open, and what is usual where a rider does not know it has
a wide spread instead. Axes as everywhere: from the BB centre, x forward, y up.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from geometry.bike import Cockpit, Handlebar, Stem, places_on_axis
from geometry.core import (
    ContradictoryInput,
    FiniteNumber,
    FloatArray,
    InvalidInput,
    OneOf,
    cos,
    sin,
)
from geometry.position.remedies import BelowSaddle, MoreThanBbDrop

FIGURES = (
    "grip_x", "grip_y", "saddle_x", "saddle_y", "rear_axle_x", "front_axle_x", "axle_y_rear",
    "axle_y_front", "rear_radius", "front_radius", "head_angle", "seat_tube_angle", "reach",
    "stack", "chainstay_length", "bb_drop", "bb_height", "rear_centre", "front_centre",
    "wheelbase", "trail",
)  # fmt: skip
"""What follows of a bike, in the order of every array here [mm, deg]."""


@dataclass(frozen=True, slots=True)
class Number:
    """One published number.

    Parameters
    ----------
    spread : float
        Standard deviation of a bike from what its table or its rider says [mm or deg]:
        common practice of the trade [CP], of the size of what Moore (Human Control of a
        Bicycle, diss. UC Davis 2012, Physical Parameters) found between measurements [R].
    usual : float
        Taken where it is not known; NaN where nothing is usual.
    usual_spread : float
        How far off that may be [CP].
    """

    spread: float
    usual: float = float("nan")
    usual_spread: float = 0.0


NUMBERS: Mapping[str, Number] = MappingProxyType(
    {
        "reach": Number(2.0),
        "stack": Number(2.0),
        "head_angle": Number(0.2),
        "seat_tube_angle": Number(0.3),
        "chainstay_length": Number(2.0),
        "bb_drop": Number(2.0),
        "rear_radius": Number(2.0),
        "front_radius": Number(2.0),
        "fork_offset": Number(1.0),
        "fork_longer": Number(2.0, 0.0),
        "stem_length": Number(1.0),
        "stem_angle": Number(1.0, 0.0, 5.0),
        "spacers": Number(2.0, 10.0, 10.0),
        "headset_cover": Number(2.0, 8.0, 4.0),
        "bar_rise": Number(2.0, 10.0, 12.0),
        "bar_width": Number(3.0, 760.0, 30.0),
        "bar_backsweep": Number(1.0, 8.0, 2.0),
        "bar_upsweep": Number(1.0, 4.0, 2.0),
        "saddle_height": Number(3.0),
        "saddle_setback": Number(4.0),
    }
)
"""Every number that is understood, by name; the saddle's setback is level, behind the BB."""

_STEP = 1e-3


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Placed:
    """What published numbers say of a bike.

    Parameters
    ----------
    values : array (21,)
        In the order of `FIGURES` [mm, deg]; NaN where the numbers leave it open.
    covariance : array (21, 21)
        NaN in rows and columns of what is open.
    """

    values: FloatArray
    covariance: FloatArray

    def value(self, name: str) -> float:
        """One of `FIGURES`; NaN where it is open."""
        return float(self.values[FIGURES.index(name)])

    def spread(self, name: str) -> float:
        """Its standard deviation; NaN where it is open."""
        at = FIGURES.index(name)
        return float(np.sqrt(self.covariance[at, at]))

    def point(self, name: str) -> tuple[tuple[float, float], FloatArray]:
        """``"grip"`` or ``"saddle"`` from the BB centre [mm], and its covariance (2, 2) [mm²]."""
        at = [FIGURES.index(f"{name}_{axis}") for axis in "xy"]
        x, y = (float(self.values[each]) for each in at)
        return (x, y), self.covariance[np.ix_(at, at)]


def place_published(given: Mapping[str, float]) -> Placed:
    """Contact points and figures of a bike from its published numbers.

    Parameters
    ----------
    given : mapping of str to float
        Of `NUMBERS`, those that are known [mm, deg].

    Returns
    -------
    Placed
        As the bike stands unloaded.

    Raises
    ------
    InvalidInput
        A name that is not known, or a number that is not finite.
    ContradictoryInput
        Lengths that no bike can have, such as a chainstay shorter than the BB's drop.

    Notes
    -----
    The table stands on its own wheels: the rear axle lies ``√(chainstay² − drop²)`` behind
    the BB, the front axle where the steering axis with the fork's offset reaches the height
    of its wheel. A fork longer than published moves the axle down the steering axis, and
    the whole is turned until both wheels touch level ground. Trail
    ``(Rf cos HA − offset)/sin HA``. The saddle is at ``√(height² − setback²)``, or without
    a setback on the line of the seat angle. Covariance by differences. Source:
    plane geometry; a test holds it against the solver of `geometry.bike`.

    Examples
    --------
    >>> table = {"reach": 450.0, "stack": 640.0, "head_angle": 66.0, "stem_length": 45.0}
    >>> found = place_published({**table, "spacers": 10.0, "bar_rise": 20.0})
    >>> [round(at) for at in found.point("grip")[0]], round(found.spread("grip_x"))
    ([428, 713], 10)
    >>> found.value("wheelbase")
    nan
    """
    for name, value in given.items():
        if name not in NUMBERS:
            raise InvalidInput(name, value, OneOf(choices=tuple(NUMBERS)))
        if not np.isfinite(value):
            raise InvalidInput(name, value, FiniteNumber(unit="mm"))
    _check(given)
    start = {name: given.get(name, number.usual) for name, number in NUMBERS.items()}
    values = _figures(start)
    slopes = np.zeros((len(FIGURES), len(NUMBERS)))
    for at, (name, number) in enumerate(NUMBERS.items()):
        spread = number.spread if name in given else number.usual_spread
        if spread:
            # Upward only: spacers and stems of 0 mm have no less beside them.
            moved = _figures({**start, name: start[name] + _STEP})
            slopes[:, at] = (moved - values) / _STEP * spread
    is_open = np.isnan(values)
    known = np.where(is_open[:, None], 0.0, np.nan_to_num(slopes))
    covariance = known @ known.T
    covariance[is_open, :] = np.nan
    covariance[:, is_open] = np.nan
    return Placed(values=values, covariance=covariance)


def _check(given: Mapping[str, float]) -> None:
    drop, setback = abs(given.get("bb_drop", 0.0)), abs(given.get("saddle_setback", 0.0))
    if given.get("chainstay_length", np.inf) <= drop:
        remedy = MoreThanBbDrop(drop=float(drop))
        raise ContradictoryInput("chainstay_length", given["chainstay_length"], remedy)
    if given.get("saddle_height", np.inf) <= setback:
        lower = BelowSaddle(height=float(given["saddle_height"]))
        raise ContradictoryInput("saddle_setback", given["saddle_setback"], lower)


def _figures(v: Mapping[str, float]) -> FloatArray:
    """Everything in the order of `FIGURES`; NaN goes through to whatever needs it."""
    head, offset = v["head_angle"], v["fork_offset"]
    sine, cosine = float(sin(head)), float(cos(head))
    rear = -_root(v["chainstay_length"] ** 2 - v["bb_drop"] ** 2), v["bb_drop"]
    front_y = v["bb_drop"] - v["rear_radius"] + v["front_radius"]
    along = (v["stack"] + offset * cosine - front_y) / sine
    front_x = v["reach"] + along * cosine + offset * sine
    front, longer = (front_x, front_y), v["fork_longer"]
    larger, turn = v["front_radius"] - v["rear_radius"], 0.0
    place: Place = _as_drawn
    if longer:
        front = front_x + longer * cosine, front_y - longer * sine
        turn = _turn(rear, front, larger)
        place = _turned(turn)
    rear, front = place(*rear), place(*front)
    top, grip, saddle = place(v["reach"], v["stack"]), place(*_grip(v)), place(*_saddle(v))
    angle = head - turn
    trail = (v["front_radius"] * float(cos(angle)) - offset) / float(sin(angle))
    return np.array([
        *grip, *saddle, rear[0], front[0], rear[1], front[1], v["rear_radius"], v["front_radius"],
        angle, v["seat_tube_angle"] - turn, *top, v["chainstay_length"], rear[1],
        v["rear_radius"] - rear[1], -rear[0], front[0], front[0] - rear[0], trail,
    ])  # fmt: skip


def _grip(v: Mapping[str, float]) -> tuple[float, float]:
    names = ("reach", "stack", "head_angle", "stem_length")
    if any(np.isnan(v[name]) for name in names):
        return float("nan"), float("nan")
    cockpit = Cockpit(
        stem=Stem(length=v["stem_length"], angle=v["stem_angle"]),
        handlebar=Handlebar(
            width=v["bar_width"],
            rise=v["bar_rise"],
            backsweep=v["bar_backsweep"],
            upsweep=v["bar_upsweep"],
        ),
        upper_headset_stack=v["headset_cover"],
        spacers=v["spacers"],
    )
    up, ahead = (float(value) for value in places_on_axis(cockpit).grips)
    sine, cosine = float(sin(v["head_angle"])), float(cos(v["head_angle"]))
    return v["reach"] - up * cosine + ahead * sine, v["stack"] + up * sine + ahead * cosine


def _saddle(v: Mapping[str, float]) -> tuple[float, float]:
    height, back = v["saddle_height"], v["saddle_setback"]
    if np.isnan(back):
        angle = v["seat_tube_angle"]
        return -height * float(cos(angle)), height * float(sin(angle))
    return -back, _root(height**2 - back**2)


Place = Callable[[float, float], tuple[float, float]]
Point = tuple[float, float]


def _as_drawn(x: float, y: float) -> Point:
    return x, y


def _turn(rear: Point, front: Point, larger: float) -> float:
    """How far the bike turns until both wheels touch level ground [deg]."""
    run, rise = front[0] - rear[0], front[1] - rear[1]
    return float(np.degrees(np.arcsin(larger / np.hypot(run, rise)) - np.arctan2(rise, run)))


def _turned(turn: float) -> Place:
    sine, cosine = float(sin(turn)), float(cos(turn))
    return lambda x, y: (x * cosine - y * sine, x * sine + y * cosine)


def _root(square: float) -> float:
    return float(np.sqrt(square)) if square > 0 else float("nan")
