"""From an orderable build through a noisy tape back to that build."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from geometry.position import Measured
from geometry.search import Target
from tests.webapp.match.test_matching import points, samples, wish
from webapp.builds.evaluation import BuildResult
from webapp.builds.present_bike.by_tape import by_tape
from webapp.builds.present_bike.fields import MORE_TAPE, TAPE
from webapp.builds.solving.solver_inputs import UNLOADED
from webapp.catalogue.reading.views import Catalogue
from webapp.match.matching import match
from webapp.match.remembered_builds import all_builds

Reading = dict[str, float]

# The largest of 4 squared normal deviates that one in 100,000 exceeds: chi-square, 4 degrees
# of freedom, from scipy.stats.chi2.isf(1e-5, 4) = 28.47.
FURTHEST = 28.5


def tape(result: BuildResult) -> Reading:
    """What a tape without any error reads: the first seven measurements that are asked for."""
    at, height = points(result), float(result.states[UNLOADED].figures["bb_height"])
    (gx, gy), (sx, sy) = at.grip, at.saddle
    return {
        "bb_above_floor": height,
        "saddle_above_floor": sy + height,
        "bb_to_saddle": float(np.hypot(sx, sy)),
        "saddle_behind_bb": -sx,
        "grip_above_floor": gy + height,
        "bb_to_grip": float(np.hypot(gx, gy)),
        "saddle_to_grip": float(np.hypot(gx - sx, gy - sy)),
    }


def typed(read: Reading) -> dict[str, str]:
    empty = {field.name: "" for field in (*TAPE, *MORE_TAPE)}
    return {**empty, **{name: f"{value:.6f}" for name, value in read.items()}}


def found_by(read: Reading) -> tuple[Target, NDArray[Any]]:
    """The points that the page finds, and the covariance of both together, block by block."""
    bike = by_tape(typed(read))
    assert not bike.problems
    covariance = np.zeros((4, 4))
    covariance[:2, :2], covariance[2:, 2:] = bike.grip.covariance, bike.saddle.covariance
    return Target(grip=bike.grip.at, saddle=bike.saddle.at), covariance


@pytest.fixture(scope="module")
def orderable(trail: Catalogue) -> list[BuildResult]:
    """Random builds that could be ordered."""
    drawn = (result for _, result in samples(trail, all_builds(trail, {}), 29))
    return [result for result in drawn if result.can_be_ordered]


def flat(target: Target) -> NDArray[np.float64]:
    return np.array([*target.grip, *target.saddle])


def test_without_noise_the_build_comes_first(
    trail: Catalogue, orderable: list[BuildResult]
) -> None:
    assert len(orderable) > 10
    for result in orderable[1::2]:
        target, _ = found_by(tape(result))
        first = match(trail, wish(target)).answers[0]
        assert (*first.grip, *first.saddle) == pytest.approx(flat(points(result)), abs=1e-3)


def test_with_noise_it_comes_within_the_noise(
    trail: Catalogue, orderable: list[BuildResult]
) -> None:
    random = np.random.default_rng(41)
    for result in orderable[::2]:
        read = tape(result)
        noisy = {
            name: value + random.normal(0.0, Measured(kind=name, value=value).spread)
            for name, value in read.items()
        }
        target, covariance = found_by(noisy)
        true = flat(points(result))
        off = flat(target) - true
        for part in (slice(0, 2), slice(2, 4)):
            assert off[part] @ np.linalg.solve(covariance[part, part], off[part]) < FURTHEST
        first = match(trail, wish(target)).answers[0]
        assert first.distance <= np.linalg.norm(off) + 1e-6
        back = np.array([*first.grip, *first.saddle]) - true
        assert np.linalg.norm(back) <= 2.0 * np.linalg.norm(off) + 1e-6
