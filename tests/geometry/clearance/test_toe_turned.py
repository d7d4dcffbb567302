"""Toe clearance over the whole steering range, of small wheels above all.

The outside solver knows the surface of the steered torus alone: at every steering
angle from −90° to 90° and every place round the wheel it solves where the tyre's
section crosses the pedal's plane, and moves the pedal up to that very point.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, cast

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.clearance.pedals import Pedal, Wheel
from geometry.clearance.toe import Toe, View, toe_clearance


@dataclass(frozen=True)
class Front:
    """A front wheel, its axis and a pedal, in plain numbers [mm, deg]."""

    radius: float
    width: float
    x: float
    y: float
    head_angle: float
    offset: float
    crank: float
    plane: float

    @property
    def axis(self) -> tuple[float, float]:
        angle = np.radians(self.head_angle)
        return self.x - self.offset * np.sin(angle), self.y - self.offset * np.cos(angle)

    def solved(self, view: View) -> Toe:
        x, y = self.axis
        return toe_clearance(
            wheel=Wheel(x=self.x, y=self.y, radius=self.radius, width=self.width),
            head_angle=self.head_angle,
            axis_x=x,
            axis_y=y,
            pedal=Pedal(crank_length=self.crank, centre=self.plane, outer=self.plane + 50),
            view=view,
        )

    def ways(self, steering: Any, around: Any, view: View) -> Any:
        """Way to the nearer crossing of the pedal's plane; infinite without one."""
        steering, around = np.broadcast_arrays(steering, around)
        angle, tyre = np.radians(self.head_angle), self.width / 2
        axis = np.array([-np.cos(angle), np.sin(angle), 0.0])
        foot = np.array([*self.axis, 0.0])

        def turned(v: Any) -> Any:
            turn, along = steering[..., None], (v @ axis)[..., None] * axis
            across = np.cross(np.broadcast_to(axis, v.shape), v)
            return along + np.cos(turn) * (v - along) + np.sin(turn) * across

        out = np.stack([np.cos(around), np.sin(around), 0 * around], axis=-1)
        spine = np.array([self.x, self.y, 0.0]) + (self.radius - tyre) * out - foot
        centre, one = foot + turned(spine), turned(out)
        two = turned(np.broadcast_to([0.0, 0.0, 1.0], out.shape))
        size = tyre * np.hypot(one[..., 2], two[..., 2])
        with np.errstate(invalid="ignore", divide="ignore"):
            spread = np.arccos((self.plane - centre[..., 2]) / size)
            ways = []
            for side in (spread, -spread):
                psi = np.arctan2(two[..., 2], one[..., 2]) + side
                section = np.cos(psi)[..., None] * one + np.sin(psi)[..., None] * two
                point = centre + tyre * section
                height = point[..., 1] if view == "pedal path" else 0.0
                ways.append(point[..., 0] - np.sqrt(self.crank**2 - height**2))
        return np.fmin(*(np.where(np.isnan(way), np.inf, way) for way in ways))

    def looked_at(self, view: View, *, steps: int = 121) -> float:
        """Least way over the whole range, then closer round the best."""
        steering = np.linspace(-np.pi / 2, np.pi / 2, steps)
        around = np.linspace(-np.pi, np.pi, 4 * steps)
        turn, place = np.pi / (steps - 1), 2 * np.pi / (4 * steps - 1)
        for _ in range(12):
            ways = self.ways(steering[:, None], around[None, :], view)
            least = float(np.min(ways))
            if np.isinf(least):
                return least
            at = np.unravel_index(np.argmin(ways), ways.shape)
            best = steering[at[0]], around[at[1]]
            grid = np.linspace(-1.5, 1.5, 31)
            steering = np.clip(best[0] + turn * grid, -np.pi / 2, np.pi / 2)
            around = best[1] + place * grid
            turn, place = turn / 3, place / 3
        return least


SMALL = {
    "its rear half never abreast": Front(183, 48, 611, -113, 75, 61, 176, 144),
    "both halves abreast": Front(213, 45, 428, -64, 62, 80, 162, 130),
    "fat, far ahead": Front(220, 77, 387, -14, 70, 53, 178, 172),
    "narrow": Front(155, 27, 564, -170, 59, 8, 156, 150),
    "offset behind the axis": Front(162, 73, 768, -120, 77, -22, 150, 148),
}


@pytest.mark.parametrize("view", ["pedal path", "from above"])
@pytest.mark.parametrize("name", SMALL)
def test_small_wheels_over_the_whole_steering_range(name: str, view: View) -> None:
    front = SMALL[name]
    solved = front.solved(view)
    assert solved.clearance == pytest.approx(front.looked_at(view), abs=2e-3)


@pytest.mark.parametrize("name", ["its rear half never abreast", "narrow"])
def test_the_front_half_turned_right_across_is_seen(name: str) -> None:
    """By the rear half alone the wheel would never come abreast, or much later."""
    assert SMALL[name].solved("pedal path").steering_angle == pytest.approx(90.0)


fronts = st.builds(
    lambda radius, ahead, below, **rest: Front(
        radius=radius, x=radius + ahead, y=radius - below, **rest
    ),
    radius=st.floats(140.0, 390.0),
    ahead=st.floats(120.0, 480.0),
    below=st.floats(230.0, 340.0),
    width=st.floats(20.0, 70.0),
    head_angle=st.floats(55.0, 85.0),
    offset=st.floats(-60.0, 90.0),
    crank=st.floats(140.0, 190.0),
    plane=st.floats(90.0, 190.0),
)


@settings(max_examples=20, deadline=None)
@given(front=fronts, view=st.sampled_from(["pedal path", "from above"]))
def test_no_point_of_any_steered_wheel_comes_closer(front: Front, view: str) -> None:
    solved = float(front.solved(cast(View, view)).clearance)
    looked = front.looked_at(cast(View, view))
    if np.isfinite(looked):
        assert solved <= looked + 1e-6
        assert solved == pytest.approx(looked, abs=1.0)  # the look is coarse, and may miss some


@settings(max_examples=15, deadline=None)
@given(front=fronts)
def test_a_build_among_many_is_answered_as_alone(front: Front) -> None:
    many = toe_clearance(
        wheel=Wheel(
            x=np.array([front.x, 640.0]),
            y=np.array([front.y, 60.0]),
            radius=np.array([front.radius, 360.0]),
            width=45.0,
        ),
        head_angle=front.head_angle,
        axis_x=np.array([front.axis[0], 590.0]),
        axis_y=np.array([front.axis[1], 60.0]),
        pedal=Pedal(crank_length=front.crank, centre=front.plane, outer=300.0),
    )
    alone = toe_clearance(
        wheel=Wheel(x=front.x, y=front.y, radius=front.radius, width=45.0),
        head_angle=front.head_angle,
        axis_x=front.axis[0],
        axis_y=front.axis[1],
        pedal=Pedal(crank_length=front.crank, centre=front.plane, outer=300.0),
    )
    assert np.asarray(many.clearance)[0] == pytest.approx(alone.clearance, abs=1e-6)


def test_a_tyre_within_its_mudguard_counts_where_it_is_nearer() -> None:
    """Turned right across, the side of a small tyre is nearer than the mudguard's."""
    tyre = Front(211.52, 21.04, 411.83, -94.47, 72.52, 69.07, 170.0, 150.0)
    plain, guard = (
        Front(**(vars(tyre) | {"radius": tyre.radius + off})).solved("pedal path")
        for off in (0.0, 21.3)
    )
    assert plain.clearance < guard.clearance
