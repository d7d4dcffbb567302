"""What a table leaves out, against the solver that stands the same frame on its wheels."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.bike import Build, Fork, missing, stand
from geometry.examples import trail_hardtail

FORK = ("lower_headset_stack", "axle_to_crown", "offset")
FRONT = ("head_angle", "head_tube_length", *FORK)

# Each dimension with numbers it follows from: triangles, sums, and the loop over the fork.
WAYS = [
    ("bb_drop", ("wheel_radius", "bb_height")),
    ("bb_drop", ("chainstay_length", "rear_centre")),
    ("rear_centre", ("wheelbase", "front_centre")),
    ("rear_centre", ("chainstay_length", "bb_drop")),
    ("chainstay_length", ("rear_centre", "bb_drop")),
    ("front_centre", ("wheelbase", "rear_centre")),
    ("stack", ("bb_drop", *FRONT)),
    ("head_tube_length", ("stack", "bb_drop", "head_angle", *FORK)),
    ("head_angle", ("stack", "bb_drop", "head_tube_length", *FORK)),
    ("reach", ("effective_top_tube", "seat_tube_angle", "stack")),
    ("reach", ("front_centre", *FRONT)),
    ("seat_tube_angle", ("effective_top_tube", "reach", "stack")),
]


def table(head_angle: float, seat_angle: float, drop: float, offset: float) -> dict[str, float]:
    """All that a maker may print of a frame that closes, by the solver, both wheels alike."""
    fork = Fork(axle_to_crown=520.0, axle_to_crown_measured="along", offset=offset)
    turn = np.radians(head_angle)
    below = 105.0 + 12.0 + 520.0
    stack = drop + below * np.sin(turn) - offset * np.cos(turn)
    frame = replace(
        trail_hardtail(), head_angle=head_angle, seat_tube_angle=seat_angle, bb_drop=drop,
        stack=float(stack), head_tube_length=105.0, seat_tube_offset=0.0,
    )  # fmt: skip
    build = Build(
        frame=frame, fork=fork, lower_headset_stack=12.0, front_radius=365.0, rear_radius=365.0
    )
    standing = stand(build)
    assert float(standing.turn) == pytest.approx(0.0, abs=1e-9)
    names = (
        "reach", "stack", "head_angle", "seat_tube_angle", "chainstay_length", "bb_drop",
        "bb_height", "rear_centre", "front_centre", "wheelbase", "effective_top_tube",
    )  # fmt: skip
    return {name: float(getattr(standing, name)) for name in names} | {
        "head_tube_length": 105.0, "lower_headset_stack": 12.0, "axle_to_crown": 520.0,
        "offset": offset, "wheel_radius": 365.0,
    }  # fmt: skip


@pytest.mark.parametrize(("key", "takes"), WAYS)
@settings(max_examples=12)
@given(
    head_angle=st.floats(60.0, 76.0),
    seat_angle=st.floats(68.0, 82.0),
    drop=st.floats(20.0, 90.0),
    offset=st.floats(20.0, 70.0),
)
def test_what_follows_is_what_the_solver_has(
    key: str, takes: tuple[str, ...], head_angle: float, seat_angle: float, drop: float,
    offset: float,
) -> None:  # fmt: skip
    whole = table(head_angle, seat_angle, drop, offset)
    found = missing({name: whole[name] for name in takes})
    assert found[key][0] == pytest.approx(whole[key], abs=1e-6)
    for other, (value, _) in found.items():
        assert value == pytest.approx(whole[other], abs=1e-6)
    # What it is short of one number for does not follow from it.
    short = {name: whole[name] for name in takes[1:]}
    assert key not in missing(short)


def test_what_is_stated_is_not_told_again() -> None:
    whole = table(66.0, 76.0, 60.0, 44.0)
    assert missing(whole) == {}
    few = {name: whole[name] for name in ("chainstay_length", "bb_height", "wheel_radius")}
    found = missing({**few, "wheelbase": whole["wheelbase"]})
    assert list(found) == ["bb_drop", "rear_centre", "front_centre"]
    assert found["front_centre"][1] == "FC = W − RC"


@pytest.mark.parametrize(
    ("values", "key"),
    [
        ({"chainstay_length": 425.0, "rear_centre": 426.0}, "bb_drop"),
        ({"effective_top_tube": 450.0, "reach": 450.5, "stack": 640.0}, "seat_tube_angle"),
        (
            {"stack": 690.0, "bb_drop": 40.0, "head_tube_length": 105.0,
             "lower_headset_stack": 12.0, "axle_to_crown": 520.0, "offset": 44.0},
            "head_angle",
        ),
    ],
)  # fmt: skip
def test_what_no_frame_can_have_does_not_follow(values: dict[str, float], key: str) -> None:
    assert key not in missing(values)


def test_the_smallest_triangle_is_one_all_the_same() -> None:
    """Half a millimetre behind the head tube; a drop of less than one."""
    steep = missing({"effective_top_tube": 450.5, "reach": 450.0, "stack": 640.0})
    assert steep["seat_tube_angle"][0] == pytest.approx(np.degrees(np.arctan2(640.0, 0.5)))
    level = missing({"chainstay_length": 425.001, "rear_centre": 425.0})
    assert level["bb_drop"][0] == pytest.approx(np.sqrt(425.001**2 - 425.0**2))
