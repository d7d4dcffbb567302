"""What a further measurement is said to settle, on answers known in advance."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from geometry.core import FloatArray
from geometry.rider import LANDMARKS, Measurement, Way, condition
from geometry.sizing import next_measurement as module
from geometry.sizing.next_measurement import (
    QUESTIONS,
    _right_once_known,
    next_measurements,
    simulated_reading,
)

TOLD = [Measurement("stature", 1740.0, "told")]
DRAWN = condition(TOLD).draw(4000, np.random.default_rng(3))


def chances(categories: NDArray[np.int_]) -> FloatArray:
    """Chances of bodies that would each choose one thing for sure."""
    return np.eye(3)[categories].T


def test_a_meaningless_question_shows_no_gain() -> None:
    tosses = np.random.default_rng(8).integers(0, 2, (20, len(DRAWN)))
    rng = np.random.default_rng(1)
    found = [
        item
        for coin in tosses
        for item in next_measurements(DRAWN, chances(coin), given=TOLD, rng=rng)
    ]
    # 20 tosses of six questions: chance alone may pass the threshold now and then.
    assert len(found) <= 6
    assert all(item.gain < 0.05 for item in found)


def test_a_settled_size_asks_for_nothing() -> None:
    settled = np.full(len(DRAWN), 2)
    assert (
        next_measurements(DRAWN, chances(settled), given=TOLD, rng=np.random.default_rng(1)) == ()
    )


def test_the_measurement_that_decides_is_ranked_first() -> None:
    for landmark in ("span", "sitting_height", "weight"):
        decided = (DRAWN[landmark] > np.median(DRAWN[landmark])).astype(int)
        found = next_measurements(DRAWN, chances(decided), given=TOLD, rng=np.random.default_rng(1))
        assert found[0].landmark == landmark
        assert 0.8 < found[0].probability < 1.0


def test_readings_carry_the_error_of_a_rider_alone() -> None:
    reading = simulated_reading(DRAWN, "crotch_height", np.random.default_rng(2))
    # [assumption of the body model] self-measured inseam: SD 10 mm.
    assert float(np.std(reading - DRAWN["crotch_height"])) == pytest.approx(10.0, rel=0.05)


def test_weight_is_read_on_the_scale_of_the_model() -> None:
    reading = simulated_reading(DRAWN, "weight", np.random.default_rng(2))
    assert float(np.std(reading - np.log(DRAWN["weight"]))) == pytest.approx(0.015, rel=0.05)


def test_questions_are_asked_once_each() -> None:
    assert len(set(QUESTIONS)) == len(QUESTIONS)


def test_the_gain_of_a_number_is_that_of_sorting_by_it_on_paper() -> None:
    """40 bodies read without error, in ten groups of four: two of each hold two against them.

    Where the threshold falls between the second and the third of a group, its two halves
    disagree on nobody; where it falls between the first and the second, on one each.
    """
    rows = np.repeat(DRAWN.values[:1], 40, axis=0)
    rows[:, LANDMARKS.index("sitting_height")] = np.arange(700.0, 1100.0, 10.0)
    long_trunk = (np.arange(40) >= 21).astype(int)
    settled = _right_once_known(rows[:, LANDMARKS.index("sitting_height")], chances(long_trunk))
    # In the sixth group (bodies 20 to 23) three of four are long: 20 and 22 against 21 and 23.
    # 21 and 23 are both long, so that of 20 and 22 one is right; of 20 and 22 the first is
    # taken where both are as many, the short one, and neither of 21 and 23 is right.
    assert settled == pytest.approx((36 + 1 + 0) / 40)


@pytest.mark.parametrize(("share", "told"), [(0.0195, False), (0.0205, True)])
def test_a_gain_below_two_in_a_hundred_is_not_told(
    share: float, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "_right_once_known", lambda *_: 0.6 + share)
    both = np.array([[0.6], [0.4]]) * np.ones(len(DRAWN))
    found = next_measurements(DRAWN, both, given=TOLD, rng=np.random.default_rng(1))
    assert bool(found) == told
    if told:
        assert {item.landmark for item in found} == set(QUESTIONS)
        assert all(item.gain == pytest.approx(share) for item in found)
        assert all(item.probability == pytest.approx(0.6 + share) for item in found)


@pytest.mark.parametrize(
    ("way", "again"),
    [("trousers", True), ("told", True), ("self_measured", False), ("measured", False)],
)
def test_a_number_is_asked_again_where_a_rider_alone_finds_it_finer(way: Way, again: bool) -> None:
    decided = (DRAWN["crotch_height"] > np.median(DRAWN["crotch_height"])).astype(int)
    given = [Measurement("crotch_height", 820.0, way)]
    found = next_measurements(DRAWN, chances(decided), given=given, rng=np.random.default_rng(1))
    assert ("crotch_height" in {item.landmark for item in found}) == again
