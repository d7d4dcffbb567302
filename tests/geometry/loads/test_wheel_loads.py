"""Mass and load: the benchmark bicycle, measured bicycles, Dempster's segments.

Marks: [R] read in the source named, [E] from an excerpt, [M] from memory.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.checks import Check
from geometry.core import Statement
from geometry.core.errors import InvalidInput
from geometry.loads import LoadLess, NothingMore, Permitted, RiderForward
from geometry.loads.wheel_loads import (
    SEGMENT_CENTRE,
    SEGMENT_MASS,
    Joints,
    Leg,
    Point,
    front_share_check,
    loading,
    mass_centre,
    permissible_check,
    rider_mass_centre,
)

# [R] Meijaard, Papadopoulos, Ruina, Schwab, Proc. R. Soc. A 463 (2007), Table 1:
# rear wheel, rear body with rider, front frame, front wheel
BENCHMARK_MASSES = [2.0, 85.0, 4.0, 3.0]
BENCHMARK_POINTS = [(0.0, 300.0), (300.0, 900.0), (900.0, 700.0), (1020.0, 350.0)]


def test_benchmark_bicycle_from_its_parts() -> None:
    """[R] x .3421 m and h .8612 m ahead of and above the rear contact."""
    mass, x, y = mass_centre(BENCHMARK_MASSES, BENCHMARK_POINTS)
    assert mass == 94.0
    assert x == pytest.approx(342.1, abs=0.05)
    assert y == pytest.approx(861.2, abs=0.05)
    found = loading(ahead=x, height=y, wheelbase=1020.0)
    assert found.front_share == pytest.approx(0.335, abs=0.0005)
    assert found.front_lift == pytest.approx(0.397, abs=0.0005)
    assert found.pitch_over == pytest.approx(0.787, abs=0.0005)


@pytest.mark.parametrize("share", [0.335, 0.291, 0.282])
def test_measured_bicycles_with_riders_carry_enough_in_front(share: float) -> None:
    """[R] by arithmetic from Meijaard 2007 and Moore, Human Control of a Bicycle, 2012.

    All three are upright or seated riders, and clear of the least share of 25 % [E].
    """
    check = front_share_check(share, wheelbase=1100.0, total=95.0, rider=80.0)
    assert check.outcome == "clear"


def test_dempster_s_table() -> None:
    """[R] Dempster, in Winter: the shares make a whole body."""
    limbs = ("hand", "forearm", "upper arm", "foot", "leg", "thigh")
    total = 2 * sum(SEGMENT_MASS[name] for name in limbs)
    total += SEGMENT_MASS["head and neck"] + SEGMENT_MASS["trunk"]
    assert total == pytest.approx(1.0, abs=1e-12)
    assert SEGMENT_MASS.keys() == SEGMENT_CENTRE.keys()
    assert (SEGMENT_MASS["thigh"], SEGMENT_CENTRE["thigh"]) == (0.100, 0.433)
    assert (SEGMENT_MASS["leg"], SEGMENT_CENTRE["leg"]) == (0.0465, 0.433)
    assert (SEGMENT_MASS["foot"], SEGMENT_CENTRE["foot"]) == (0.0145, 0.500)
    assert (SEGMENT_MASS["trunk"], SEGMENT_CENTRE["trunk"]) == (0.497, 0.50)
    assert (SEGMENT_MASS["hand"], SEGMENT_CENTRE["hand"]) == (0.006, 0.506)
    assert (SEGMENT_MASS["forearm"], SEGMENT_CENTRE["forearm"]) == (0.016, 0.430)
    assert (SEGMENT_MASS["upper arm"], SEGMENT_CENTRE["upper arm"]) == (0.028, 0.436)
    assert (SEGMENT_MASS["head and neck"], SEGMENT_CENTRE["head and neck"]) == (0.081, 1.0)


def rider(**joints: Point) -> Joints:
    """An upright rider on a town bike, saddle well behind the BB at the origin."""
    places: dict[str, Point] = {
        "ear": (-120.0, 1360.0),
        "shoulder": (-165.0, 1180.0),
        "elbow": (-60.0, 900.0),
        "wrist": (180.0, 800.0),
        "grip": (250.0, 790.0),
        "hip": (-260.0, 680.0),
    } | joints
    right = Leg(knee=(210.0, 480.0), ankle=(120.0, 70.0), ball=(170.0, 0.0))
    left = Leg(knee=(80.0, 330.0), ankle=(-60.0, -80.0), ball=(0.0, -170.0))
    return Joints(right=right, left=left, **places)


def test_a_standing_man_has_his_mass_centre_at_five_ninths_of_his_height() -> None:
    """[M] 55 to 57 % of stature; segment lengths [E] Drillis & Contini, in Winter."""
    stature = 1750.0
    hip, shoulder = 0.530 * stature, 0.818 * stature
    knee, ankle = (0.530 - 0.245) * stature, 0.039 * stature
    elbow = shoulder - 0.186 * stature
    wrist = elbow - 0.146 * stature
    leg = Leg(knee=(0.0, knee), ankle=(0.0, ankle), ball=(0.0, 0.0))
    _, y = rider_mass_centre(
        Joints(
            ear=(0.0, 0.935 * stature),
            shoulder=(0.0, shoulder),
            elbow=(0.0, elbow),
            wrist=(0.0, wrist),
            grip=(0.0, wrist - 0.108 * stature),
            hip=(0.0, hip),
            right=leg,
            left=leg,
        )
    )
    assert 0.54 < float(y) / stature < 0.58


def test_an_upright_rider_carries_28_to_34_percent_in_front() -> None:
    """[R] the range of measured riders, against segments of an invented seated one."""
    x, y = rider_mass_centre(rider())
    _, ahead, height = mass_centre(
        [80.0, 14.0], [(float(x) + 460.0, float(y) + 290.0), (480.0, 480.0)]
    )
    found = loading(ahead=ahead, height=height, wheelbase=1150.0)
    assert 0.28 <= float(found.front_share) <= 0.34


def test_each_segment_pulls_by_its_share() -> None:
    """Moving one joint moves the mass centre by what hangs on it, reckoned by hand."""
    x, _ = rider_mass_centre(rider())
    moved, _ = rider_mass_centre(rider(hip=(-160.0, 680.0)))
    trunk, thighs = 0.497 * 0.50, 2 * 0.100 * (1 - 0.433)
    assert float(moved) - float(x) == pytest.approx(100.0 * (trunk + thighs))
    grips, _ = rider_mass_centre(rider(grip=(350.0, 790.0)))
    assert float(grips) - float(x) == pytest.approx(100.0 * 2 * 0.006 * 0.506)


@given(dx=st.floats(-1e3, 1e3), dy=st.floats(-1e3, 1e3))
def test_a_rider_moved_whole_moves_whole(dx: float, dy: float) -> None:
    def moved(point: Point) -> Point:
        return point[0] + dx, point[1] + dy

    base = rider()
    legs = [
        Leg(knee=moved(leg.knee), ankle=moved(leg.ankle), ball=moved(leg.ball))
        for leg in (base.right, base.left)
    ]
    names = ("ear", "shoulder", "elbow", "wrist", "grip", "hip")
    shifted = Joints(
        **{name: moved(getattr(base, name)) for name in names}, right=legs[0], left=legs[1]
    )
    x, y = rider_mass_centre(base)
    assert rider_mass_centre(shifted) == pytest.approx((x + dx, y + dy), abs=1e-8)


def test_arrays_of_riders() -> None:
    x, _ = rider_mass_centre(rider(grip=(np.array([250.0, 350.0]), 790.0)))
    single, _ = rider_mass_centre(rider(grip=(350.0, 790.0)))
    assert np.shape(x) == (2,)
    assert np.asarray(x)[1] == pytest.approx(single)


@given(
    ahead=st.floats(100.0, 900.0), height=st.floats(500.0, 1200.0), wheelbase=st.floats(950, 1300)
)
def test_lift_and_pitch_over_share_the_wheelbase(
    ahead: float, height: float, wheelbase: float
) -> None:
    found = loading(ahead=ahead, height=height, wheelbase=wheelbase)
    assert found.front_lift + found.pitch_over == pytest.approx(wheelbase / height)
    assert found.front_lift == pytest.approx(found.front_share * wheelbase / height)


def test_the_remedy_s_move_brings_the_share_wished() -> None:
    """Moments: the rider's own mass moved by that much."""
    check = front_share_check(0.22, wheelbase=1100.0, total=95.0, rider=80.0)
    assert check.outcome == "no"
    assert isinstance(check.remedy, RiderForward)
    move = check.remedy.by
    assert 0.22 + move * 80.0 / 95.0 / 1100.0 == pytest.approx(0.28, abs=0.001)


