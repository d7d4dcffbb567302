"""Feet and ground: states, pedals left out, feet held, many builds in one call."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

import pytest

from tests.webapp.builds.fitting.judged_builds import SMALL_WHEELS, checks_of, chosen, setup_of
from webapp.builds.fitting.calculations.feet import feet_checks
from webapp.builds.fitting.sentences import WordedCheck
from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.schema.part_kinds import TyreData


def pedal_heights(checks: Mapping[str, WordedCheck]) -> tuple[float, float]:
    up, down = (checks[f"feet.pedal.{state}"].figure for state in ("unloaded", "sagged"))
    assert up is not None
    assert down is not None
    return up, down


def test_fork_and_tyres_pressed_in_lower_the_pedal(trail: Catalogue) -> None:
    up, down = pedal_heights(checks_of(trail, chosen(trail)))
    tyres = 0.15 * 71 * math.cos(math.radians(25))
    assert down < up - tyres  # the fork's sag comes on top


def test_a_rigid_forks_pedal_sinks_by_its_tyres_alone(tourer: Catalogue) -> None:
    """Wheels alike, pressed in alike: the ground comes nearer by d cos 25° of the lean."""
    up, down = pedal_heights(checks_of(tourer, chosen(tourer)))
    width = setup_of(tourer).data("tyre_front", TyreData)
    assert width is not None
    pressed_in = 0.15 * (width.measured_width or width.nominal_width)
    assert pressed_in > 7
    assert up - down == pytest.approx(pressed_in * math.cos(math.radians(25)), abs=0.01)


def test_a_stated_deflection_wins_over_the_share() -> None:
    tyre = TyreData(bead_seat_diameter=622, nominal_width=50)
    assert tyre.pressed_in == pytest.approx(7.5)
    assert tyre.model_copy(update={"deflection": 4.0}).pressed_in == 4.0
    assert tyre.model_copy(update={"deflection": 0.0}).pressed_in == 0.0


def test_pedal_height_by_plane_geometry_on_wheels_alike(tourer: Catalogue) -> None:
    """Two equal tyres do not pitch a leaning bike, so its pedal is a point in a plane."""
    figure = checks_of(tourer, chosen(tourer))["feet.pedal.unloaded"].figure
    radius, half, drop, crank = 356.0, 49.5 / 2, 70.0, 170.0
    lean, outer, low = math.radians(25), 160 / 2 + 112, 170 + 17 / 2
    ground = (radius - half) * math.cos(lean) + half
    assert crank == 170
    by_hand = ground - drop * math.cos(lean) - low * math.cos(lean) - outer * math.sin(lean)
    assert figure == pytest.approx(by_hand, abs=0.2)  # the attitude is drawn to 0.1°


def test_without_pedals_nothing_is_claimed(trail: Catalogue) -> None:
    checks = checks_of(trail, chosen(trail, pedal="none"))
    for code in ("feet.pedal.unloaded", "feet.pedal.sagged", "feet.toe.tyre"):
        assert checks[code].outcome is None
        assert checks[code].remedy


def test_held_feet_have_no_toe_limit(trail: Catalogue) -> None:
    assert checks_of(trail, chosen(trail, pedal="clip"))["feet.toe.tyre"].limit == 0
    assert checks_of(trail, chosen(trail))["feet.toe.tyre"].limit == 89  # 16 CFR 1512.17(d)


def test_many_builds_are_answered_as_each_alone(trail: Catalogue, tourer: Catalogue) -> None:
    setups = [
        setup_of(trail),
        setup_of(trail, SMALL_WHEELS, crank="trail-175"),
        setup_of(trail, pedal="none"),
        setup_of(tourer, extra="mudguards-29"),
        setup_of(tourer, pedal="clip"),
    ]
    for together, setup in zip(feet_checks(setups), setups, strict=True):
        alone = feet_checks([setup])[0]
        assert [check.code for check in together] == [check.code for check in alone]
        for one, other in zip(together, alone, strict=True):
            assert one.outcome == other.outcome
            assert one.figure == pytest.approx(other.figure)
    assert feet_checks([]) == []


def test_of_several_mudguards_the_nearest_to_the_toes_counts(trail: Catalogue) -> None:
    usual = trail.part("extra", "mudguards-29")
    high = replace(
        usual,
        slug="high",
        data=usual.data.model_copy(update={"clearance": 60.0, "width": 110.0}),
    )
    after = {**trail.parts, "extra": (*trail.parts["extra"], high)}
    before = {**trail.parts, "extra": (high, *trail.parts["extra"])}
    for parts in (after, before):
        known = replace(trail, parts=MappingProxyType(parts))
        alone, both = (
            checks_of(known, chosen(known, {"extra": extras}))["feet.toe.mudguard"]
            for extras in (["high"], [usual.slug, "high"])
        )
        assert both.figure == alone.figure
