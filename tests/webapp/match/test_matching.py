"""Matching a position, against the solver and the checks of every build looked at alone."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType
from typing import Any

import numpy as np
import pytest

from geometry.bike import stand
from geometry.search import Search, Target
from webapp.builds.choice.build_choice import BuildChoice
from webapp.builds.evaluation import BuildResult, compute
from webapp.builds.fitting.calculations.loads import bike_mass
from webapp.builds.solving.seat_range import seat_range
from webapp.builds.solving.solver_inputs import UNLOADED
from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.schema.part_kinds import ForkData, PostData, RimData, TyreData
from webapp.catalogue.schema.shop import PriceRule, RulePart
from webapp.common.errors import Invalid
from webapp.match.all_builds import AllBuilds, all_builds_of
from webapp.match.matching import match
from webapp.match.remembered_builds import all_builds
from webapp.match.stances import FRONT_PLACES, SEAT_PLACES
from webapp.match.wish import Matched, Wish

TARGET = Target(grip=(455.0, 705.0), saddle=(-190.0, 690.0))


def wish(target: Target = TARGET, **more: Any) -> Wish:
    usual: dict[str, Any] = {"bounds": {}, "fixed": {}, "tolerance": 10.0, "handling": {}}
    return Wish(target=target, **{**usual, **more})


def build_at(found: AllBuilds, index: tuple[int, int, int], height: float) -> BuildChoice:
    """One combination, put together by hand."""
    way, front, seat = (
        found.ways[index[0]], found.cockpits[index[1]], found.saddles[index[2]]
    )  # fmt: skip
    own = way.setup.choice
    parts = dict(own.parts)
    for places, fitted in ((FRONT_PLACES, front), (SEAT_PLACES, seat)):
        parts |= {place: part.slug for place, part in zip(places, fitted.parts, strict=True)}
    return replace(
        own, parts=MappingProxyType(parts), spacers=front.at, rail=seat.at, saddle_height=height
    )


def points(result: BuildResult) -> Target:
    state = result.states[UNLOADED]
    (gx, gy), (sx, sy) = state.hands.grips, state.seated.saddle
    return Target(grip=(float(gx), float(gy)), saddle=(float(sx), float(sy)))


def samples(
    catalogue: Catalogue, found: AllBuilds, seed: int
) -> list[tuple[tuple[int, int, int], BuildResult]]:
    """Random combinations, each computed as its own page computes it."""
    random = np.random.default_rng(seed)
    computed = []
    for _ in range(25):
        index = (
            int(random.integers(len(found.ways))),
            int(random.integers(len(found.cockpits))),
            int(random.integers(len(found.saddles))),
        )
        low, high = found.seats.lowest[index[0], index[2]], found.seats.highest[index[0], index[2]]
        height = float(np.clip(round(random.uniform(low, high)), np.ceil(low), np.floor(high)))
        computed.append((index, compute(catalogue, build_at(found, index, height))))
    return computed


@pytest.mark.parametrize("fixed", [{}, {"fork": "rigid-long"}, {"transmission": "belt"}])
def test_builds_are_refused_for_what_their_own_page_says(
    trail: Catalogue, fixed: dict[str, str]
) -> None:
    found = all_builds(trail, fixed)
    judged = {refusal.code for refusal in found.refusals}
    for (stance, front, seat), result in samples(trail, found, 7):
        at = {"stance": 0, "front": front, "seat": seat}
        said = {r.code for r in found.refusals if r.fails[r.group[stance], at[r.along]]}
        assert said == {check.code for check in result.failed} & judged
        # What is not judged beforehand does not fail on these.
        assert {check.code for check in result.failed} <= judged


def test_a_builds_own_points_find_it_again(trail: Catalogue) -> None:
    found = all_builds(trail, {})
    random = np.random.default_rng(3)
    tried = 0
    for _, result in samples(trail, found, 11):
        if not result.can_be_ordered:
            continue
        tried += 1
        target = points(result)
        exact = match(trail, wish(target)).answers[0]
        assert exact.distance == pytest.approx(0.0, abs=1e-6)
        assert (*exact.grip, *exact.saddle) == pytest.approx((*target.grip, *target.saddle))
        noise = random.normal(0.0, 3.0, 4)
        off = Target(
            grip=(target.grip[0] + noise[0], target.grip[1] + noise[1]),
            saddle=(target.saddle[0] + noise[2], target.saddle[1] + noise[3]),
        )
        assert match(trail, wish(off)).answers[0].distance <= np.linalg.norm(noise) + 1e-9
    assert tried > 10


def by_kind(found: Matched) -> dict[str, Any]:
    return {answer.kind: answer for answer in found.answers}


def test_every_answer_can_be_ordered_and_is_what_it_says(trail: Catalogue) -> None:
    found = match(trail, wish(handling={"trail": 110.0, "head_angle": 66.0}))
    assert set(by_kind(found)) == {"closest", "closest_as_sold", "cheapest", "nearest_handling"}
    for answer in (*found.answers, *found.trades):
        assert answer.result.can_be_ordered
        apart = np.subtract((*answer.grip, *answer.saddle), (*TARGET.grip, *TARGET.saddle))
        assert answer.distance == pytest.approx(float(np.linalg.norm(apart)))
    answers = by_kind(found)
    assert answers["closest"].distance == min(a.distance for a in found.answers)
    prices = [answer.result.price.gross for answer in found.answers]
    assert answers["cheapest"].result.price.gross == min(prices)
    assert answers["cheapest"].distance <= 10.0


def test_trades_are_nearer_for_more_money(trail: Catalogue) -> None:
    rim = match(trail, wish()).trades
    assert len(rim) > 1
    assert [t.distance for t in rim] == sorted(t.distance for t in rim)
    prices = [t.result.price.gross.minor for t in rim]
    assert prices == sorted(prices, reverse=True)


def test_package_prices_are_part_of_the_sum(trail: Catalogue) -> None:
    """Rules across fork, bar and saddle: the search's sum is the price of every build."""
    sold = match(trail, wish()).answers[0].result.choice.parts
    rules = tuple(
        PriceRule(
            name=f"together {at}",
            parts=tuple(RulePart(place=place, part=sold[place]) for place in places),
            minor=minor,
        )
        for at, (places, minor) in enumerate(
            ((("handlebar", "fork"), -15000), (("saddle",), 4000), (("stem", "saddle"), -7000))
        )
    )
    shop = replace(trail, settings=trail.settings.model_copy(update={"price_rules": rules}))
    found = all_builds(shop, {})
    for (stance, front, seat), result in samples(shop, found, 5):
        if not result.price.unpriced:
            assert found.price.of(stance, front, seat) == result.price.priced.bill.gross.minor
    rim = match(shop, wish()).trades
    prices = [trade.result.price.gross.minor for trade in rim]
    assert prices == sorted(prices, reverse=True)
    cheapest = by_kind(match(shop, wish(tolerance=30.0)))["cheapest"]
    every = [trade.result.price.gross.minor for trade in rim if trade.distance <= 30.0]
    assert cheapest.result.price.gross.minor == min(every)


