"""Gaps around the tyre, against points sampled on the tyre and along the stays."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.bike.drawing import rear_axle
from geometry.clearance.tyre_room import Gaps, StayRoom, fork_gaps, stay_gaps
from geometry.core.errors import ContradictoryInput, InvalidInput
from geometry.drive.slot import Slot

SLOT = Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=22.0, slot_angle=5.0)
ROOM = StayRoom(
    slot=SLOT,
    behind=np.array([40.0, 110.0, 200.0, 420.0]),
    between=np.array([80.0, 88.0, 115.0, 148.0]),
    bridge=42.0,
)


def by_sampling(position: float, radius: float, width: float) -> tuple[float, float]:
    """Least distance from the tyre's sampled surface to the stays' sampled inner edge, and bridge.

    In three dimensions, point to point, with nothing of the torus's own formula.
    """
    from scipy.spatial import cKDTree

    axle = np.array(
        rear_axle(chainstay_length=420.0, bb_drop=60.0, slot_angle=5.0, slot_position=position)
    )
    start: np.ndarray = np.array(
        rear_axle(chainstay_length=420.0, bb_drop=60.0, slot_angle=0.0, slot_position=0.0)
    )
    towards_bb = np.arctan2(-axle[1], -axle[0])
    around = towards_bb + np.linspace(-0.25, 0.25, 1001)[:, None]
    across = np.linspace(-0.3, 2.2, 801)[None, :]
    out = radius - width / 2 + width / 2 * np.cos(across)
    surface = np.stack(
        np.broadcast_arrays(
            axle[0] + out * np.cos(around),
            axle[1] + out * np.sin(around),
            width / 2 * np.sin(across),
        ),
        axis=-1,
    ).reshape(-1, 3)
    behind = np.linspace(40.0, 420.0, 4001)
    half = np.interp(behind, ROOM.behind, ROOM.between) / 2
    stay = np.column_stack([np.outer(behind / 420.0, start), half])
    tree = cKDTree(surface)
    side, _ = tree.query(stay)
    top, _ = tree.query(np.array([[*(start * 42.0 / 420.0), 0.0]]))
    return float(np.min(side)), float(np.min(top))


@pytest.mark.parametrize(
    ("position", "radius", "width"), [(0.0, 370.0, 58.0), (10.0, 349.0, 65.0), (20.0, 382.0, 71.0)]
)
def test_gaps_against_sampled_surfaces(position: float, radius: float, width: float) -> None:
    gaps = stay_gaps(ROOM, slot_position=position, radius=radius, width=width)
    side, top = by_sampling(position, radius, width)
    assert gaps.side == pytest.approx(side, abs=0.05)
    assert gaps.top == pytest.approx(top, abs=0.05)
    assert gaps.least == min(gaps.side, gaps.top)


def in_line(behind: list[float], between: list[float]) -> Gaps:
    """Gaps of a 58 mm tyre of radius 370 whose axle, stays and BB are in one level line.

    Its widest circle, of radius 341, crosses the stays 420 − 341 = 79 mm behind the BB.
    """
    room = StayRoom(
        slot=Slot(chainstay_length=420.0, bb_drop=0.0),
        behind=np.array(behind),
        between=np.array(between),
        bridge=behind[0],
    )
    return stay_gaps(room, slot_position=0.0, radius=370.0, width=58.0)


def test_stays_narrowest_at_their_last_station() -> None:
    """There the widest circle passes: half the width less half the tyre, 33 − 29."""
    assert in_line([40.0, 60.0, 79.0], [120.0, 110.0, 66.0]).side == pytest.approx(4.0, abs=1e-9)


def test_stays_narrowest_within_their_last_segment() -> None:
    """Distance of a point from a line, 2180/√4000, less half the tyre.

    Seen from where the widest circle passes, the last segment runs from (19, 30) to
    (−41, 50), and the foot of the perpendicular lies within it.
    """
    gaps = in_line([40.0, 60.0, 120.0], [120.0, 60.0, 100.0])
    assert gaps.side == pytest.approx(2180.0 / np.sqrt(4000.0) - 29.0, abs=0.01)


def test_stays_narrowest_within_their_first_segment() -> None:
    """The same line in the first segment, and a last one that is far away."""
    gaps = in_line([60.0, 120.0, 140.0], [60.0, 100.0, 140.0])
    assert gaps.side == pytest.approx(2180.0 / np.sqrt(4000.0) - 29.0, abs=0.01)


def test_stays_narrowest_at_a_station_between_others() -> None:
    """A waist: the station itself must be looked at, not only places beside it."""
    assert in_line([40.0, 79.0, 140.0], [120.0, 66.0, 120.0]).side == pytest.approx(4.0, abs=1e-9)


def test_stations_half_a_millimetre_apart_and_at_the_bb_are_taken() -> None:
    room = StayRoom(
        slot=SLOT,
        behind=np.array([0.0, 0.5, 160.0]),
        between=np.array([0.5, 80.0, 110.0]),
        bridge=0.0,
    )
    assert room.behind.tolist() == [0.0, 0.5, 160.0]


def test_bridge_in_line_with_a_level_slot_is_a_plain_difference() -> None:
    """BB, bridge and axle in one level line: chainstay + slide − bridge − radius."""
    slot = Slot(chainstay_length=420.0, bb_drop=0.0, slot_length=22.0)
    room = StayRoom(
        slot=slot,
        behind=np.array([40.0, 200.0]),
        between=np.array([80.0, 110.0]),
        bridge=42.0,
    )
    gaps = stay_gaps(room, slot_position=12.0, radius=370.0, width=58.0)
    assert gaps.top == pytest.approx(420.0 + 12.0 - 42.0 - 370.0)


@settings(max_examples=60)
@given(
    position=st.floats(0.0, 19.0),
    radius=st.floats(330.0, 385.0),
    width=st.floats(30.0, 76.0),
    slide=st.floats(0.1, 1.0),
)
def test_both_gaps_grow_as_the_axle_slides_back(
    position: float, radius: float, width: float, slide: float
) -> None:
    here = stay_gaps(ROOM, slot_position=position, radius=radius, width=width)
    behind = stay_gaps(ROOM, slot_position=position + slide, radius=radius, width=width)
    # between two sampled places of one station the nearest point may be missed by a hair
    assert behind.side > here.side - 0.01
    assert behind.top > here.top


@given(radius=st.floats(330.0, 385.0), width=st.floats(30.0, 70.0))
def test_a_wider_tyre_of_the_same_height_has_less_room_at_the_side(
    radius: float, width: float
) -> None:
    here = stay_gaps(ROOM, slot_position=5.0, radius=radius, width=width)
    wider = stay_gaps(ROOM, slot_position=5.0, radius=radius, width=width + 2.0)
    assert wider.side < here.side
    assert wider.top == pytest.approx(here.top)


def test_arrays_of_tyres_and_positions() -> None:
    gaps = stay_gaps(
        ROOM,
        slot_position=np.array([[0.0], [22.0]]),
        radius=np.array([349.0, 370.0, 382.0]),
        width=np.array([65.0, 58.0, 71.0]),
    )
    assert np.shape(gaps.side) == np.shape(gaps.top) == (2, 3)
    single = stay_gaps(ROOM, slot_position=22.0, radius=370.0, width=58.0)
    assert np.asarray(gaps.least)[1, 1] == single.least


def test_a_tyre_too_large_cuts_in() -> None:
    gaps = stay_gaps(ROOM, slot_position=0.0, radius=370.0, width=100.0)
    assert float(gaps.side) < 0
    tall = stay_gaps(ROOM, slot_position=0.0, radius=382.0, width=58.0)
    assert float(tall.top) < 0


def test_fork_uses_all_travel() -> None:
    long = fork_gaps(
        radius=370.0, width=60.0, between_legs=81.0, arch_radius=384.0, crown_radius=520.0
    )
    bottomed = fork_gaps(
        radius=370.0,
        width=60.0,
        between_legs=81.0,
        arch_radius=384.0,
        crown_radius=520.0,
        travel=145.0,
    )
    assert (long.side, long.top) == (10.5, 14.0)
    assert bottomed.top == 5.0


@pytest.mark.parametrize(
    ("field", "change"),
    [
        ("behind", {"behind": [60.0, 50.0]}),
        ("behind", {"behind": [40.0, 60.0, 50.0], "between": [80.0, 90.0, 95.0]}),
        ("behind", {"behind": [40.0, 40.0], "between": [84.0, 90.0]}),
        ("behind", {"behind": [60.0], "between": [84.0]}),
        ("between", {"between": [84.0, 0.0]}),
        ("slot", {"slot": Slot(chainstay_length=420.0, bb_drop=np.array([60.0, 70.0]))}),
        ("slot", {"slot": Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=np.ones(2))}),
        ("behind", {"behind": [60.0, float("nan")]}),
        ("between", {"between": [84.0, -1.0]}),
        ("bridge", {"bridge": float("inf")}),
        ("slot", {"slot": Slot(chainstay_length=np.array([420.0, 430.0]), bb_drop=60.0)}),
    ],
)
def test_bad_rooms_are_named(field: str, change: dict[str, Any]) -> None:
    good: dict[str, Any] = {
        "slot": SLOT,
        "behind": [40.0, 160.0],
        "between": [80.0, 110.0],
        "bridge": 42.0,
    }
    with pytest.raises(InvalidInput) as caught:
        StayRoom(**(good | change))
    assert caught.value.field == field


def test_contradictions_are_named() -> None:
    with pytest.raises(ContradictoryInput, match="between"):
        StayRoom(
            slot=SLOT,
            behind=np.array([40.0, 160.0]),
            between=np.array([84.0, 90.0, 95.0]),
            bridge=42.0,
        )
    with pytest.raises(ContradictoryInput, match="behind"):
        StayRoom(
            slot=SLOT,
            behind=np.array([43.0, 160.0]),
            between=np.array([84.0, 90.0]),
            bridge=42.0,
        )
    with pytest.raises(ContradictoryInput, match="width"):
        stay_gaps(ROOM, slot_position=0.0, radius=60.0, width=70.0)
    with pytest.raises(InvalidInput, match="radius"):
        stay_gaps(ROOM, slot_position=0.0, radius=-1.0, width=70.0)


def test_least_of_arrays() -> None:
    gaps = Gaps(side=np.array([5.0, 9.0]), top=np.array([7.0, 8.0]))
    assert np.asarray(gaps.least).tolist() == [5.0, 8.0]
