"""Gear tables by definition, ring sizes, and what a hub's maker and the frame allow.

What is by definition needs no source; limits of hub and frame are invented.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.core.errors import InvalidInput
from geometry.drive import ArmFixed, ArmLoose, FrameWithFixing, HubRatio, KeepHubRatio, RingAtMost
from geometry.drive.gearing import (
    gears,
    hub_ratio_check,
    reaction_arm_check,
    ring_check,
    smallest_ring,
)


def test_gear_by_definition() -> None:
    """By definition: 48 × 19 with a 27 in wheel goes 5.443 m for each turn of the cranks."""
    table = gears(ring=48, sprocket=19, wheel_diameter=27 * 25.4)
    assert table.development == pytest.approx(5.443, abs=0.0005)


def test_speed_from_way_counted_by_hand() -> None:
    """60 turns a minute for an hour are 3600 developments."""
    table = gears(ring=32, sprocket=16, wheel_diameter=700.0, cadence=60.0)
    assert table.ratio == 2.0
    assert table.speed == pytest.approx(3600 * np.pi * 1.4 / 1000)


def test_a_table_of_hub_gears_and_rings() -> None:
    hub = np.array([[0.64], [1.0], [1.5625]])
    table = gears(
        ring=np.array([36.0, 38.0]),
        sprocket=19,
        wheel_diameter=700.0,
        hub_ratio=hub,
    )
    assert np.shape(table.ratio) == (3, 2)
    assert np.asarray(table.speed)[1, 1] == pytest.approx(
        gears(ring=38, sprocket=19, wheel_diameter=700.0).speed
    )


@pytest.mark.parametrize("field", ["ring", "sprocket", "wheel_diameter", "cadence"])
@pytest.mark.parametrize("value", [float("nan"), -1.0])
def test_bad_input_is_named(field: str, value: float) -> None:
    good = {"ring": 32.0, "sprocket": 20.0, "wheel_diameter": 700.0}
    with pytest.raises(InvalidInput) as caught:
        gears(**{**good, field: value})
    assert caught.value.field == field


@given(sprocket=st.integers(13, 24), ratio=st.integers(120, 260))
def test_smallest_ring_keeps_the_ratio_and_one_tooth_less_does_not(
    sprocket: int, ratio: int
) -> None:
    """Judged in whole hundredths, where nothing is rounded."""
    ring = int(smallest_ring(sprocket=sprocket, least_ratio=ratio / 100))
    assert 100 * ring >= ratio * sprocket
    assert 100 * (ring - 1) < ratio * sprocket
    check = hub_ratio_check(
        ring=ring, sprocket=sprocket, least_ratio=ratio / 100, source="hub maker"
    )
    assert check.outcome == "clear"
    lower = hub_ratio_check(
        ring=ring - 1, sprocket=sprocket, least_ratio=ratio / 100, source="hub maker"
    )
    assert lower.outcome == "no"
    assert isinstance(lower.remedy, KeepHubRatio)
    assert lower.remedy.ring == ring
    assert isinstance(lower.reason, HubRatio)
    assert lower.reason.least == ratio / 100


def test_a_hub_multiplies_what_ring_and_sprocket_give() -> None:
    """36 × 18 turns the sprocket twice, a gear of 1.5 the wheel three times; 2 m round."""
    table = gears(ring=36, sprocket=18, wheel_diameter=2000.0 / np.pi, cadence=0.5, hub_ratio=1.5)
    assert table.ratio == 3.0
    assert table.development == pytest.approx(6.0)
    assert table.speed == pytest.approx(0.5 * 60 * 6.0 / 1000)
    assert smallest_ring(sprocket=20, least_ratio=0.8) == 16.0


def test_only_rounding_is_forgiven_a_hub_ratio() -> None:
    """25 × 2.2 is 55 and a hair in binary; 25 × 2.00000002 is truly more than 50."""
    assert 25 * 2.2 > 55.0
    assert smallest_ring(sprocket=25, least_ratio=2.2) == 55.0
    assert smallest_ring(sprocket=25, least_ratio=2.00000002) == 51.0


def test_a_wheel_may_be_told_in_metres() -> None:
    """Development grows with the wheel: a thousandth of it makes a thousandth of the way."""
    whole = gears(ring=34, sprocket=17, wheel_diameter=700.0, cadence=60.0)
    small = gears(ring=34, sprocket=17, wheel_diameter=0.7, cadence=60.0)
    assert np.asarray(small.development) * 1000.0 == pytest.approx(np.asarray(whole.development))


def test_an_unstated_hub_limit_is_not_known() -> None:
    check = hub_ratio_check(ring=32, sprocket=20, least_ratio=None, source="hub maker")
    assert check.outcome is None


def test_reaction_arm() -> None:
    assert reaction_arm_check(fixing="", needed=False, source="builder") is None
    outcomes, said = [], []
    for fixing in ("boss on the left stay", "", None):
        check = reaction_arm_check(fixing=fixing, needed=True, source="builder")
        assert check is not None
        assert check.safety
        outcomes.append(check.outcome)
        said.append((check.reason, check.remedy))
    assert outcomes == ["clear", "no", None]
    assert said[:2] == [
        (ArmFixed(fixing="boss on the left stay"), ""),
        (ArmLoose(), FrameWithFixing()),
    ]


@pytest.mark.parametrize(("ring", "outcome"), [(33, "clear"), (34, "no")])
def test_a_ring_s_room(ring: int, outcome: str) -> None:
    check = ring_check(ring=ring, most=33.0)
    assert check.outcome == outcome
    assert check.safety
    unstated = ring_check(ring=ring, most=None)
    assert unstated.outcome is None
    assert unstated.safety


def outside_radius(teeth: int) -> float:
    """Over the teeth of a half-inch ring, ``p (0.6 + cot(π/z)) / 2`` [M: ANSI B29.1]."""
    return float(12.7 * (0.6 + 1.0 / np.tan(np.pi / teeth)) / 2.0)


@pytest.mark.parametrize(("room", "most"), [(62.0, 26), (75.0, 33), (90.0, 40)])
def test_the_largest_ring_that_clears_a_stay_is_taken_and_the_next_is_not(
    room: float, most: int
) -> None:
    """Room about the BB at the ring's chainline, 4 mm of it to be kept."""
    assert outside_radius(most) + 4.0 <= room < outside_radius(most + 1) + 4.0
    taken, refused = (ring_check(ring=ring, most=most) for ring in (most, most + 1))
    assert (taken.outcome, refused.outcome) == ("clear", "no")
    assert refused.remedy == RingAtMost(most=most)


def test_gear_inches() -> None:
    """By definition: 48/19 on a 27 in wheel is 68.21 gear inches."""
    table = gears(ring=48, sprocket=19, wheel_diameter=27 * 25.4)
    assert 27 * float(table.ratio) == pytest.approx(68.21, abs=0.005)
