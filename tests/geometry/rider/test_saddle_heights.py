"""Saddle height against published rules, a general solver, and itself."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from geometry.core.errors import NoSolution
from geometry.rider.body import mean_bodies
from geometry.rider.body_estimate import condition
from geometry.rider.saddle_heights import (
    PostAxis,
    hip_above_saddle,
    knee_flexion,
    published_saddle_heights,
    saddle_height,
)
from geometry.rider.segments import Linkage, ankle_over_pedal, linkage

AXIS = PostAxis(x=0.0, y=0.0, angle=73.0)
CRANK = 172.5


def height(links: Linkage, *, crank: float = CRANK, flexion: float = 30.0) -> np.ndarray:
    """Saddle height on the axis and crank that the rules were measured with."""
    found = saddle_height(links, axis=AXIS, crank_length=crank, knee_flexion=flexion)
    return np.asarray(found)


def test_regression_reproduces_its_published_example() -> None:
    # [E] Gatti et al., Eur. J. Sport Sci. 2021:
    # inseam 84.6 cm, knee 30°, seat angle 73° give 92.31 cm from the pedal.
    rules = published_saddle_heights(846.0, crank_length=0.0, seat_angle=73.0, knee_flexion=30.0)
    assert rules.gatti == pytest.approx(923.1, abs=0.05)


def test_two_simple_rules_agree_as_published() -> None:
    # [E] Peveler et al. 2005: no significant difference between 1.09 and 0.883 x inseam.
    inseam = mean_bodies()["crotch_height"]
    rules = published_saddle_heights(inseam, crank_length=CRANK, seat_angle=73.0, knee_flexion=30.0)
    assert np.all(np.abs(rules.hamley_thomas - rules.inseam_share) < 12.0)


def test_calibration_meets_the_inseam_share_on_average() -> None:
    # [E] Peveler et al. 2005: 0.883 x inseam; the one number the linkage is calibrated with.
    bodies = mean_bodies()
    found = height(linkage(bodies)) - 0.883 * bodies["crotch_height"]
    assert float(found.mean()) == pytest.approx(0.0, abs=0.1)
    assert np.all(np.abs(found) < 6.0)


@pytest.mark.parametrize(
    "rule",
    [
        "hamley_thomas",  # [E] Hamley and Thomas 1967, 1.09 x inseam to the pedal
        "inseam_share",  # [E] Peveler et al. 2005, 0.883 x inseam
        "gatti",  # [E] Gatti et al. 2021
    ],
)
def test_linkage_is_as_near_to_every_rule_as_people_are(rule: str) -> None:
    # [E] Gatti et al. 2021: people scatter about the regression by 11.5 mm (RMSE).
    bodies = condition([]).draw(2000, np.random.default_rng(6))
    rules = published_saddle_heights(
        bodies["crotch_height"], crank_length=CRANK, seat_angle=73.0, knee_flexion=30.0
    )
    miss = height(linkage(bodies)) - getattr(rules, rule)
    assert abs(float(miss.mean())) < 6.0
    assert float(np.sqrt(np.mean(miss**2))) < 11.5


def test_inseam_share_gives_a_knee_flexion_in_the_published_window() -> None:
    # [E] Peveler et al. 2005: 25 to 35 degrees at the lowest pedal, standing still.
    bodies = mean_bodies()
    saddle = AXIS.saddle(0.883 * bodies["crotch_height"])
    found = knee_flexion(linkage(bodies), saddle=saddle, crank_length=CRANK)
    assert np.all((found > 25.0) & (found < 35.0))


def test_knee_flexion_moves_the_saddle_as_the_regression_says() -> None:
    # [E] Gatti et al. 2021: -0.1 cm per degree; the linkage must agree within their RMSE.
    links = linkage(mean_bodies())
    drop = height(links, flexion=25.0) - height(links, flexion=35.0)
    assert np.all(np.abs(drop - 10.0) < 11.5)
    assert np.all(drop > 0.0)


def test_a_general_root_finder_agrees() -> None:
    # Independent: distance hip to ankle against the law of cosines, solved numerically.
    bodies = condition([]).draw(20, np.random.default_rng(8))
    links = linkage(bodies)
    axis = PostAxis(x=-60.0, y=180.0, angle=71.0)
    found = saddle_height(links, axis=axis, crank_length=165.0, knee_flexion=28.0)
    ankle_x, ankle_y = ankle_over_pedal(links)
    for i in range(len(bodies)):
        a, b = links.thigh[i], links.shank[i]
        leg = math.sqrt(a * a + b * b - 2 * a * b * math.cos(math.pi - math.radians(28.0)))

        def miss(along: float, i: int = i, leg: float = leg) -> float:
            x = -60.0 - along * math.cos(math.radians(71.0))
            y = 180.0 + along * math.sin(math.radians(71.0)) + hip_above_saddle(links)[i]
            return math.dist((x, y), (ankle_x[i], ankle_y[i] - 165.0)) - leg

        along = brentq(miss, 100.0, 1200.0, xtol=1e-10)
        x = -60.0 - along * math.cos(math.radians(71.0))
        y = 180.0 + along * math.sin(math.radians(71.0))
        assert found[i] == pytest.approx(math.hypot(x, y), abs=1e-6)


@given(
    x=st.floats(-100.0, 100.0),
    y=st.floats(-50.0, 300.0),
    angle=st.floats(60.0, 85.0),
    crank=st.floats(140.0, 185.0),
    wanted=st.floats(5.0, 60.0),
)
def test_saddle_height_and_knee_flexion_are_inverse(
    x: float, y: float, angle: float, crank: float, wanted: float
) -> None:
    links = linkage(mean_bodies())
    axis = PostAxis(x=x, y=y, angle=angle)
    found = saddle_height(links, axis=axis, crank_length=crank, knee_flexion=wanted)
    saddle = axis.saddle(found)
    assert np.allclose(np.hypot(*saddle), found, rtol=1e-12)
    assert np.allclose(knee_flexion(links, saddle=saddle, crank_length=crank), wanted, atol=1e-5)


@given(crank=st.floats(140.0, 180.0), more=st.floats(0.5, 20.0))
def test_longer_cranks_lower_the_saddle_by_about_as_much(crank: float, more: float) -> None:
    links = linkage(mean_bodies())
    drop = height(links, crank=crank) - height(links, crank=crank + more)
    assert np.all((drop > 0.9 * more) & (drop < 1.05 * more))


@given(flexion=st.floats(5.0, 60.0), more=st.floats(0.1, 20.0))
def test_more_knee_flexion_lowers_the_saddle(flexion: float, more: float) -> None:
    links = linkage(mean_bodies())
    assert np.all(height(links, flexion=flexion + more) < height(links, flexion=flexion))


def test_a_leg_that_cannot_reach_is_refused_with_its_row() -> None:
    links = linkage(mean_bodies())
    far = PostAxis(x=np.array([0.0, -1500.0]), y=0.0, angle=73.0)
    with pytest.raises(NoSolution) as caught:
        saddle_height(links, axis=far, crank_length=CRANK, knee_flexion=30.0)
    assert caught.value.field == "knee_flexion"
    assert caught.value.index == (1,)


def test_a_saddle_out_of_reach_shows_a_straight_leg() -> None:
    links = linkage(mean_bodies())
    found = knee_flexion(links, saddle=(-300.0, 1200.0), crank_length=CRANK)
    assert found.tolist() == [0.0, 0.0]