@pytest.mark.parametrize(
    ("mass", "outcome"), [(104.5, "clear"), (110.0, "tight"), (115.0, "no"), (0.0, "clear")]
)
def test_a_heavy_rider_is_answered_with_the_builder_s_limit(mass: float, outcome: str) -> None:
    check = permissible_check("load.rider", what="Rider", mass=mass, limit=110.0)
    assert check.outcome == outcome
    assert check.safety
    assert isinstance(check.reason, Permitted)
    assert check.reason.limit == 110


def test_a_mass_is_tight_in_the_last_twentieth_and_at_its_limit_nothing_more_goes() -> None:
    def at(mass: float) -> Check[Statement]:
        return permissible_check("load.rider", what="Rider", mass=mass, limit=80.0)

    assert [at(mass).outcome for mass in (75.9, 76.1, 80.0, 80.1)] == [
        "clear", "tight", "tight", "no"
    ]  # fmt: skip
    assert at(80.0).remedy == NothingMore()
    assert at(80.5).remedy == LoadLess(less=0.5, mass=80.5)


def test_a_quarter_is_the_least_on_the_front_wheel() -> None:
    """[E] a national adoption of ISO 4210-2, cl. 4.7.5."""
    terms = {"wheelbase": 1100.0, "total": 95.0, "rider": 80.0}
    assert front_share_check(0.2501, **terms).outcome == "tight"
    assert front_share_check(0.2499, **terms).outcome == "no"
    assert front_share_check(0.2499, **terms).limit == 0.25