def test_mass_and_lead_time_keep_their_bounds(trail: Catalogue) -> None:
    usual = match(trail, wish()).answers[0].result
    weighs = bike_mass(usual.setup).total
    found = match(trail, wish(bounds={"mass": (0.0, weighs - 0.3), "lead_time": (0.0, 60.0)}))
    assert found.answers
    for answer in found.answers:
        assert bike_mass(answer.result.setup).total <= weighs - 0.3
    weeks = trail.settings.lead_time_weeks
    none = match(trail, wish(bounds={"lead_time": (0.0, weeks - 1.0)}))
    assert [(each.name, each.to) for each in none.loosen] == [("lead_time", weeks)]


def test_a_saddle_that_must_go_low_does(trail: Catalogue) -> None:
    found = match(trail, wish(saddle_down_to=600.0))
    for answer in found.answers:
        setup = answer.result.setup
        post = setup.data("post", PostData)
        assert post is not None
        low = seat_range(
            stand(setup.assembly.build), setup.assembly.build, setup.assembly.seat,
            post=post, size=setup.assembly.size.data,
        ).lowest  # fmt: skip
        assert low <= 600.0
    assert found.failed["lowest_saddle"] > 0


def test_a_rigid_fork_is_a_bound(trail: Catalogue) -> None:
    found = match(trail, wish(bounds={"fork_travel": (0.0, 0.0)}))
    for answer in found.answers:
        fork = answer.result.setup.data("fork", ForkData)
        assert fork is not None
        assert fork.travel == 0.0


