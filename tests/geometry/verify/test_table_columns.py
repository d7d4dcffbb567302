"""A column along its sizes: against least squares of numpy, and counted by hand at every limit."""

from __future__ import annotations

import numpy as np
import pytest

from geometry.verify.table_columns import copied_from, doubled_step, expectations

TELLS_LITTLE = {2: 7.0, 3: 2.5, 4: 1.5, 5: 1.0}
"""[CP] How many times the unevenness granted is, by how many other sizes there are; else 0.7."""


def by_least_squares(
    values: np.ndarray, place: int, half: float, uneven: float, at: np.ndarray | None = None
) -> tuple[float, float]:
    """What the others say of a place, by numpy's polynomials and the law of their errors.

    A line; a parabola where five others or more leave it by more than two halves of the printed
    step. The scatter is that of the residuals beyond rounding, on top of two values' worth of
    the unevenness granted.
    """
    at = np.arange(len(values), dtype=float) if at is None else at
    rest = [i for i in range(len(values)) if i != place and np.isfinite(values[i])]
    x, y = at[rest] - at[place], values[rest]
    line = np.polynomial.Polynomial.fit(x, y, 1).convert()
    degree = 2 if len(rest) >= 5 and np.max(np.abs(y - line(x))) > 2 * half else 1
    curve = np.polynomial.Polynomial.fit(x, y, degree).convert()
    basis = np.vander(x, degree + 1, increasing=True)
    share = float(np.linalg.inv(basis.T @ basis)[0, 0])  # of one value's variance, at the place
    free, rounding = len(rest) - degree - 1, half**2 / 3.0
    step = abs(y[-1] - y[0]) / (x[-1] - x[0])
    usual = TELLS_LITTLE.get(len(rest), 0.7) * uneven * step
    own = max(float(np.sum((y - curve(x)) ** 2)) - free * rounding, 0.0)
    scatter = (2.0 * usual**2 + own) / (2.0 + free)
    return float(curve(0.0)), float(np.sqrt(scatter * (1 + share) + rounding * share))


COLUMNS = [
    ([430.0, 455.0, 482.0], 0.5, 0.02),
    ([430.0, 456.0, 480.0, 507.0], 0.05, 0.02),
    ([430.0, 456.0, 480.0, 507.0, 528.0], 0.5, 0.08),
    ([76.0, 75.4, 75.1, 74.4, 74.0, 73.2], 0.05, 0.02),
    ([2.3, 2.42, 2.49, 2.6, 2.71, 2.83, 2.95], 0.005, 0.08),
    ([430.0, 433.0, 439.0, 447.0, 459.0, 474.0], 0.5, 0.02),
    ([430.0, 455.0, np.nan, 504.0, 531.0], 0.5, 0.02),
]


@pytest.mark.parametrize(("column", "half", "uneven"), COLUMNS)
def test_a_value_is_what_the_plainest_curve_of_the_others_says(
    column: list[float], half: float, uneven: float
) -> None:
    values = np.array(column)
    expected, spread = expectations(values, at=range(len(values)), half=half, uneven=uneven)
    places = range(len(values)) if len(values) > 3 else [1]
    for place in places:
        wanted = by_least_squares(values, place, half, uneven)
        assert (expected[place], spread[place]) == pytest.approx(wanted, rel=1e-9), place
    if len(values) == 3:
        assert np.isnan(expected[[0, 2]]).all(), "two say nothing of a third beyond them"


def test_a_missing_size_leaves_its_place_empty() -> None:
    values, at = np.array([430.0, 455.0, 505.0, 531.0]), np.array([0.0, 1.0, 3.0, 4.0])
    expected, spread = expectations(values, at=at.tolist(), half=0.5)
    for place in range(4):
        wanted = by_least_squares(values, place, 0.5, 0.02, at)
        assert (expected[place], spread[place]) == pytest.approx(wanted, rel=1e-9)


