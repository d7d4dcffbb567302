"""A batch of frames: against every split there is, and against scipy's own distributions."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import numpy as np
import pytest
from scipy.stats import beta, betabinom, poisson

from geometry.core import ContradictoryInput, InvalidInput
from geometry.population import BatchCosts, belief_in_shares, reliability, split_batch
from geometry.population.batch import demand_chances
from geometry.population.forecasts import wilson

COSTS = BatchCosts(unsold=250.0, turned_away=700.0)
SHARES = {"S": 4.0, "M": 11.0, "L": 9.5, "XL": 1.5}


def splits(frames: int, sizes: int) -> Iterator[tuple[int, ...]]:
    """Every way of dividing frames over sizes."""
    if sizes == 1:
        yield (frames,)
        return
    for first in range(frames + 1):
        for rest in splits(frames - first, sizes - 1):
            yield (first, *rest)


@cache
def chances_by_scipy(alpha: float, others: float, expected: float) -> np.ndarray:
    """Demand for one size: beta-binomial within a Poisson number, each by scipy."""
    demand = np.arange(80)
    return np.asarray(
        sum(
            poisson.pmf(come, expected) * betabinom.pmf(demand, come, alpha, others)
            for come in range(80)
        )
    )


def cost_by_scipy(split: tuple[int, ...], expected: float) -> float:
    """Expected cost of one split, straight from its definition."""
    total, cost = sum(SHARES.values()), 0.0
    for frames, alpha in zip(split, SHARES.values(), strict=True):
        chances = chances_by_scipy(alpha, total - alpha, expected)
        left = frames - np.arange(len(chances))
        cost += float(chances @ (250.0 * np.maximum(left, 0) + 700.0 * np.maximum(-left, 0)))
    return cost


@pytest.mark.parametrize(("frames", "expected"), [(1, 3.0), (5, 5.0), (8, 6.0), (9, 14.0)])
def test_no_other_split_costs_less(frames: int, expected: float) -> None:
    found = split_batch(SHARES, frames=frames, expected=expected, costs=COSTS)
    taken = tuple(each.frames for each in found.sizes)
    assert sum(taken) == frames
    costs = {split: cost_by_scipy(split, expected) for split in splits(frames, len(SHARES))}
    assert costs[taken] == pytest.approx(min(costs.values()), rel=1e-9)
    assert found.cost == pytest.approx(costs[taken], rel=1e-6)


def test_a_fixed_batch_is_split_alike_whatever_the_costs() -> None:
    other = BatchCosts(unsold=900.0, turned_away=100.0)
    one, two = (split_batch(SHARES, frames=9, expected=9.0, costs=c) for c in (COSTS, other))
    assert [each.frames for each in one.sizes] == [each.frames for each in two.sizes]
    assert one.cheapest > two.cheapest


def test_frames_alone_are_the_newsvendors() -> None:
    # The least q with P(D <= q) of at least the critical ratio, by scipy's distributions.
    found = split_batch(SHARES, frames=9, expected=9.0, costs=COSTS)
    total = sum(SHARES.values())
    for each, alpha in zip(found.sizes, SHARES.values(), strict=True):
        below = np.cumsum(chances_by_scipy(alpha, total - alpha, 9.0))
        assert each.alone == int(np.argmax(below >= COSTS.ratio))


@pytest.mark.parametrize(("frames", "expected"), [(9, 9.0), (2, 14.0)])
def test_every_size_is_told_by_scipy_s_chances(frames: int, expected: float) -> None:
    found = split_batch(SHARES, frames=frames, expected=expected, costs=COSTS)
    total = sum(SHARES.values())
    for each, alpha in zip(found.sizes, SHARES.values(), strict=True):
        chances = chances_by_scipy(alpha, total - alpha, expected)
        left = each.frames - np.arange(len(chances))
        assert each.share == alpha / total
        assert each.unsold == pytest.approx(chances @ np.maximum(left, 0), abs=1e-9)
        assert each.turned_away == pytest.approx(chances @ np.maximum(-left, 0), abs=1e-9)
        assert each.next_sells == pytest.approx(chances[each.frames + 1 :].sum(), abs=1e-9)
        last = chances[each.frames :].sum() if each.frames else 1.0
        assert each.last_sells == pytest.approx(last, abs=1e-9)
        # A share of a Dirichlet law is a beta; drawn 4,000 times its tenths are good to 6 %.
        low, high = beta(alpha, total - alpha).ppf([0.1, 0.9])
        assert (each.share_low, each.share_high) == pytest.approx((low, high), rel=0.06)
    assert found.unsold == pytest.approx(sum(each.unsold for each in found.sizes))
    assert found.turned_away == pytest.approx(sum(each.turned_away for each in found.sizes))
    assert found.cheapest == sum(each.alone for each in found.sizes)


def test_what_may_be_left_over_is_drawn_from_the_very_demand() -> None:
    """One size alone is asked for by a Poisson number of riders: its tenths are scipy's."""
    found = split_batch({"M": 5.0}, frames=50, expected=50.0, costs=COSTS)
    assert found.sizes[0].unsold == pytest.approx(
        sum(poisson.pmf(n, 50.0) * (50 - n) for n in range(50)), rel=1e-9
    )
    few, many = (float(poisson.ppf(chance, 50.0)) for chance in (0.1, 0.9))
    assert found.unsold_range == pytest.approx((0.0, 50.0 - few), abs=1.0)
    assert found.turned_away_range == pytest.approx((0.0, many - 50.0), abs=1.0)


