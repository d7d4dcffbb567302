"""The drive in its slot: counts, positions, rings, ratios, the reaction arm, the tables."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from tests.webapp.builds.fitting.judged_builds import (
    BELT,
    COASTER,
    checks_of,
    chosen,
    setup_for,
    setup_of,
)
from webapp.builds.evaluation import compute
from webapp.builds.fitting.calculations.axle_position import axle_for, axle_positions_of
from webapp.builds.fitting.calculations.drive_tables import closings, gear_table, pairs_closing
from webapp.catalogue.reading.views import Catalogue

PITCH = 12.7  # half an inch: ISO 606 08B


def loop_by_arcs(centre: float, ring: int, sprocket: int) -> float:
    """Links round two wheels: straight runs, and one link for each tooth held [R: geometry]."""
    big, small = (PITCH / (2 * math.sin(math.pi / teeth)) for teeth in (ring, sprocket))
    slope = math.asin((big - small) / centre)
    held = ring * (math.pi + 2 * slope) + sprocket * (math.pi - 2 * slope)
    return 2 * centre * math.cos(slope) / PITCH + held / (2 * math.pi)


def test_coaster_32_by_20_closes_where_the_axle_is_told_to_be(trail: Catalogue) -> None:
    setup = setup_of(trail, COASTER)
    rows = closings(setup)
    assert [row.count for row in rows] == [94, 96]
    for row in rows:
        assert loop_by_arcs(row.chainstay, 32, 20) == pytest.approx(row.count, abs=0.02)
        assert 0 <= row.new <= 24
        assert row.worn > row.new
    checks = checks_of(trail, setup.choice)
    assert checks["drive.axle_position"].outcome == "no"
    assert axle_for(setup) == pytest.approx(rows[0].new, abs=0.05)


def test_set_where_it_closes_the_build_can_be_ordered(trail: Catalogue) -> None:
    setup = setup_of(trail, COASTER)
    assert not compute(trail, setup.choice).can_be_ordered
    moved = setup.at(axle_for(setup) or 0.0)
    assert compute(trail, moved).can_be_ordered
    assert axle_for(setup_for(trail, moved)) is None


def test_a_worn_chain_needs_the_share_it_has_lengthened(trail: Catalogue) -> None:
    row = axle_positions_of(setup_of(trail, COASTER))[0]
    # 1 % of the loop, half of it on each run: the axle goes back by about half of it
    assert row.worn - row.new == pytest.approx(0.01 * row.count * PITCH / 2, rel=0.03)


def test_half_link_is_a_choice_where_it_is_sold(trail: Catalogue) -> None:
    with_it = setup_of(trail, COASTER, extra="half-link")
    assert [row.count for row in closings(with_it)] == [94, 95, 96, 97]
    belt = checks_of(trail, chosen(trail, BELT, extra="half-link"))
    refused = belt["extra.half_link.half-link"]
    assert refused.outcome == "no"
    assert "half link" in refused.reason
    assert "belt" in refused.reason


def test_belt_closes_in_counts_sold_alone(trail: Catalogue) -> None:
    sold = trail.part("transmission", "belt").data.model_dump()["counts"]
    for ring in ("belt-44", "belt-48"):
        rows = closings(setup_of(trail, BELT, ring=ring))
        assert rows
        assert {row.count for row in rows} <= set(sold)
        assert all(row.worn == pytest.approx(row.new) for row in rows)  # a belt does not lengthen


def test_belt_is_put_on_with_the_axle_forward(trail: Catalogue) -> None:
    needed = trail.part("transmission", "belt").data.model_dump()["mounting"]
    assert needed > 0
    for ring in ("belt-44", "belt-48"):
        for sprocket in ("belt-21", "belt-24", "belt-27"):
            rows = closings(setup_of(trail, BELT, ring=ring, sprocket=sprocket))
            assert all(row.new >= needed for row in rows)


def test_derailleur_closes_anywhere_and_its_chain_grows_with_the_slot(trail: Catalogue) -> None:
    for slot in ("0", "24"):
        checks = checks_of(trail, chosen(trail, slot=slot))
        assert "drive.axle_position" not in checks
        assert checks["drive.chain_length"].outcome == "clear"
    lengths = [checks_of(trail, chosen(trail, slot=s))["drive.chain_length"] for s in ("0", "24")]
    # largest round largest and two more, to the next even count [E]
    for check, centre in zip(lengths, (427.0, 450.8), strict=True):
        most = 2 * math.ceil(loop_by_arcs(centre, 32, 49) / 2) + 2
        assert check.figure == most


def test_hub_gear_refuses_a_ratio_below_its_makers(trail: Catalogue) -> None:
    least = trail.part("hub", "hub-gear-6-135").data.model_dump()["smallest_ratio"]
    for sprocket, teeth in (("belt-21", 21), ("belt-24", 24), ("belt-27", 27)):
        check = checks_of(trail, chosen(trail, BELT, sprocket=sprocket))["drive.hub_ratio"]
        assert check.outcome == ("clear" if 44 / teeth >= least else "no")
        if check.outcome == "no":
            assert f"at most {math.floor(44 / least)}" in check.remedy


def test_ring_room_follows_chainline_and_slot(trail: Catalogue) -> None:
    data = trail.revision.data
    limits = data.rings.model_copy(update={"per_mm_slot": 0.1})
    grown = data.model_copy(update={"rings": limits})
    wider = replace(trail, revision=replace(trail.revision, data=grown))
    fields = {**COASTER, "ring": "single-36"}
    assert checks_of(trail, chosen(trail, fields))["drive.ring_room"].outcome == "no"
    assert checks_of(trail, chosen(trail, fields))["drive.ring_room"].limit == 34
    assert checks_of(wider, chosen(wider, fields, slot="24"))["drive.ring_room"].limit == 36


def test_coaster_without_a_place_for_its_arm_cannot_be_ordered(trail: Catalogue) -> None:
    data = trail.revision.data.model_copy(update={"reaction_arm_mount": False})
    bare = replace(trail, revision=replace(trail.revision, data=data))
    found = checks_of(bare, chosen(bare, COASTER, slot="4.1"))["drive.reaction_arm"]
    assert (found.outcome, found.safety) == ("no", True)
    assert not compute(bare, chosen(bare, COASTER, slot="4.1")).can_be_ordered
    assert compute(trail, chosen(trail, COASTER, slot="4.1")).can_be_ordered


def test_chain_longer_than_its_box_is_refused(trail: Catalogue) -> None:
    chain = trail.part("transmission", "chain-wide")
    short = replace(chain, data=chain.data.model_copy(update={"longest": 90}))
    listed = tuple(short if p.slug == chain.slug else p for p in trail.parts["transmission"])
    scant = replace(trail, parts={**trail.parts, "transmission": listed})
    found = checks_of(scant, chosen(scant, COASTER, slot="4.1"))["drive.chain_length"]
    assert (found.outcome, found.figure, found.limit) == ("no", 94, 90)


def test_every_pair_listed_leads_to_a_build_that_closes(trail: Catalogue) -> None:
    for fields in (COASTER, BELT):
        setup = setup_of(trail, fields)
        pairs = pairs_closing(setup, nearest_gear=True)
        assert pairs
        for pair in pairs:
            checks = checks_of(trail, pair.choice)
            assert checks["drive.axle_position"].outcome == "clear", pair.words
            assert checks["drive.slot"].outcome != "no"
            assert checks["drive.ring_room"].outcome == "clear"
            if "drive.hub_ratio" in checks:
                assert checks["drive.hub_ratio"].outcome == "clear"


def test_no_pair_that_closes_is_left_out(trail: Catalogue) -> None:
    """Every ring and sprocket of the catalogue is tried on its own."""
    setup = setup_of(trail, COASTER)
    listed = {pair.words.partition(",")[0] for pair in pairs_closing(setup)}
    for ring in ("single-30", "single-32", "single-34", "single-36"):
        for sprocket in ("lug-16", "lug-18", "lug-20", "lug-22"):
            own = setup_of(trail, COASTER, ring=ring, sprocket=sprocket)
            allowed = checks_of(trail, own.choice)["drive.ring_room"].outcome != "no"
            name = f"{ring[-2:]} × {sprocket[-2:]}"
            assert (name in listed) == (bool(closings(own)) and allowed)


def test_pairs_come_nearest_to_what_is_wished(trail: Catalogue) -> None:
    setup = setup_of(trail, COASTER)
    by_gear = [pair for pair in pairs_closing(setup, ratio=1.9) if pair.lasts]
    assert [abs(p.ratio - 1.9) for p in by_gear] == sorted(abs(p.ratio - 1.9) for p in by_gear)
    by_stay = [pair for pair in pairs_closing(setup, chainstay=436.0) if pair.lasts]
    misses = [abs(pair.chainstay - 436.0) for pair in by_stay]
    assert misses == sorted(misses)
    lasting = [pair.lasts for pair in pairs_closing(setup)]
    assert lasting == sorted(lasting, reverse=True)


def test_gears_by_definition(trail: Catalogue) -> None:
    setup = setup_of(trail, COASTER)
    (gear,) = gear_table(setup)
    radius = float(setup.assembly.build.rear_radius)
    assert gear.ratio == pytest.approx(1.6)
    assert gear.development == pytest.approx(1.6 * 2 * math.pi * radius / 1000)
    assert gear.speed == pytest.approx(gear.development * 80 * 60 / 1000)
    (slower,) = gear_table(setup_of(trail, COASTER, cadence="60"))
    assert slower.speed == pytest.approx(0.75 * gear.speed)
    ratios = [each.ratio for each in gear_table(setup_of(trail, BELT))]
    assert len(ratios) == 6
    assert np.all(np.diff(ratios) > 0)
    assert len(gear_table(setup_of(trail))) == 12
