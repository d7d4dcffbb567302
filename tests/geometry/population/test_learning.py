"""Learning from verdicts against an independent integration, and at the ends of the scale."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import simpson
from scipy.stats import norm, truncnorm

from geometry.core import ContradictoryInput, InvalidInput
from geometry.population import Learnt, Verdicts, learn, still_needed, verdict_chances
from geometry.population.learning import LEAST_OUTCOMES, SLIP, anything, normal_below

RNG = np.random.default_rng(11)
COUNT = 14
PLACE = RNG.uniform(-2.0, 2.0, COUNT)
GIVEN = RNG.normal(0.0, 12.0, COUNT)
SAID = np.array([1, 1, 0, 1, 0, 1, -1, 1, 0, 0, 1, 1, 0, 1])
OFFSET = Learnt("offset", 0.0, 15.0, low=-75.0, high=75.0, points=61)
SLOPE = Learnt("slope", 1.0, 4.0, low=-19.0, high=21.0, points=41)


def verdicts() -> Verdicts:
    """Fourteen riders, most of whom found their bikes too long."""
    return Verdicts(
        base=np.zeros(COUNT),
        design=np.column_stack([np.ones(COUNT), PLACE]),
        low=GIVEN - 18.0,
        high=GIVEN + 18.0,
        spread=np.linspace(12.0, 16.0, COUNT),
        chosen=anything(COUNT),
        by_feel=np.zeros(COUNT),
        said=SAID,
    )


def said_of(base: np.ndarray, design: np.ndarray, **given: np.ndarray) -> Verdicts:
    """Verdicts of riders who want 0 ± 15 mm and call 18 mm wrong, but for what is given."""
    count = len(base)
    usual = {
        "low": np.full(count, -18.0), "high": np.full(count, 18.0), "spread": np.full(count, 15.0),
        "chosen": anything(count), "by_feel": np.zeros(count), "said": np.zeros(count, dtype=int),
    }  # fmt: skip
    return Verdicts(base=0.0 * base, design=design, **{**usual, **given})


def density(offset: np.ndarray, slope: np.ndarray) -> np.ndarray:
    """Prior and verdicts by scipy's own normal distribution, rider after rider."""
    found = norm.pdf(offset, 0.0, 15.0) * norm.pdf(slope, 1.0, 4.0)
    for i, spread in enumerate(np.linspace(12.0, 16.0, COUNT)):
        wanted = offset + slope * PLACE[i]
        below = norm.cdf(GIVEN[i] - 18.0, wanted, spread)
        above = norm.sf(GIVEN[i] + 18.0, wanted, spread)
        chance = {1: below, 0: 1.0 - below - above, -1: above}[int(SAID[i])]
        found = found * 3.0 * ((1.0 - SLIP) * chance + SLIP / 3.0)
    return np.asarray(found)


def test_the_posterior_is_that_of_an_independent_integration() -> None:
    # Simpson's rule on another, finer grid.
    x, y = np.linspace(-90.0, 90.0, 331), np.linspace(-24.0, 26.0, 151)
    offsets, slopes = np.meshgrid(x, y, indexing="ij")
    found_there = density(offsets, slopes)

    def integral(weighed: np.ndarray) -> float:
        return float(simpson(simpson(found_there * weighed, x=y, axis=1), x=x))

    whole = integral(np.ones_like(offsets))
    offset, slope = integral(offsets) / whole, integral(slopes) / whole
    spread = np.sqrt(integral(offsets**2) / whole - offset**2)
    found = learn([OFFSET, SLOPE], verdicts())
    assert found.mean("offset") == pytest.approx(offset, abs=0.02)
    assert found.mean("slope") == pytest.approx(slope, abs=0.02)
    assert found.spread("offset") == pytest.approx(spread, abs=0.02)
    # The riders call their bikes too long: less is wanted than the builder thinks.
    assert offset < -spread


def test_without_verdicts_the_builders_values_stay() -> None:
    none = said_of(np.zeros(0), np.zeros((0, 2)))
    found = learn([OFFSET, SLOPE], none)
    assert found.means() == pytest.approx([0.0, 1.0], abs=1e-9)
    assert found.spread("offset") == pytest.approx(15.0, rel=1e-3)


def test_verdicts_of_both_kinds_cancel_and_narrow() -> None:
    ones = np.ones(40)
    both = said_of(ones, ones[:, None], said=np.repeat([-1, 1], 20))
    found = learn([OFFSET], both)
    assert found.mean("offset") == pytest.approx(0.0, abs=1e-6)
    assert found.spread("offset") < 5.0