def test_what_stays_is_looked_for_in_the_one_table(trail: Catalogue) -> None:
    """A fork, wheels and a stem that stay give what a table of their own gives."""
    sold = match(trail, wish()).answers[-1].result.choice.parts
    fixed = {place: sold[place] for place in ("fork", "rim_rear", "tyre_rear", "stem")}
    once, own = match(trail, wish(fixed=fixed)), all_builds_of(trail, fixed)
    found = Search(
        stances=own.stances, fronts=own.fronts, seats=own.seats, refusals=own.refusals, sums={},
        target=TARGET,
    ).best(bounds={})  # fmt: skip
    assert found is not None
    assert once.answers[0].distance <= found.distance + 1e-9


def test_owned_wheels_stay_and_figures_keep_their_bounds(trail: Catalogue) -> None:
    sold = match(trail, wish()).answers[0].result.choice.parts
    fixed = {place: sold[place] for place in ("rim_front", "tyre_front", "rim_rear", "tyre_rear")}
    closer = Target(grip=(TARGET.grip[0] - 15.0, TARGET.grip[1]), saddle=TARGET.saddle)
    found = match(trail, wish(closer, fixed=fixed, bounds={"head_angle": (64.0, 68.0)}))
    assert found.answers
    for answer in found.answers:
        assert fixed.items() <= answer.result.choice.parts.items()
        assert 64.0 <= answer.result.states[UNLOADED].figures["head_angle"] <= 68.0


def test_what_was_wished_too_much_is_told_how_to_loosen(trail: Catalogue) -> None:
    found = match(trail, wish(bounds={"trail": (10.0, 20.0), "price": (0.0, 9999.0)}))
    assert not found.answers
    (loosened,) = found.loosen
    assert loosened.name == "trail"
    again = match(trail, wish(bounds={"trail": (10.0, loosened.to)}))
    assert again.answers[0].distance == pytest.approx(loosened.distance)


def test_what_fits_nowhere_is_counted_with_its_reason(trail: Catalogue) -> None:
    """A front tyre for one bead seat on a rim of another."""
    rims = {part.of(RimData).data.bead_seat_diameter: part.slug for part in trail.offered("rim")}
    tyres = {part.of(TyreData).data.bead_seat_diameter: part.slug for part in trail.offered("tyre")}
    found = match(trail, wish(fixed={"rim_front": rims[622], "tyre_front": tyres[584]}))
    assert not found.answers
    assert not found.loosen
    assert found.failed["tyre.rim.front"] == found.combinations > 0


def test_everything_fixed_leaves_one_bike(tourer: Catalogue) -> None:
    choice = match(tourer, wish()).answers[0].result.choice
    fixed = {place: slug for place, slug in choice.parts.items() if slug}
    found = match(tourer, wish(fixed={**fixed, "size": choice.size}))
    assert {answer.result.choice.size for answer in found.answers} == {choice.size}
    assert dict(found.answers[0].result.choice.parts) == dict(choice.parts)


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"bounds": {"trail": (90.0, 80.0)}}, "bounds.trail"),
        ({"bounds": {"colour": (0.0, 1.0)}}, "bounds.colour"),
        ({"fixed": {"wing": "left"}}, "fixed.wing"),
        ({"fixed": {"fork": "none-such"}}, "fixed.fork"),
        ({"fixed": {"size": "giant"}}, "fixed.size"),
        ({"handling": {"reach": 450.0}}, "handling.reach"),
    ],
)
def test_what_cannot_be_wished_is_said(trail: Catalogue, more: Any, field: str) -> None:
    with pytest.raises(Invalid) as error:
        match(trail, wish(**more))
    assert error.value.field == field