def test_what_may_carry_nothing_carries_nothing() -> None:
    check = permissible_check("load.luggage", what="Luggage", mass=0.5, limit=0.0)
    assert (check.outcome, check.margin) == ("no", -0.5)


def test_a_limit_that_is_not_stated_is_not_known() -> None:
    check = permissible_check("load.bike", what="Bike, rider and luggage", mass=140.0, limit=None)
    assert check.outcome is None
    assert check.safety


def test_bad_input_is_named() -> None:
    with pytest.raises(InvalidInput, match="height"):
        loading(ahead=300.0, height=0.0, wheelbase=1000.0)
    with pytest.raises(InvalidInput, match="wheelbase"):
        loading(ahead=300.0, height=900.0, wheelbase=float("nan"))
    with pytest.raises(InvalidInput, match=r"masses\[1\]"):
        mass_centre([80.0, -1.0], [(0.0, 0.0), (0.0, 0.0)])
    with pytest.raises(InvalidInput, match="masses"):
        mass_centre([0.0], [(0.0, 0.0)])
    with pytest.raises(InvalidInput, match="points"):
        mass_centre([80.0], [])
    with pytest.raises(InvalidInput, match="rider"):
        front_share_check(0.3, wheelbase=1100.0, total=80.0, rider=95.0)
    with pytest.raises(InvalidInput, match="upper arm"):
        rider_mass_centre(rider(elbow=(float("nan"), 0.0)))
