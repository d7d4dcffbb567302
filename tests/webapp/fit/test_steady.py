"""The demo's sizes behave: they follow a body that grows, and serve the riders of their chart.

The promises are those a builder would want of any fit (issue of the project); the bodies
are drawn from the body model, whose source is the 2012 survey (Natick/TR-15/007).
"""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.rider import Bodies, Measurement, Sex, Way, condition, linkage
from geometry.sizing import NONE, Run, check_fit, judge_sizes, needed
from geometry.sizing.swaps import gains
from webapp.catalogue.reading.views import Catalogue
from webapp.fit.advice import fit
from webapp.fit.candidate_builds import CandidateBuilds, candidate_builds
from webapp.fit.run import run_for, usual_choice
from webapp.rider.rider_input import Rider

MODELS = ("trail", "tourer")
STYLES = ("trail", "in-between", "long-distance", "loaded")
STATURES = np.arange(1480.0, 2051.0, 2.0)


def catalogue_of(request: pytest.FixtureRequest, model: str) -> Catalogue:
    found: Catalogue = request.getfixturevalue(model)
    return found


def usual(catalogue: Catalogue, style: str) -> tuple[Run, CandidateBuilds]:
    builds = candidate_builds(catalogue, usual_choice(catalogue))
    return run_for(catalogue, builds, catalogue.style(style)), builds


@pytest.fixture(scope="module")
def population() -> Bodies:
    return condition([]).draw(4000, np.random.default_rng(20120404))


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("model", MODELS)
def test_the_sizes_serve_the_riders_of_their_chart(
    request: pytest.FixtureRequest, population: Bodies, model: str, style: str
) -> None:
    run, _ = usual(catalogue_of(request, model), style)
    found = check_fit(run, population)
    none, one, two, more = found.fitting
    assert none <= 0.03
    assert one + two >= 0.95
    assert more == 0.0
    assert 0.60 <= found.with_chart <= 0.80
    assert found.two_off <= 0.01
    assert found.grips_kept >= 0.97
    assert found.windows_kept >= 0.97
    assert found.backward == ()


def grown(sex: Sex | None, way: Way, *, inseam: bool) -> Bodies:
    """The likeliest body at each stature told, with the inseam that goes with it."""
    rows = []
    for stature in STATURES:
        given = [Measurement("stature", float(stature), way)]
        if inseam:
            usual_inseam, _ = condition(given, sex=sex).estimate("crotch_height")
            given.append(Measurement("crotch_height", usual_inseam))
        rows.append(condition(given, sex=sex).mean_body().values)
    return Bodies(np.concatenate(rows))


@pytest.mark.parametrize("inseam", [False, True])
@pytest.mark.parametrize("way", ["told", "self_measured"])
@pytest.mark.parametrize("sex", [None, "man", "woman"])
def test_a_taller_rider_is_never_named_a_smaller_size_nor_skips_one(
    request: pytest.FixtureRequest, sex: Sex | None, way: Way, inseam: bool
) -> None:
    bodies = grown(sex, way, inseam=inseam)
    middle = linkage(Bodies(bodies.values[len(bodies) // 2 :][:1]))
    for model, style in product(MODELS, STYLES):
        run, builds = usual(catalogue_of(request, model), style)
        gained = gains(run, [stood.cockpits for stood in builds.stands], middle)
        named = judge_sizes(
            run,
            needed(run, bodies),
            shorter=np.array([each.min() for each in gained]),
            longer=np.array([each.max() for each in gained]),
        ).named
        some = np.flatnonzero(named != NONE)
        assert np.all(np.diff(some) == 1), (model, style)
        assert set(np.diff(named[some])) <= {0, 1}, (model, style)
        assert set(named[some]) == set(range(len(run.sizes))), (model, style)


@settings(max_examples=25, deadline=None)
@given(stature=st.integers(1500, 2040), style=st.sampled_from(STYLES), more=st.integers(2, 40))
def test_a_taller_rider_needs_no_shorter_bike(
    trail: Catalogue, stature: int, style: str, more: int
) -> None:
    order = [size.slug for size in trail.sizes]
    pair = [fit(trail, Rider(stature=height, style=style)) for height in (stature, stature + more)]
    named = [order.index(each.named.slug) if each.named else None for each in pair]
    if named[0] is not None and named[1] is not None:
        assert named[0] <= named[1]


@pytest.mark.parametrize("model", MODELS)
def test_taste_moves_the_size_the_way_it_says(request: pytest.FixtureRequest, model: str) -> None:
    catalogue = catalogue_of(request, model)
    order = [size.slug for size in catalogue.sizes]
    means = []
    for taste in ("much-shorter", "shorter", "", "longer", "much-longer"):
        answer = fit(catalogue, Rider(stature=1800.0, style="trail", taste=taste))
        means.append(sum(order.index(size.slug) * size.best for size in answer.sizes))
    assert means == sorted(means)
    assert means[-1] - means[0] > 0.5