def test_demand_is_scipys() -> None:
    found = demand_chances(2.5, 7.5, expected=12.0)
    assert found[:50] == pytest.approx(chances_by_scipy(2.5, 7.5, 12.0)[:50], abs=1e-9)


def test_what_is_drawn_agrees_with_what_is_expected() -> None:
    found = split_batch(SHARES, frames=60, expected=60.0, costs=COSTS)
    assert found.unsold - found.turned_away == pytest.approx(0.0, abs=1e-6)
    low, high = found.unsold_range
    assert low <= found.unsold <= high
    for each in found.sizes:
        assert each.share_low < each.share < each.share_high
        assert each.next_sells <= each.last_sells
    again = split_batch(SHARES, frames=60, expected=60.0, costs=COSTS)
    assert again == found


def test_riders_seen_outweigh_the_prior_as_they_grow() -> None:
    prior = {"S": 0.8, "M": 0.2}
    shares = [
        belief_in_shares(prior, {"M": seen, "gone": 9.0}, counts_as=20.0) for seen in (0, 20, 400)
    ]
    share = [each["M"] / sum(each.values()) for each in shares]
    assert share[0] == pytest.approx(0.2)
    assert share == sorted(share)
    assert share[-1] > 0.95
    rare = belief_in_shares({"S": 3.0, "M": 0.0}, {"S": 2.0}, counts_as=20.0)
    assert rare == {"S": 22.0, "M": 0.01}, "a hundredth of a rider at least"


@pytest.mark.parametrize(("frames", "expected"), [(0, 5.0), (2001, 5.0), (5, 0.99), (5, 2000.5)])
def test_a_batch_of_nothing_or_of_a_million_is_refused(frames: int, expected: float) -> None:
    with pytest.raises(InvalidInput):
        split_batch(SHARES, frames=frames, expected=expected, costs=COSTS)


def test_what_cannot_be_split_is_refused() -> None:
    with pytest.raises(ContradictoryInput):
        split_batch({}, frames=5, expected=5.0, costs=COSTS)
    with pytest.raises(InvalidInput):
        split_batch({"S": 0.0}, frames=5, expected=5.0, costs=COSTS)
    assert split_batch({"S": 1.0}, frames=2000, expected=1.0, costs=COSTS).sizes[0].frames == 2000
    with pytest.raises(InvalidInput):
        split_batch({"S": np.inf}, frames=5, expected=5.0, costs=COSTS)
    for wrong in ({"unsold": 0.0, "turned_away": 1.0}, {"unsold": 1.0, "turned_away": -1.0},
                  {"unsold": np.inf, "turned_away": 1.0}):  # fmt: skip
        with pytest.raises(InvalidInput):
            BatchCosts(**wrong)
    for prior, seen, counts in (({"S": 0.0}, {}, 9.0), ({"S": 1.0}, {"S": -1.0}, 9.0),
                                ({"S": 1.0}, {}, 0.0)):  # fmt: skip
        with pytest.raises(InvalidInput):
            belief_in_shares(prior, seen, counts_as=counts)


def test_forecasts_are_counted_by_their_chance() -> None:
    chances = np.array([0.55, 0.58, 0.9, 0.95, 1.0])
    happened = np.array([True, False, True, True, False])
    low, high = reliability(chances, happened, edges=np.array([0.5, 0.75, 1.0]))
    assert (low.count, low.happened) == (2, 1)
    assert low.foretold == pytest.approx(0.565)
    assert (high.count, high.happened) == (3, 2)
    assert low.agrees
    with pytest.raises(ContradictoryInput):
        reliability(chances, happened[:2], edges=np.array([0.0, 1.0]))


def test_the_interval_is_wilsons() -> None:
    # Wilson 1927 by its own equation: |p − share| = z sqrt(p (1 − p) / n) at both edges. [M]
    for happened, count in ((3, 10), (0, 5), (7, 7)):
        share = happened / count
        for edge in wilson(happened, count):
            spread = 1.2815515655446004 * np.sqrt(edge * (1.0 - edge) / count)
            assert abs(edge - share) == pytest.approx(spread, abs=1e-9)
