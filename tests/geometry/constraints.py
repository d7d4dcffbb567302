"""A build solved by a general-purpose root finder from its constraints alone.

Nothing of the package's own computing is used: the unknowns are the level of
the ground and eight points of the standing bike (head tube top and bottom,
crown, front axle, rear axle at the slot's front end and where it is, two points
of the seat tube's axis); the equations are distances between points, angles
between lines and the tangency of both wheels to the ground.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import root

from geometry.bike.parts import Build, State

Points = NDArray[np.float64]

SEAT_LOW, SEAT_HIGH = 300.0, 700.0
"""Where along the seat tube's axis the two points of it lie [mm]."""

TOP, BOTTOM, CROWN, FRONT, SLOT, REAR, LOW, HIGH = range(8)


def _at(vector: Points, base: Points, *, length: float, angle: float) -> tuple[float, float]:
    """Residuals [mm] of: `vector` has this length, at this angle [rad] from `base`."""
    size = math.hypot(base[0], base[1])
    dot = (vector[0] * base[0] + vector[1] * base[1]) / size
    cross = (base[0] * vector[1] - base[1] * vector[0]) / size
    return dot - length * math.cos(angle), cross - length * math.sin(angle)


class Constraints:
    """The equations of one build in one state."""

    def __init__(self, build: Build, state: State) -> None:
        frame = build.frame
        self.frame, self.fork, self.build, self.state = frame, build.fork, build, state
        self.top_slope = math.atan2(float(frame.stack), float(frame.reach))
        level = math.sqrt(float(frame.chainstay_length) ** 2 - float(frame.bb_drop) ** 2)
        self.stay_slope = math.atan2(float(frame.bb_drop), -level)
        self.head = math.radians(float(frame.head_angle))
        self.seat = math.radians(float(frame.seat_tube_angle))
        self.slot = math.pi - math.radians(float(frame.slot_angle))

    def __call__(self, unknown: Points) -> Points:
        """Residuals [mm] for 17 unknowns [m]."""
        at = unknown[:16].reshape(8, 2) * 1000.0
        ground = unknown[16] * 1000.0
        frame, build = self.frame, self.build
        tube = at[BOTTOM] - at[TOP]
        post = at[HIGH] - at[LOW]
        return np.array(
            [
                math.hypot(*at[TOP]) - math.hypot(float(frame.reach), float(frame.stack)),
                *_at(
                    tube,
                    at[TOP],
                    length=float(frame.head_tube_length),
                    angle=-self.head - self.top_slope,
                ),
                *_at(
                    at[SLOT],
                    at[TOP],
                    length=float(frame.chainstay_length),
                    angle=self.stay_slope - self.top_slope,
                ),
                *_at(
                    at[REAR] - at[SLOT],
                    at[SLOT],
                    length=float(build.slot_position),
                    angle=self.slot - self.stay_slope,
                ),
                *_at(
                    at[CROWN] - at[BOTTOM], tube, length=float(build.lower_headset_stack), angle=0.0
                ),
                *self._fork(at, tube),
                *_at(
                    post,
                    at[TOP],
                    length=SEAT_HIGH - SEAT_LOW,
                    angle=math.pi - self.seat - self.top_slope,
                ),
                *_at(
                    at[LOW],
                    post,
                    length=math.hypot(SEAT_LOW, float(frame.seat_tube_offset)),
                    angle=-math.atan2(float(frame.seat_tube_offset), SEAT_LOW),
                ),
                at[FRONT][1] - ground - float(build.front_radius) + self._deflection("front"),
                at[REAR][1] - ground - float(build.rear_radius) + self._deflection("rear"),
            ]
        )

    def _deflection(self, end: str) -> float:
        return float(getattr(self.state, f"{end}_deflection"))

    def _fork(self, at: Points, tube: Points) -> tuple[float, float]:
        """Axle from the crown, as the fork's length is quoted."""
        leg = at[FRONT] - at[CROWN]
        down, forward = _at(leg, tube, length=0.0, angle=0.0)
        extended = down + float(self.state.fork_compression)
        quoted = float(self.fork.axle_to_crown)
        if self.fork.axle_to_crown_measured == "straight":
            return math.hypot(extended, forward) - quoted, forward - float(self.fork.offset)
        return extended - quoted, forward - float(self.fork.offset)


START = np.array(
    [
        [0.40, 0.60],
        [0.45, 0.50],
        [0.47, 0.47],
        [0.70, 0.02],
        [-0.41, 0.05],
        [-0.43, 0.05],
        [-0.08, 0.30],
        [-0.20, 0.65],
    ]
)
"""One start for every build [m]: roughly a bicycle, and no build's answer."""


def solve_by_constraints(build: Build, state: State) -> dict[str, float]:
    """Figures of the standing build, each read off the points the root finder found."""
    equations = Constraints(build, state)
    start = np.append(START.ravel(), -0.3)
    found = root(equations, start, method="hybr", tol=1e-13)
    if np.max(np.abs(equations(found.x))) > 1e-6:
        raise ArithmeticError(f"the root finder did not arrive: {found.message}")
    return read_off(found.x[:16].reshape(8, 2) * 1000.0, found.x[16] * 1000.0)


def _slope(vector: Points) -> float:
    """Angle [deg] of a line that leans back, from the level."""
    return math.degrees(math.atan2(vector[1], -vector[0]))


def read_off(at: Points, ground: float) -> dict[str, float]:
    """Figures measured on the points as one would with rule and protractor."""
    tube, post = at[BOTTOM] - at[TOP], at[HIGH] - at[LOW]
    # Where the steering axis meets the ground, and the seat axis the top's level.
    axis_x = at[TOP][0] + tube[0] * (ground - at[TOP][1]) / tube[1]
    seat_x = at[LOW][0] + post[0] * (at[TOP][1] - at[LOW][1]) / post[1]
    contact = np.array([at[FRONT][0], ground])
    to_contact = contact - at[TOP]
    mechanical = -(tube[0] * to_contact[1] - tube[1] * to_contact[0]) / math.hypot(*tube)
    head_angle = _slope(-tube)
    return {
        "head_angle": head_angle,
        "seat_tube_angle": _slope(post),
        "reach": at[TOP][0],
        "stack": at[TOP][1],
        "effective_top_tube": at[TOP][0] - seat_x,
        "bb_drop": at[REAR][1],
        "bb_drop_front": at[FRONT][1],
        "bb_height": -ground,
        "chainstay_length": math.hypot(*at[REAR]),
        "rear_centre": -at[REAR][0],
        "front_centre": at[FRONT][0],
        "front_centre_straight": math.hypot(*at[FRONT]),
        "wheelbase": at[FRONT][0] - at[REAR][0],
        "trail": axis_x - contact[0],
        "mechanical_trail": mechanical,
        "wheel_flop": mechanical * math.cos(math.radians(head_angle)),
    }
