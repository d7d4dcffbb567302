"""Feet and ground: states, pedals left out, feet held, many builds in one call."""

from __future__ import annotations

import math

import pytest

from tests.webapp.builds.fitting.judged_builds import SMALL_WHEELS, checks_of, chosen, setup_of
from webapp.builds.fitting.calculations.feet import feet_checks
from webapp.catalogue.reading.views import Catalogue


def test_both_states_of_a_suspension_fork_and_one_of_a_rigid(
    trail: Catalogue, tourer: Catalogue
) -> None:
    sprung = checks_of(trail, chosen(trail))
    assert {"feet.pedal.unloaded", "feet.pedal.sagged"} <= set(sprung)
    up, down = (sprung[f"feet.pedal.{state}"].figure for state in ("unloaded", "sagged"))
    assert up is not None
    assert down is not None
    assert down < up
    assert "feet.pedal.sagged" not in checks_of(tourer, chosen(tourer))


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