def test_an_end_of_a_constant_column_may_be_meant() -> None:
    """[CP] 0.6 % of the value and six halves of the printed step; between equals only rounding."""
    values = np.array([430.0, 430.0, 430.0, 441.0])
    expected, spread = expectations(values, at=range(4), half=0.5)
    assert expected[3] == 430.0
    meant = 0.006 * 430.0 + 6 * 0.5
    assert spread[3] == pytest.approx(np.hypot(0.5 / np.sqrt(3.0), meant))
    between = expectations(np.array([430.0, 441.0, 430.0, 430.0]), at=range(4), half=0.5)
    assert (between[0][1], between[1][1]) == (430.0, pytest.approx(0.5 / np.sqrt(3.0)))
    alone = expectations(np.array([430.0, np.nan, np.nan]), at=range(3), half=0.5)
    assert np.isnan(alone[0]).all()


def stepping(*rows: list[float]) -> np.ndarray:
    """Columns from their steps, first value 100."""
    return np.array([[100.0 + sum(row[:i]) for i in range(len(row) + 1)] for row in rows]).T


EVEN, DOUBLE, FLAT = [20.0] * 4, [20.0, 40.0, 20.0, 20.0], [0.0] * 4


@pytest.mark.parametrize(
    ("rows", "place"),
    [
        ([DOUBLE] * 3, 1),
        ([DOUBLE] * 3 + [FLAT], 1),
        ([EVEN] * 3, None),
        ([DOUBLE] * 2, None),  # of two columns nothing is told
        ([DOUBLE] * 2 + [FLAT], None),
        ([DOUBLE] * 3 + [EVEN] * 2, None),  # three in five are not more than six in ten
        ([DOUBLE] * 4 + [EVEN] * 2, 1),
        ([[-10.0, -10.0, -10.0, -20.0]] * 3, 3),
        ([[20.0, 20.0, 31.2, 20.0]] * 3, 2),  # 1.56 times as far is nearly twice
        ([[20.0, 20.0, 30.8, 20.0]] * 3, None),  # 1.54 times is not
        ([[20.0, 20.0, 48.8, 20.0]] * 3, 2),
        ([[20.0, 20.0, 49.2, 20.0]] * 3, None),
        ([[20.0, 28.8, 40.0, 20.0]] * 3, 2),  # the others within 45 % of one another
        ([[20.0, 29.2, 40.0, 20.0]] * 3, None),
        ([[20.0, 40.0, 20.0]] * 3, 1),
        ([[20.0, 40.0]] * 3, None),  # of three sizes nothing is told
        ([[40.0, 20.0, 20.0, 20.0]] * 3, 0),
    ],
)
def test_a_size_is_missed_where_most_columns_step_twice_as_far(
    rows: list[list[float]], place: int | None
) -> None:
    assert doubled_step(stepping(*rows)) == place


def test_what_is_not_known_misses_no_size() -> None:
    columns = stepping(*[DOUBLE] * 3)
    columns[2, 0] = np.nan
    assert doubled_step(columns) is None


def test_a_copy_is_like_another_size_in_four_columns_of_five() -> None:
    rows = np.array([[1.0, 1, 1, 1, 1], [2, 2, 2, 2, 2], [2, 2, 2, 2, 3], [4, 4, 4, 4, 4]])
    assert copied_from(rows) == [(2, 1)]
    assert copied_from(rows[:, 1:]) == [], "three of four are fewer"
    same = np.column_stack([rows, np.full(4, 9.0)])
    assert copied_from(same) == [(2, 1)], "a column that differs nowhere tells of no copy"
    twice = np.vstack([rows[:3], rows[1], rows[0]])
    assert copied_from(twice) == [(2, 1), (3, 1), (4, 0)]
    unknown = np.array([[1.0, 5.0], [np.nan, 6.0], [1.0, np.nan], [2.0, 7.0]])
    assert copied_from(unknown) == [(2, 0)], "what is not known is not compared"
    assert copied_from(np.array([[1.0, np.nan], [np.nan, 2.0], [3.0, 4.0]])) == []
    assert copied_from(np.full((3, 2), 7.0)) == [(1, 0), (2, 1)]
