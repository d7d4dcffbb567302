"""Room around the tyres: the builder's levels, the gap against brute force, wishes."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from tests.webapp.builds.fitting.judged_builds import SMALL_WHEELS, checks_of, chosen, setup_of
from webapp.builds.fitting.calculations.tyres import clear_positions
from webapp.catalogue.reading.views import Catalogue

BIG = {"tyre_rear": "69-622"}


@pytest.mark.parametrize(
    ("fields", "slot", "outcome"),
    [
        (BIG, "0", "tight"),
        (BIG, "24", "clear"),
        (SMALL_WHEELS, "0", "tight"),
        (SMALL_WHEELS, "24", "clear"),
        ({"tyre_rear": "59-622"}, "0", "clear"),
        ({"tyre_rear": "74-622"}, "0", "no"),
        ({"tyre_rear": "74-622"}, "24", "tight"),
    ],
)
def test_three_levels_at_both_ends_of_the_slot(
    trail: Catalogue, fields: dict[str, str], slot: str, outcome: str
) -> None:
    checks = checks_of(trail, chosen(trail, fields, slot=slot))
    assert checks["tyre.rear.stated"].outcome == outcome


def gap_by_sampling(setup_slot: float, radius: float, width: float) -> float:
    """Least distance of the stays' inner faces and the bridge to the tyre, point by point.

    The Knapweed's second revision; the tyre's surface is sampled as a torus.
    """
    chainstay, drop, angle, bridge = 427.0, 68.0, math.radians(2.0), 38.0
    start = np.array([-math.sqrt(chainstay**2 - drop**2), drop])
    axle = start + setup_slot * np.array([-math.cos(angle), math.sin(angle)])
    along = start / chainstay
    behind = np.linspace(25, 165, 4001)
    half = np.interp(behind, [25.0, 75.0, 115.0, 165.0], [70.0, 81.0, 93.0, 106.0]) / 2
    away = np.linalg.norm(behind[:, None] * along - axle, axis=1)
    tyre = width / 2
    round_ = np.linspace(0, 2 * math.pi, 721)
    ring, side = (radius - tyre) + tyre * np.cos(round_), tyre * np.sin(round_)
    stay = np.hypot(away[:, None] - ring, half[:, None] - side)
    to_bridge = np.linalg.norm(bridge * along - axle) - radius
    return float(min(stay.min(), to_bridge))


@pytest.mark.parametrize("slot", [0.0, 7.5, 24.0])
@pytest.mark.parametrize(
    ("tyre", "radius", "width"),
    [("64-622", 373, 63.5), ("54-622", 364, 56.5), ("74-622", 382, 71.3)],
)
def test_gap_is_what_sampling_finds(
    trail: Catalogue, slot: float, tyre: str, radius: float, width: float
) -> None:
    checks = checks_of(trail, chosen(trail, tyre_rear=tyre, slot=str(slot)))
    found = checks["tyre.rear.gap"].figure
    assert found == pytest.approx(gap_by_sampling(slot, radius, width), abs=0.02)


def test_first_clear_position_is_clear_and_the_one_before_is_not(trail: Catalogue) -> None:
    for fields in (BIG, {**BIG, "mud": "3"}, SMALL_WHEELS):
        at = clear_positions(setup_of(trail, fields))
        assert at is not None
        for slot, clear in ((at, True), (round(at - 0.1, 1), False)):
            checks = checks_of(trail, chosen(trail, fields, slot=str(slot)))
            rear = {checks[code].outcome for code in ("tyre.rear.stated", "tyre.rear.gap")}
            assert (rear == {"clear"}) == clear, slot


def test_mud_room_is_a_wish_and_never_refuses(trail: Catalogue) -> None:
    plain = checks_of(trail, chosen(trail, BIG, slot="24"))
    muddy = checks_of(trail, chosen(trail, BIG, slot="24", mud="30"))
    assert plain["tyre.rear.gap"].outcome == "clear"
    for end in ("rear", "front"):
        assert muddy[f"tyre.{end}.gap"].outcome == "tight"
        assert muddy[f"tyre.{end}.gap"].limit == 6  # ISO 4210-2 [E/M], mountain and touring


def test_what_nobody_measured_is_not_known(trail: Catalogue) -> None:
    data = trail.revision.data.model_copy(update={"stays": None})
    unmeasured = replace(trail, revision=replace(trail.revision, data=data))
    checks = checks_of(unmeasured, chosen(unmeasured, BIG))
    assert checks["tyre.rear.gap"].outcome is None
    assert checks["tyre.rear.stated"].outcome == "tight"


def test_fork_has_its_own_limits(trail: Catalogue) -> None:
    for fork, tyre, outcome in (
        ("suspension-130", "64-622", "clear"),
        ("suspension-110", "64-622", "tight"),
        ("suspension-110", "69-622", "no"),
    ):
        checks = checks_of(trail, chosen(trail, fork=fork, tyre_front=tyre))
        assert checks["tyre.front.stated"].outcome == outcome
    # bottomed, the crown comes down on the tyre: 514 − 130 − 373
    front = checks_of(trail, chosen(trail))["tyre.front.gap"]
    assert front.figure == pytest.approx(min((83 - 63.5) / 2, 391 - 373, 514 - 130 - 373))


def test_mudguard_needs_its_own_room(trail: Catalogue, tourer: Catalogue) -> None:
    extra = {"extra": "mudguards-29"}
    trail_checks = checks_of(trail, chosen(trail, {**BIG, **extra}, fork="rigid-long"))
    assert trail_checks["tyre.mudguard.rear"].outcome == "no"
    assert checks_of(trail, chosen(trail, extra))["extra.fork.mudguards-29"].outcome == "no"
    tourer_checks = checks_of(tourer, chosen(tourer, extra))
    assert tourer_checks["tyre.mudguard.rear"].outcome == "clear"
    assert tourer_checks["feet.toe.mudguard"].outcome == "clear"
