"""Relations between figures: true of every bike that stands, and each tells its own error."""

from __future__ import annotations

import numpy as np
import pytest

from geometry.bike import Bike, Seat
from geometry.examples import trail_build, trail_cockpit
from geometry.verify.bench_plan import observed
from geometry.verify.relations import RELATIONS, Relation, applies, gaps, mended, slopes
from tests.geometry.random_builds import random_build

RNG = np.random.default_rng(19)
BIKES = [
    Bike(build=build, cockpit=trail_cockpit(), seat=Seat(height=720.0))
    for build in (trail_build(7.0), *(random_build(RNG) for _ in range(6)))
]
VALUES = [{key: float(np.asarray(v)) for key, v in observed(bike).items()} for bike in BIKES]


def of(relation: Relation, values: dict[str, float]) -> dict[str, float]:
    """The relation's own figures alone."""
    return {key: values[key] for key in relation.keys}


@pytest.mark.parametrize("relation", RELATIONS, ids=lambda each: each.formula)
def test_it_holds_on_every_bike_and_tells_how_far_it_is_off(relation: Relation) -> None:
    for values in VALUES:
        own = of(relation, values)
        (found,) = [gap for gap in gaps(own) if gap.relation is relation]
        assert found.size == pytest.approx(0.0, abs=1e-9)
        first = relation.keys[0]
        (off,) = [g for g in gaps({**own, first: own[first] + 5.0}) if g.relation is relation]
        assert off.size == pytest.approx(5.0, abs=1e-9), "what it is told by is its first figure"
        for key in relation.keys:
            more, less = ({**own, key: own[key] + step} for step in (1e-4, -1e-4))
            slope = float(np.asarray(relation.gap(more)) - np.asarray(relation.gap(less))) / 2e-4
            assert found.slopes[key] == pytest.approx(slope, rel=1e-6, abs=1e-7)
            assert slopes(relation, own)[key] == found.slopes[key]
            if abs(slope) > 0.05:
                wrong = {**own, key: own[key] + 0.5}
                assert mended(relation, wrong, key) == pytest.approx(own[key], abs=1e-6)


@pytest.mark.parametrize("relation", RELATIONS, ids=lambda each: each.formula)
def test_it_is_left_out_where_a_figure_is_not_known_or_makes_it_needless(
    relation: Relation,
) -> None:
    own = of(relation, VALUES[0])
    assert applies(relation, own)
    for key in relation.keys:
        assert not applies(relation, {k: v for k, v in own.items() if k != key})
    for key in relation.instead_of:
        assert not applies(relation, {**own, key: VALUES[0][key]})


def test_what_no_triangle_has_is_told_as_endless_and_mended_by_nothing() -> None:
    values = {"wheelbase": 1100.0, "chainstay_length": 60.0, "bb_drop": 60.0, "front_centre": 700.0}
    (found,) = gaps(values)
    assert (found.size, set(found.slopes.values())) == (np.inf, {0.0})
    assert mended(found.relation, values, "wheelbase") is None
    assert gaps({"reach": 450.0, "stack": 640.0}) == []


def test_a_figure_that_hardly_enters_mends_nothing() -> None:
    """A drop of nothing is no lever on the chainstay: the triangle is flat there."""
    values = {"chainstay_length": 431.0, "rear_centre": 430.0, "bb_drop": 0.0}
    relation = RELATIONS[0]
    assert mended(relation, values, "bb_drop") is None
    assert mended(relation, values, "rear_centre") == pytest.approx(431.0)
