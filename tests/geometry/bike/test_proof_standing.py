"""The closed form against a general-purpose root finder fed with constraints alone."""

from __future__ import annotations

import numpy as np
import pytest

from geometry.bike.parts import Build, State
from geometry.bike.standing import Standing, stand
from tests.geometry.constraints import solve_by_constraints
from tests.geometry.random_builds import random_build, random_state

BUILDS = 300
ANGLES = ("head_angle", "seat_tube_angle")


def cases() -> list[tuple[Build, State]]:
    rng = np.random.default_rng(20260101)
    builds = [random_build(rng) for _ in range(BUILDS)]
    return [(build, random_state(rng, build)) for build in builds]


def test_cases_cover_what_they_claim() -> None:
    drawn = cases()
    slots = [float(build.slot_position) for build, _ in drawn]
    assert sum(s > 0 for s in slots) > 50
    assert sum(s == 0 for s in slots) > 50
    for convention in ("along", "straight"):
        assert sum(b.fork.axle_to_crown_measured == convention for b, _ in drawn) > 100
    assert sum(abs(float(b.front_radius) - float(b.rear_radius)) > 20 for b, _ in drawn) > 100
    assert sum(abs(float(b.frame.slot_angle)) > 10 for b, _ in drawn) > 100


@pytest.mark.parametrize("block", range(10))
def test_closed_form_agrees_with_the_root_finder(block: int) -> None:
    for build, state in cases()[block::10]:
        standing = stand(build, state)
        for name, expected in solve_by_constraints(build, state).items():
            within = 1e-4 if name in ANGLES else 1e-3
            assert getattr(standing, name) == pytest.approx(expected, abs=within, rel=0), name


def test_every_figure_is_compared() -> None:
    build, state = cases()[0]
    own = {"turn", "turn_cosine", "turn_sine", "front_radius", "rear_radius"}
    assert set(Standing.__slots__) - own == set(solve_by_constraints(build, state))
