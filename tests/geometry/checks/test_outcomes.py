"""Outcomes of checks: what is clear, tight, no, and what is not known."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.checks.outcomes import (
    CODES,
    Check,
    judge,
    margin_of,
    outcome_codes,
    unknown,
)
from geometry.core import AtLeast
from geometry.core.errors import InvalidInput

finite = st.floats(-1e6, 1e6)


def held(figure: float, limit: float, **more: object) -> Check[str]:
    return judge(
        "c",
        figure=figure,
        limit=limit,
        unit="mm",
        reason="r",
        source="s",
        remedy="do this",
        **more,  # type: ignore[arg-type]
    )


@pytest.mark.parametrize(
    ("figure", "outcome"), [(5.9, "no"), (6.0, "tight"), (7.9, "tight"), (8.0, "clear")]
)
def test_the_limit_itself_is_kept_and_the_band_s_end_is_clear(figure: float, outcome: str) -> None:
    check = held(figure, 6.0, band=2.0)
    assert check.outcome == outcome
    assert check.margin == pytest.approx(figure - 6.0)


def test_at_most_turns_the_margin_round() -> None:
    assert held(118.0, 120.0, sense="at most").outcome == "clear"
    assert held(121.0, 120.0, sense="at most").margin == -1.0


def test_a_clear_check_has_no_remedy_and_a_failed_one_keeps_it() -> None:
    assert held(7.0, 6.0).remedy == ""
    assert not held(5.0, 6.0).safety
    assert held(5.0, 6.0, safety=True).safety
    assert held(5.0, 6.0).remedy == "do this"


def test_nan_is_refused_because_unknown_has_its_own_words() -> None:
    with pytest.raises(InvalidInput) as caught:
        held(float("nan"), 6.0)
    assert caught.value.field == "figure"
    with pytest.raises(InvalidInput, match="band") as refused:
        held(1.0, 6.0, band=-1.0)
    assert refused.value.remedy == AtLeast(bound=0.0, unit="mm")
    assert held(6.0, 6.0, band=0.0).outcome == "clear"


def test_an_infinite_figure_is_clear() -> None:
    assert held(float("inf"), 89.0).outcome == "clear"


def test_codes_of_arrays_mark_nan_as_not_known() -> None:
    codes = outcome_codes(np.array([[-1.0, 0.0], [2.0, np.nan]]), band=1.0)
    assert codes.tolist() == [[0, 1], [2, -1]]
    assert [outcome_codes(margin, band=1.0).item() for margin in (-1.0, 0.0, 2.0, np.nan)] == [
        0, 1, 2, -1,
    ]  # fmt: skip


@given(figure=finite, limit=finite, band=st.floats(0, 1e3))
def test_judge_and_the_array_codes_agree(figure: float, limit: float, band: float) -> None:
    check = held(figure, limit, band=band)
    assert check.outcome == CODES[int(outcome_codes(margin_of(figure, limit=limit), band=band))]


@given(figure=finite, limit=finite)
def test_a_figure_fails_at_least_exactly_when_its_mirror_fails_at_most(
    figure: float, limit: float
) -> None:
    assert held(figure, limit).outcome == held(-figure, -limit, sense="at most").outcome


def test_unknown_is_neither_clear_nor_no() -> None:
    check = unknown("bore", missing="the bend", source="builder", remedy="measure it")
    assert check.outcome is None
    assert not check.known
    assert not check.safety
