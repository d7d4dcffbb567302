"""The rules to beat must be as good as they can be, and the scores must score."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from tests.calibration.charts import fit_chart
from tests.calibration.regression import fit_regression
from tests.calibration.scores import score


def test_no_other_chart_is_right_more_often() -> None:
    # Brute force over every pair of edges on whole steps.
    rng = np.random.default_rng(4)
    readings = rng.uniform(0.0, 100.0, 60)
    best = np.clip((readings + rng.normal(0.0, 12.0, 60)) // 34, 0, 2).astype(int)
    chart = fit_chart(readings, best, classes=3, bands=3)
    right = (chart.probabilities(readings).argmax(axis=1) == best).sum()
    most = 0
    for edges in combinations(np.arange(0.0, 101.0, 10.0), 2):
        band = np.searchsorted(np.array(edges), readings, side="right")
        counts = np.zeros((3, 3))
        np.add.at(counts, (band, best), 1)
        most = max(most, int(counts.max(axis=1).sum()))
    assert right == most


def test_a_chart_tells_the_shares_of_its_bands() -> None:
    readings = np.array([5.0, 5.0, 5.0, 25.0, 25.0, 25.0])
    chart = fit_chart(readings, np.array([0, 0, 1, 1, 1, 1]), classes=2, bands=2)
    assert chart.probabilities(np.array([4.0, 26.0])).tolist() == [
        pytest.approx([2 / 3, 1 / 3]),
        pytest.approx([0.0, 1.0]),
    ]


def test_scores_of_forecasts_known_in_advance() -> None:
    best = np.array([0, 1, 1, 0])
    perfect = score(np.eye(2)[best], best)
    assert (perfect.accuracy, perfect.brier, perfect.top_error) == (1.0, 0.0, 0.0)
    flat = score(np.full((4, 2), 0.5), best)
    assert flat.brier == 0.5
    assert flat.log_loss == pytest.approx(np.log(2.0))
    sure_and_wrong = score(np.eye(2)[1 - best], best)
    assert (sure_and_wrong.accuracy, sure_and_wrong.brier, sure_and_wrong.top_error) == (0, 2, 1)
    # A floor of 1 in 1,000 keeps the worst forecast finite: ln 1001 after norming.
    assert sure_and_wrong.log_loss == pytest.approx(np.log(1001.0))
    # Four people at one half each: spread of the frequency 0.25, folded 0.25 * sqrt(2 / pi).
    assert flat.sampling == pytest.approx(0.25 * np.sqrt(2.0 / np.pi))


def test_the_regression_finds_the_chances_it_was_drawn_from() -> None:
    rng = np.random.default_rng(5)
    readings = rng.normal(1700.0, 90.0, (6000, 1))
    chance = 1.0 / (1.0 + np.exp(-(readings[:, 0] - 1720.0) / 30.0))
    chosen = (rng.random(6000) < chance).astype(int)
    plain = fit_regression(readings, chosen, classes=2)
    found = plain.probabilities(np.array([[1690.0], [1720.0], [1750.0]]))[:, 1]
    assert found == pytest.approx([0.269, 0.5, 0.731], abs=0.04)
