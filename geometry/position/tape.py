"""The measurements a tape can take on a standing bike, as functions of its unknown points.

Side view from the drive side, origin at the BB centre, x forward, y up; the
floor lies ``bb_height`` below it::

        S saddle top                 G middle of a stick laid over both grips
          `.                     _.-'
            `.               _.-'
              `.         _.-'
                o BB----'
         ( R )                ( F )      axles, each its wheel's radius above the floor
    ________________________________________ floor

Every measurement is a length [mm], taken between two of these points, from one
down to the floor, level from a plumb line, or once round a wheel. To the grips
it is taken at the middle of a straight stick that lies over both, so that it
lies in the side view.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from geometry.core import (
    Checked,
    FloatArray,
    InvalidInput,
    MoreThan,
    OneOf,
    number,
)

UNKNOWNS = (
    "bb_height",
    "saddle_x",
    "saddle_y",
    "grip_x",
    "grip_y",
    "rear_axle_x",
    "front_axle_x",
    "rear_radius",
    "front_radius",
)
"""The unknowns of a bike, in the order of every array here [mm]."""

LONGEST = 5000.0
"""No length on a bicycle is longer [mm]."""

Point = Callable[[FloatArray], tuple[float, float]]
_AT = {name: place for place, name in enumerate(UNKNOWNS)}
_POINTS: Mapping[str, Point] = MappingProxyType(
    {
        "bb": lambda _: (0.0, 0.0),
        "saddle": lambda p: (float(p[1]), float(p[2])),
        "grip": lambda p: (float(p[3]), float(p[4])),
        "rear_axle": lambda p: (float(p[5]), float(p[7] - p[0])),
        "front_axle": lambda p: (float(p[6]), float(p[8] - p[0])),
    }
)


@dataclass(frozen=True, slots=True)
class Kind:
    """One way to hold the tape.

    Parameters
    ----------
    start, end : str
        Points it is held to; ``"floor"`` and ``"plumb"`` (level from a plumb
        line through ``start``), ``"round"`` (once round the wheel of that axle).
    spread : float [mm]
        Standard deviation of a careful reading: common practice of the trade
        [CP], of the size of the 2 mm that Moore (Human Control of a Bicycle,
        diss. UC Davis 2012, Physical Parameters) found for wheelbases [R], more
        where the end of the tape has to be judged by eye.
    """

    start: str
    end: str
    spread: float


KINDS: Mapping[str, Kind] = MappingProxyType(
    {
        "bb_to_saddle": Kind("bb", "saddle", 3.0),
        "bb_to_grip": Kind("bb", "grip", 3.0),
        "saddle_to_grip": Kind("saddle", "grip", 3.0),
        "saddle_above_floor": Kind("saddle", "floor", 3.0),
        "grip_above_floor": Kind("grip", "floor", 3.0),
        "bb_above_floor": Kind("bb", "floor", 2.0),
        "saddle_behind_bb": Kind("bb", "plumb", 4.0),
        "saddle_to_rear_axle": Kind("saddle", "rear_axle", 3.0),
        "saddle_to_front_axle": Kind("saddle", "front_axle", 3.0),
        "grip_to_rear_axle": Kind("grip", "rear_axle", 3.0),
        "grip_to_front_axle": Kind("grip", "front_axle", 3.0),
        "bb_to_rear_axle": Kind("bb", "rear_axle", 2.0),
        "bb_to_front_axle": Kind("bb", "front_axle", 2.0),
        "wheelbase": Kind("rear_axle", "front_axle", 2.0),
        "rear_wheel_round": Kind("rear_axle", "round", 3.0),
        "front_wheel_round": Kind("front_axle", "round", 3.0),
    }
)
"""Every measurement that is understood, by name."""


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Measured(Checked):
    """One measurement.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    value : float [mm]
    spread : float [mm], optional
        Standard deviation of the reading; that of `KINDS` if not given.

    Raises
    ------
    InvalidInput
        A kind that is not known, a length or spread that is no usable number.

    Examples
    --------
    >>> Measured(kind="wheelbase", value=1180.0).spread
    2.0
    """

    kind: str
    value: float = number("mm", above=-LONGEST, most=LONGEST)
    spread: float = number("mm", least=0, most=LONGEST, default=0.0)

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise InvalidInput("kind", self.kind, OneOf(choices=tuple(KINDS)))
        if not self.spread:
            object.__setattr__(self, "spread", KINDS[self.kind].spread)
        Checked.__post_init__(self)
        if self.value <= 0 and KINDS[self.kind].end != "plumb":
            raise InvalidInput("value", self.value, MoreThan(bound=0.0, unit="mm"))


def expected(kind: str, state: FloatArray) -> float:
    """What a perfect tape would read on a bike.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    state : array (9,) [mm]
        The bike, in the order of `UNKNOWNS`.

    Returns
    -------
    float [mm]

    Notes
    -----
    Between points ``√(Δx² + Δy²)``; to the floor ``y + BB height``; round a
    wheel ``2π r``. Source: plane geometry.

    Examples
    --------
    >>> bike = np.array([310.0, -200.0, 700.0, 430.0, 690.0, -430.0, 760.0, 365.0, 365.0])
    >>> round(expected("saddle_above_floor", bike)), round(expected("wheelbase", bike))
    (1010, 1190)
    """
    start, end = KINDS[kind].start, KINDS[kind].end
    x, y = _POINTS[start](state)
    if end == "floor":
        return y + float(state[0])
    if end == "plumb":
        return -float(state[_AT["saddle_x"]])
    if end == "round":
        return 2.0 * np.pi * float(state[_AT[start.replace("axle", "radius")]])
    other = _POINTS[end](state)
    return float(np.hypot(other[0] - x, other[1] - y))


def slopes(kind: str, state: FloatArray) -> FloatArray:
    """How a measurement changes with each unknown.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    state : array (9,) [mm]
        The bike.

    Returns
    -------
    array (9,) [mm per mm]

    Notes
    -----
    Between points the unit vector along the tape; an axle rises with its wheel's
    radius and sinks with the BB height, from which it is counted. Source: plane
    geometry; a test holds it against differences of `expected`.

    Examples
    --------
    >>> bike = np.array([310.0, -200.0, 700.0, 430.0, 690.0, -430.0, 760.0, 365.0, 365.0])
    >>> [float(s) for s in slopes("saddle_above_floor", bike)[:3]]
    [1.0, 0.0, 1.0]
    """
    start, end = KINDS[kind].start, KINDS[kind].end
    row = np.zeros(len(UNKNOWNS))
    if end == "floor":
        row[0] = 1.0
        return row + moves(start, (0.0, 1.0))
    if end == "plumb":
        row[_AT["saddle_x"]] = -1.0
        return row
    if end == "round":
        row[_AT[start.replace("axle", "radius")]] = 2.0 * np.pi
        return row
    first, second = _POINTS[start](state), _POINTS[end](state)
    run, rise = second[0] - first[0], second[1] - first[1]
    size = max(float(np.hypot(run, rise)), 1e-9)
    along = (run / size, rise / size)
    return moves(end, along) - moves(start, along)


def place(point: str, state: FloatArray) -> tuple[float, float]:
    """Where a point of a bike is, from the BB centre.

    Parameters
    ----------
    point : str
        ``"saddle"``, ``"grip"``, ``"rear_axle"`` or ``"front_axle"``.
    state : array (9,) [mm]
        The bike.

    Returns
    -------
    (x, y) [mm]

    Examples
    --------
    >>> bike = np.array([310.0, -200.0, 700.0, 430.0, 690.0, -430.0, 760.0, 365.0, 365.0])
    >>> place("rear_axle", bike)
    (-430.0, 55.0)
    """
    return _POINTS[point](state)


def moves(point: str, along: tuple[float, float]) -> FloatArray:
    """How far a point moves along a direction with each unknown.

    Parameters
    ----------
    point : str
        One of the ends of `KINDS`.
    along : (x, y)
        The direction, a unit vector.

    Returns
    -------
    array (9,) [mm per mm]

    Examples
    --------
    >>> [float(s) for s in moves("rear_axle", (0.0, 1.0))]
    [-1.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 1.0, 0.0]
    """
    row = np.zeros(len(UNKNOWNS))
    if point in {"saddle", "grip"}:
        row[_AT[f"{point}_x"]], row[_AT[f"{point}_y"]] = along
    elif point != "bb":
        row[_AT[f"{point}_x"]] = along[0]
        row[_AT[point.replace("axle", "radius")]] = along[1]
        row[0] = -along[1]
    return row