def test_whoever_chose_by_feel_has_shown_their_taste() -> None:
    # One rider, 15 mm of taste, who chose a bike that only tastes of 6 to 30 mm would choose,
    # and finds it right: by scipy's truncated normal distribution.
    one, offset = np.ones(1), -9.0
    feeling = said_of(
        one, one[:, None], high=36.0 * one, low=0.0 * one, chosen=np.array([[6.0, 30.0]]),
        by_feel=one,
    )  # fmt: skip
    found = verdict_chances(feeling, np.array([offset]))[:, 0]
    taste = truncnorm(6.0 / 15.0, 30.0 / 15.0, loc=offset, scale=15.0)
    too_long, right = taste.cdf(0.0), taste.cdf(36.0) - taste.cdf(0.0)
    expected = (1.0 - SLIP) * np.array([1.0 - too_long - right, right, too_long]) + SLIP / 3.0
    assert found == pytest.approx(expected, abs=1e-5)
    advised = verdict_chances(replace(feeling, by_feel=0.0 * one), np.array([offset]))[:, 0]
    half = verdict_chances(replace(feeling, by_feel=0.5 * one), np.array([offset]))[:, 0]
    assert half == pytest.approx(0.5 * (found + advised), abs=1e-9)


def test_a_choice_that_hardly_anybody_makes_is_no_choice_by_feel() -> None:
    one = np.ones(1)
    for chance, counted in ((5e-4, False), (5e-3, True)):
        last = norm.isf(chance) * 15.0
        chosen = np.array([[last, np.inf]])
        felt = said_of(one, one[:, None], high=36.0 * one, chosen=chosen, by_feel=one)
        advised = replace(felt, by_feel=0.0 * one)
        found, plain = (verdict_chances(each, np.zeros(1))[:, 0] for each in (felt, advised))
        assert (found != pytest.approx(plain, abs=1e-3)) is counted


def test_one_verdict_in_25_tells_nothing() -> None:
    """A bike that everybody calls too long is called too short, or right, 4/3 times in 100."""
    one = np.ones(1)
    sure = said_of(one, one[:, None], low=-2.0 * one, high=-1.0 * one, spread=0.01 * one)
    short, right, long = verdict_chances(sure, np.zeros(1))[:, 0]
    assert (short, right, long) == pytest.approx((0.96 + 0.04 / 3, 0.04 / 3, 0.04 / 3), abs=1e-6)


def test_chances_are_those_of_the_normal_distribution() -> None:
    z = np.array([-40.0, -6.0, -1.2345, 0.0, 0.7, 3.0, 40.0])
    assert normal_below(z) == pytest.approx(norm.cdf(z), abs=1e-6)
    found = verdict_chances(verdicts(), np.array([-4.0, 1.5]))
    assert found.sum(axis=0) == pytest.approx(np.ones(COUNT))
    wanted, spread = -4.0 + 1.5 * PLACE[3], np.linspace(12.0, 16.0, COUNT)[3]
    too_long = (1.0 - SLIP) * norm.cdf(GIVEN[3] - 18.0, wanted, spread) + SLIP / 3.0
    assert found[2, 3] == pytest.approx(too_long, abs=1e-6)


def test_too_few_are_told_apart_from_enough() -> None:
    assert still_needed(0) == LEAST_OUTCOMES
    assert still_needed(LEAST_OUTCOMES) == 0


def test_what_cannot_be_evidence_is_refused() -> None:
    one = np.ones(1)
    for wrong in (
        {"high": -20.0 * one}, {"said": np.array([2])}, {"low": np.ones(2)}, {"chosen": one}
    ):  # fmt: skip
        with pytest.raises(ContradictoryInput):
            said_of(one, one[:, None], **wrong)
    with pytest.raises(ContradictoryInput):
        said_of(one, one)
    with pytest.raises(InvalidInput):
        said_of(one, one[:, None], spread=0 * one)
    with pytest.raises(ContradictoryInput):
        learn([OFFSET], verdicts())
    with pytest.raises(InvalidInput):
        learn([OFFSET, SLOPE], verdicts()).of("reach")
    for wrong in ({"base": np.zeros(2)}, {"spread": np.ones(2)}, {"by_feel": np.zeros(2)},
                  {"high": np.ones(2)}, {"chosen": np.zeros((1, 3))}):  # fmt: skip
        with pytest.raises(ContradictoryInput):
            replace(said_of(one, one[:, None]), **wrong)
    with pytest.raises(ContradictoryInput):
        said_of(one, np.ones((2, 1)))
    with pytest.raises(InvalidInput):
        Learnt("x", 0.0, np.inf, low=0.0, high=1.0, points=9)
    assert Learnt("x", 0.0, 1.0, low=0.0, high=1.0, points=3).axis.tolist() == [0.0, 0.5, 1.0]
    with pytest.raises(InvalidInput):
        Learnt("x", 0.0, 0.0, low=0.0, high=1.0, points=9)
    with pytest.raises(InvalidInput):
        Learnt("x", 0.0, 1.0, low=0.0, high=1.0, points=2)
    with pytest.raises(ContradictoryInput):
        Learnt("x", 0.0, 1.0, low=1.0, high=1.0, points=9)
