"""Simulated riders and a builder whose numbers are off: the error is found and corrected."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest
from scipy.stats import chi2, norm

from geometry.core import InvalidInput
from geometry.examples import TRAIL, example_cockpits, example_run
from geometry.population import (
    Ride,
    learn,
    line_numbers,
    line_verdicts,
    ride_of,
    window_number,
    window_verdicts,
)
from geometry.population.rides import BAR_HEIGHT
from geometry.rider import (
    Bodies,
    BodyBelief,
    Landmark,
    Measurement,
    PostureWindows,
    Window,
    condition,
    measuring_error,
)
from geometry.sizing import NONE, Run, judge_sizes, needed, run_of

RUN, COCKPITS = example_run(), example_cockpits()
OUTCOMES = 60


def riders(count: int, seed: int) -> tuple[Bodies, tuple[BodyBelief, ...]]:
    """People inside the chart, and what is believed of them from height and inseam measured."""
    rng = np.random.default_rng(seed)
    drawn = condition([]).draw(4 * count, rng).values
    stature = drawn[:, 0]
    kept = drawn[(stature > RUN.chart.shortest[0]) & (stature < RUN.chart.tallest[-1])]
    bodies = Bodies(rng.permutation(kept)[:count])
    told: tuple[Landmark, ...] = ("stature", "crotch_height")
    noise = {t: measuring_error(t, "self_measured") * rng.standard_normal(count) for t in told}
    beliefs = tuple(
        condition([Measurement(t, float(bodies[t][i] + noise[t][i])) for t in told])
        for i in range(count)
    )
    return bodies, beliefs


@dataclass(frozen=True)
class Bought:
    """What one rider was believed to be, bought, and said of it."""

    belief: BodyBelief
    size: int
    said: int


def bought(
    truth: Run, builder: Run, *, seed: int, count: int = OUTCOMES, feel: bool = False
) -> list[Bought]:
    """Riders who buy the size the builder's numbers name, and judge it by the truth.

    With ``feel`` they buy by their taste in the shop, and find out later what is wrong.
    """
    bodies, beliefs = riders(count, seed)
    rng = np.random.default_rng(seed + 1)
    taste = truth.taste_spread * rng.standard_normal(count)
    wanted = needed(truth, bodies).length + taste
    felt = truth.rules.within * float(truth.steps.mean())
    likeliest = Bodies(np.concatenate([belief.mean_body().values for belief in beliefs]))
    lean = taste if feel else 0.0
    asked = needed(builder, bodies if feel else likeliest)
    named = judge_sizes(builder, asked, lean=lean).named
    found = []
    for i in np.flatnonzero(named != NONE):
        miss = float(builder.given[named[i]]) - float(wanted[i])
        said = int(np.sign(miss)) if abs(miss) > felt else 0
        found.append(Bought(beliefs[i], int(named[i]), said))
    return found


def ridden(
    truth: Run, builder: Run, *, seed: int, count: int = OUTCOMES, feel: bool = False
) -> list[Ride]:
    """The same as evidence."""
    return [
        ride_of(
            builder, each.belief, size=each.size, said=each.said, bought=True,
            ridden=COCKPITS[each.size].rows.only([COCKPITS[each.size].sold]),
        )
        for each in bought(truth, builder, seed=seed, count=count, feel=feel)
    ]  # fmt: skip


def line_off(by: float) -> Run:
    """A builder whose line is longer than riders want it."""
    return replace(RUN, longer_by=RUN.longer_by + by)


def rate_right(builder: Run, *, seed: int) -> float:
    """Share of riders who call their bike right [1]."""
    return float(np.mean([each.said == 0 for each in bought(RUN, builder, seed=seed, count=400)]))


@pytest.mark.parametrize(("seed", "feel"), [(1, False), (2, False), (3, True), (4, True)])
@pytest.mark.parametrize("bias", [16.0, -16.0])
def test_a_line_that_is_off_is_found_and_mended_within_60_outcomes(
    bias: float, seed: int, feel: bool
) -> None:
    builder = line_off(bias)
    rides = ridden(RUN, builder, seed=seed, feel=feel)
    assert len(rides) <= OUTCOMES
    found = learn(line_numbers(builder.rules.posture_share), line_verdicts(rides))
    offset, doubt = found.mean("offset"), found.spread("offset")
    assert abs(offset) > 2.0 * doubt, "said to be off"
    assert offset == pytest.approx(-bias, abs=2.5 * doubt)
    mended = line_off(bias + offset)
    before, after, best = (rate_right(each, seed=300 + seed) for each in (builder, mended, RUN))
    assert after > before + 0.5 * (best - before)


def test_a_line_that_is_true_is_left_alone() -> None:
    """The offsets found for eight crowds scatter about 0 as their doubts say.

    Their squares in doubts add up to a chi-square of as many degrees of freedom, and their
    mean is normal; both are held to what one run in a thousand would exceed.
    """
    crowds = 8
    found = [
        learn(line_numbers(0.5), line_verdicts(ridden(RUN, RUN, seed=seed)))
        for seed in range(crowds)
    ]
    off = np.array([each.mean("offset") / each.spread("offset") for each in found])
    assert np.sum(off**2) < chi2.ppf(0.999, crowds)
    assert abs(off.mean()) < norm.ppf(0.9995) / np.sqrt(crowds)
    assert all(abs(each.mean("offset")) < 8.0 for each in found)


def test_trust_in_posture_moves_towards_the_riders_own() -> None:
    truth = run_of(
        RUN.sold, usually=RUN.usually, chart=RUN.chart, windows=TRAIL,
        rules=replace(RUN.rules, posture_share=1.0),
    )  # fmt: skip
    rides = [r for seed in (7, 8) for r in ridden(truth, RUN, seed=seed, count=150)]
    found = learn(line_numbers(0.5), line_verdicts(rides))
    assert found.mean("share") > 0.5 + found.spread("share")


def windows(off: float) -> PostureWindows:
    """The builder's windows, the seated trunk's so far from where riders like it [°]."""
    middle = riders_middle("trunk_angle") + off
    return replace(TRAIL, trunk_angle=Window(middle - 11.0, middle + 11.0, weight=0.25))


def riders_middle(name: str) -> float:
    """What riders of the true run want in one figure: as they sit where nothing is wrong."""
    rides = ridden(RUN, RUN, seed=77, count=100)
    wanted = [r.sat[name] for r in rides if r.said == 0]
    return float(np.mean(wanted))


@pytest.mark.parametrize("off", [5.0, -5.0])
def test_windows_that_are_off_are_found_and_corrected_within_60_outcomes(off: float) -> None:
    builder = run_of(
        RUN.sold, usually=RUN.usually, chart=RUN.chart, windows=windows(off), rules=RUN.rules
    )
    rides = ridden(RUN, builder, seed=21)
    assert len(rides) <= OUTCOMES
    window = builder.windows.trunk_angle
    found = learn([window_number("trunk_angle", window)], window_verdicts(rides, "trunk_angle"))
    moved, doubt = found.mean("trunk_angle") - window.middle, found.spread("trunk_angle")
    assert abs(moved) > 2.0 * doubt, "said to be off"
    assert moved == pytest.approx(-off, abs=1.5)


def test_longer_is_lower_and_what_was_said_of_it_turns_round() -> None:
    ride = ridden(RUN, line_off(40.0), seed=3, count=20)
    felt = [r for r in ride if r.said == 1]
    assert felt
    assert felt[0].effect["trunk_angle"] < 0.0
    said = window_verdicts(felt, "trunk_angle")
    assert set(said.said.tolist()) == {-1}, "they sat less upright than they wanted"
    assert len(window_verdicts(felt, BAR_HEIGHT)) == 0


def test_a_longer_cockpit_counts_as_a_longer_bike() -> None:
    belief = condition([Measurement("stature", 1700.0)])
    row = COCKPITS[2].rows.only([COCKPITS[2].sold])
    longer = replace(row, grip_x=row.grip_x + 12.0, grip_y=row.grip_y - 5.0)
    plain, other = (
        ride_of(RUN, belief, size=2, ridden=each, said=0, height_said=1) for each in (row, longer)
    )
    assert plain.given == pytest.approx(float(RUN.given[2]))
    assert other.given > plain.given + 8.0
    assert other.sat[BAR_HEIGHT] == pytest.approx(plain.sat[BAR_HEIGHT] - 5.0)
    assert window_verdicts([other], BAR_HEIGHT).said.tolist() == [1]


def test_the_draws_hold_what_is_not_known_of_a_body() -> None:
    little, much = (
        ride_of(
            RUN, condition([Measurement(n, v, "measured") for n, v in told]), size=2,  # type: ignore[arg-type]
            ridden=COCKPITS[2].rows.only([0]), said=0,
        )
        for told in ((("stature", 1700.0),),
                     (("stature", 1700.0), ("crotch_height", 800.0), ("span", 1720.0)))
    )  # fmt: skip
    assert little.spread > much.spread > float(np.hypot(RUN.taste_spread, RUN.model_spread))


def test_what_is_not_there_is_refused() -> None:
    belief = condition([Measurement("stature", 1700.0)])
    with pytest.raises(InvalidInput):
        ride_of(RUN, belief, size=9, ridden=COCKPITS[2].rows.only([0]), said=0)
    with pytest.raises(InvalidInput):
        window_verdicts([], "saddle_height")
