"""What a further measurement is said to settle, on answers known in advance."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from geometry.core import FloatArray
from geometry.rider import Measurement, condition
from geometry.sizing.next_measurement import QUESTIONS, next_measurements, simulated_reading

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
