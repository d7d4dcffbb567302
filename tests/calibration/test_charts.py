"""The rules to beat must be as good as they can be, and the scores must score."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from tests.calibration.charts import fit_chart
from tests.calibration.evaluate_sizing import score


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
    suits = np.eye(2, dtype=bool)[best]
    suits[0] = True
    perfect = score(np.eye(2)[best], best, suits)
    assert (perfect.accuracy, perfect.brier, perfect.top_error) == (1.0, 0.0, 0.0)
    flat = score(np.full((4, 2), 0.5), best, suits)
    assert (flat.brier, flat.all_error) == (0.5, 0.0)
    sure_and_wrong = score(np.eye(2)[1 - best], best, suits)
    assert (sure_and_wrong.accuracy, sure_and_wrong.brier, sure_and_wrong.top_error) == (0, 2, 1)
    assert (perfect.suiting, sure_and_wrong.suiting) == (1.0, 0.25)
    # Four people at one half each: spread of the frequency 0.25, folded 0.25 * sqrt(2 / pi).
    assert flat.sampling == pytest.approx(0.25 * np.sqrt(2.0 / np.pi))
