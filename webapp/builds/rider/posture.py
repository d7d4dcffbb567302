"""One rider on one exact build: posture figures against the windows, and joints to draw."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import cached_property
from typing import Any, Literal, get_args

from geometry.bike import Standing
from geometry.core import cos, rotate, sin
from geometry.loads import Joints, Leg
from geometry.rider import (
    SHOE_SOLE,
    ArmPosture,
    BodyBelief,
    Linkage,
    PostureWindows,
    knee_flexion,
    reach_posture,
    rider_points,
    seated_hip,
    standing_hip,
)
from webapp.builds.evaluation import BuildResult
from webapp.builds.solving.figures import StateFigures
from webapp.builds.solving.solver_inputs import SAGGED, UNLOADED
from webapp.drawing import points as drawn
from webapp.rider.body import belief_of, expected_links
from webapp.rider.plain_points import plain_point
from webapp.rider.rider_input import Rider
from webapp.rider.saddle_line import saddle_line
from webapp.rider.windows import windows_in

Pose = Literal["seated-low", "seated-level", "standing"]
"""Seated with the pedal at its lowest, seated with level pedals, standing on level pedals."""

POSES: tuple[Pose, ...] = get_args(Pose)
SEATED: Pose = "seated-low"
_CRANK: Mapping[Pose, float] = {"seated-low": -90.0, "seated-level": 0.0, "standing": 0.0}

# Shape of a drawn body where the linkage has no joint; no figure is read off it.
_HEAD_RADIUS = 0.058  # of stature
_TOE_AHEAD, _TOE_ABOVE = 62.0, 22.0  # [mm] of the pedal's axle


@dataclass(frozen=True, kw_only=True, eq=False)
class RiderOnBuild:
    """A rider on a build; what a drawing does not need is worked out when it is asked for.

    Parameters
    ----------
    windows : PostureWindows
        Of the rider's style.
    belief : BodyBelief
    links : Linkage
        The expected body, plain numbers.
    """

    windows: PostureWindows
    belief: BodyBelief
    links: Linkage
    _result: BuildResult
    _state: StateFigures
    _saddle: tuple[float, float]
    _seated: tuple[Any, Any]
    _standing: tuple[Any, Any]
    _grip: tuple[float, float]

    @cached_property
    def _arms(self) -> tuple[ArmPosture, ArmPosture]:
        """Trunk and arms, seated and standing."""
        windows = self.windows
        poses = (
            (self._seated, windows.trunk_angle, windows.elbow_flexion),
            (self._standing, windows.standing_trunk_angle, windows.standing_elbow_flexion),
        )
        seated, standing = (
            reach_posture(
                self._grip[0] - hip[0],
                self._grip[1] - hip[1],
                links=self.links,
                grip_half_width=float(self._state.hands.grip_out),
                trunk=trunk,
                elbow=elbow,
            )
            for hip, trunk, elbow in poses
        )
        return seated, standing

    @property
    def reaches(self) -> bool:
        """Whether the arms reach the grips, seated and standing."""
        sitting, upright = self._arms
        return bool(sitting.reachable & upright.reachable)

    @cached_property
    def figures(self) -> Mapping[str, float]:
        """By the name of their window [mm, deg], and ``knee_flexion``, ``straddle_room``."""
        sitting, upright = self._arms
        assembly, unloaded = self._result.assembly, self._result.states[UNLOADED]
        as_set = _seat_point(self._result, unloaded.standing)
        knee = knee_flexion(self.links, saddle=as_set, crank_length=assembly.crank_length)
        room = self.links.crotch_height + SHOE_SOLE - unloaded.figures["standover"]
        stem = float(assembly.cockpit.stem.length)
        figures: dict[str, Any] = {
            "trunk_angle": sitting.trunk_angle,
            "elbow_flexion": sitting.elbow_flexion,
            "shoulder_angle": sitting.shoulder_angle,
            "knee_flexion": knee,
            "bar_above_saddle": self._grip[1] - self._saddle[1],
            "straddle_room": room,
            "standing_trunk_angle": upright.trunk_angle,
            "standing_elbow_flexion": upright.elbow_flexion,
            "grips_to_rear_axle": self._state.figures["grips_to_rear_axle"],
            "stem_departure": stem - assembly.size.data.stem_length,
        }
        return {name: float(value) for name, value in figures.items()}

    def joints(self, pose: Pose) -> Joints:
        """Joints in one pose [mm]."""
        return rider_points(
            self.links,
            hip=self._standing if pose == "standing" else self._seated,
            grip=self._grip,
            grip_half_width=float(self._state.hands.grip_out),
            crank_length=self._result.assembly.crank_length,
            crank_angle=_CRANK[pose],
            windows=self.windows,
            standing=pose == "standing",
        ).joints

    def drawn(self, pose: Pose) -> drawn.RiderPoints:
        """The rider as the drawing takes it, both legs."""
        found = self.joints(pose)
        near, far = found.right, found.left
        return drawn.RiderPoints(
            hip=plain_point(found.hip),
            knee=plain_point(near.knee),
            ankle=plain_point(near.ankle),
            toe=_toe(near),
            shoulder=plain_point(found.shoulder),
            elbow=plain_point(found.elbow),
            hand=plain_point(found.grip),
            head=plain_point(found.ear),
            head_radius=_HEAD_RADIUS * self.belief.estimate("stature")[0],
            far_knee=plain_point(far.knee),
            far_ankle=plain_point(far.ankle),
            far_toe=_toe(far),
        )


def crank_angle(pose: Pose) -> float:
    """Angle of the near crank in a pose [deg], 0 forward, −90 lowest."""
    return _CRANK[pose]


def rider_on(result: BuildResult, rider: Rider, *, state: str = SAGGED) -> RiderOnBuild:
    """One rider on one build, the saddle set as the build is.

    Parameters
    ----------
    result : BuildResult
    rider : Rider
    state : str
        One of ``result.states``: sunk in by the rider, or another.

    Returns
    -------
    RiderOnBuild
    """
    windows = windows_in(result.catalogue, rider.style)
    links, found = _plain(expected_links(rider)), result.states[state]
    saddle = _seat_point(result, found.standing)
    return RiderOnBuild(
        windows=windows,
        belief=belief_of(rider),
        links=links,
        _result=result,
        _state=found,
        _saddle=saddle,
        _seated=seated_hip(links, saddle),
        _standing=standing_hip(links, windows),
        _grip=plain_point(found.hands.grips),
    )


def _plain(links: Linkage) -> Linkage:
    """One rider's segments as plain numbers, which are quicker than arrays of one."""
    lengths: dict[str, Any] = {
        each.name: float(getattr(links, each.name)[0]) for each in fields(links)
    }
    return Linkage(**lengths)


def _seat_point(result: BuildResult, standing: Standing) -> tuple[float, float]:
    """Where the rider sits: on the rider's line, at the height the saddle is set to.

    The saddle is set on the unloaded bike and turns with the frame.
    """
    assembly, unloaded = result.assembly, result.states[UNLOADED].standing
    line = saddle_line(unloaded, assembly.build, assembly.seat)
    sunk = standing.turn - unloaded.turn
    return plain_point(rotate(line.rider.x, line.rider.y, cosine=cos(sunk), sine=sin(sunk)))


def _toe(leg: Leg) -> drawn.Point:
    x, y = plain_point(leg.ball)
    return x + _TOE_AHEAD, y + _TOE_ABOVE
