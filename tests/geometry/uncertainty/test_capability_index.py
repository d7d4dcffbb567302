"""Capability of a dimension: against scipy's chi-square, and its limits by simulation."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import chi2, norm

from geometry.uncertainty.capability_index import FEWEST, capability


def test_cp_and_cpk_are_those_of_the_handbook() -> None:
    """NIST/SEMATECH e-Handbook 6.1.6 [R]: Cp = (USL − LSL) / 6σ, Cpk the nearer limit's third.

    Twenty offsets of mean 0.5 and standard deviation 1, limits ± 2: Cp = 4 / 6, Cpk = 1.5 / 3.
    """
    shape = np.array([-1.0, 1.0] * 10) * np.sqrt(19 / 20)
    found = capability(shape + 0.5, 2.0)
    assert found.spread == pytest.approx(1.0)
    assert found.cp == pytest.approx(4 / 6)
    assert found.cpk == pytest.approx(1.5 / 3)


@pytest.mark.parametrize(
    ("count", "mean", "cpk"), [(20, 0.5, 0.5), (40, -0.5, 0.5), (12, 0.2, 0.6)]
)
def test_limits_of_cpk_are_bissell_s(count: int, mean: float, cpk: float) -> None:
    """[M] Cpk ± z √(1/9n + Cpk²/2(n − 1)), z the normal's 97.5 % point, worked by hand."""
    offsets = np.tile([-1.0, 1.0], count // 2) * np.sqrt((count - 1) / count) + mean
    found = capability(offsets, 2.0)
    wide = norm.ppf(0.975) * np.sqrt(1 / (9 * count) + cpk**2 / (2 * (count - 1)))
    assert found.cpk == pytest.approx(cpk)
    assert found.cpk_limits == pytest.approx((cpk - wide, cpk + wide), rel=1e-9)


@pytest.mark.parametrize("count", [FEWEST, 25, 100])
def test_limits_of_cp_follow_from_chi_square(count: int) -> None:
    offsets = np.random.default_rng(1).normal(0.0, 1.0, count)
    found = capability(offsets, 3.0)
    assert found.cp is not None
    assert found.cp_limits is not None
    for limit, share in zip(found.cp_limits, (0.025, 0.975), strict=True):
        outside = np.sqrt(chi2.ppf(share, count - 1) / (count - 1))
        assert limit / found.cp == pytest.approx(outside, rel=0.006)


def test_chi_square_is_taken_by_wilson_and_hilferty_s_cube() -> None:
    """[M] PNAS 17 (1931) 684: χ² ≈ n (1 − 2/9n + z √(2/9n))³, here of 24 degrees of freedom."""
    found = capability(np.tile([-1.0, 1.0, 0.0, 0.5, -0.5], 5), 3.0)
    assert found.cp is not None
    assert found.cp_limits is not None
    for limit, share in zip(found.cp_limits, (0.025, 0.975), strict=True):
        z = float(norm.ppf(share))
        cube = (1 - 2 / (9 * 24) + z * np.sqrt(2 / (9 * 24))) ** 3
        assert limit / found.cp == pytest.approx(np.sqrt(cube), rel=1e-9)


@pytest.mark.parametrize(("count", "mean"), [(FEWEST, 0.6), (25, 0.6), (25, 0.0), (100, -1.0)])
def test_the_true_cpk_lies_within_its_limits(count: int, mean: float) -> None:
    """Drawn 2,000 times: within the limits in 95 of 100 cases, a little less where few."""
    rng = np.random.default_rng(2)
    true = (3.0 - abs(mean)) / 3.0
    held = 0
    for offsets in rng.normal(mean, 1.0, (2000, count)):
        limits = capability(offsets, 3.0).cpk_limits
        assert limits is not None
        held += limits[0] <= true <= limits[1]
    assert 0.92 < held / 2000 < 0.98


def test_too_few_bikes_say_nothing() -> None:
    found = capability(np.arange(FEWEST - 1.0), 3.0)
    assert (found.cp, found.cpk, found.cp_limits, found.cpk_limits) == (None,) * 4
    assert found.spread is not None
    assert capability(np.arange(9.0), 3.0).cp is None, "nine bikes are too few"
    assert capability(np.arange(10.0), 3.0).cp is not None, "ten are not"
    assert capability(np.array([0.5, -0.5]), 3.0).spread == pytest.approx(np.sqrt(0.5))
    assert capability(np.array([0.4]), 3.0).spread is None
    assert capability(np.zeros(30), 3.0).cp is None
    assert capability(np.arange(30.0), None).cp is None


def test_bikes_alike_but_for_rounding_have_no_spread_to_divide_by() -> None:
    alike = capability(np.array([54.4 + 0.1 - 54.4, 0.1] * 6), 2.0)
    assert alike.spread == 0.0
    assert (alike.cp, alike.cpk, alike.cp_limits, alike.cpk_limits) == (None,) * 4
    # A step of a hundredth of a millimetre is a spread: sqrt(12 · 0.005² / 11) of twelve.
    finer = capability(np.array([0.10, 0.11] * 6), 2.0)
    assert finer.spread == pytest.approx(0.005 * (12 / 11) ** 0.5, rel=1e-9)
    assert finer.cp == pytest.approx(2.0 / (3 * 0.005 * (12 / 11) ** 0.5), rel=1e-9)
