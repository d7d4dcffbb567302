"""Checked numbers: one remedy for every field, rows named, nothing clamped."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from geometry.bike import Fork
from geometry.core.angles import cos, rotate, sin
from geometry.core.errors import ContradictoryInput, GeometryError, InvalidInput
from geometry.core.inputs import (
    LARGEST,
    check_shapes,
    checked,
    plain,
    refuse,
    value_at,
    whole,
    within,
)
from geometry.core.remedies import (
    AnyNumber,
    AtLeast,
    AtMost,
    FiniteNumber,
    MoreThan,
    Remedy,
    SmallerSize,
    WholeNumber,
)


@pytest.mark.parametrize(
    ("value", "limits", "remedy"),
    [
        (math.nan, {}, FiniteNumber(unit="mm")),
        (math.inf, {}, FiniteNumber(unit="mm")),
        (-math.inf, {}, FiniteNumber(unit="mm")),
        (None, {}, FiniteNumber(unit="mm")),
        ("wide", {}, AnyNumber()),
        (10**400, {}, AnyNumber()),
        ([[1.0], [2.0, 3.0]], {}, AnyNumber()),
        (2 * LARGEST, {}, SmallerSize(most=1e6, unit="mm")),
        (-2 * LARGEST, {}, SmallerSize(most=1e6, unit="mm")),
        (0.0, {"above": 0}, MoreThan(bound=0, unit="mm")),
        (-1e-12, {"least": 0}, AtLeast(bound=0, unit="mm")),
        (10.5, {"most": 10}, AtMost(bound=10, unit="mm")),
    ],
)
def test_what_is_refused_and_how_it_is_said(value: Any, limits: Any, remedy: Remedy) -> None:
    with pytest.raises(InvalidInput) as caught:
        checked("width", value, "mm", **limits)
    assert (caught.value.field, caught.value.remedy) == ("width", remedy)
    assert caught.value.index is None


def test_limits_themselves_are_allowed() -> None:
    assert checked("a", 0, "mm", least=0) == 0.0
    assert checked("a", 10, "mm", most=10) == 10.0
    assert checked("a", LARGEST, "mm") == LARGEST


def test_one_bad_row_is_named_and_shown() -> None:
    values = np.ones((2, 3))
    values[1, 2] = -4.0
    with pytest.raises(InvalidInput) as caught:
        checked("width", values, "mm", above=0)
    assert (caught.value.index, caught.value.value) == ((1, 2), -4.0)
    assert str(caught.value) == "width (row 1, 2) is -4.0: more than (bound 0, unit mm)"


def test_a_broadcast_value_is_shown_at_its_own_place() -> None:
    assert value_at(5.0, (3, 1)) == 5.0
    assert value_at(np.array([[1.0], [2.0]]), (1, 7)) == 2.0
    assert value_at(np.array([1.0, 2.0]), (9, 1)) == 2.0
    with pytest.raises(ContradictoryInput) as caught:
        refuse(np.array([[False, True]]), ContradictoryInput, "x", 3.0, WholeNumber(unit="mm"))
    assert (caught.value.index, caught.value.value) == ((0, 1), 3.0)


def test_counts_are_whole() -> None:
    assert whole("ring", np.array([30, 32]), "teeth", least=8).tolist() == [30.0, 32.0]  # type: ignore[union-attr]  # an array in, an array out
    for value in (30.5, 7, math.nan):
        with pytest.raises(InvalidInput):
            whole("ring", value, "teeth", least=8)


def test_errors_take_the_name_of_their_owner() -> None:
    with pytest.raises(GeometryError) as caught, within("fork"), within("crown"):
        checked("offset", np.array([1.0, math.nan]), "mm")
    assert (caught.value.field, caught.value.index) == ("fork.crown.offset", (1,))
    assert isinstance(caught.value, InvalidInput)


def test_common_shapes() -> None:
    assert check_shapes({}) == ()
    assert check_shapes({"a": 1.0, "b": np.zeros((2, 1)), "c": np.zeros(3)}) == (2, 3)
    with pytest.raises(InvalidInput) as caught:
        check_shapes({"a": np.zeros(2), "b": np.zeros(3)})
    assert caught.value.field == "b"


def test_plain_keeps_arrays_and_frees_scalars() -> None:
    assert type(plain(np.float64(2.0))) is float
    assert type(plain(np.array(2.0))) is float
    array = np.zeros(2)
    assert plain(array) is array


def test_a_whole_number_becomes_a_float_and_a_word_is_refused() -> None:
    fork = Fork(axle_to_crown=500, offset=44, travel=120)
    assert [type(each) for each in (fork.axle_to_crown, fork.offset, fork.travel)] == [float] * 3
    with pytest.raises(InvalidInput, match="offset"):
        Fork(axle_to_crown=500.0, offset="long")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("turn", "x", "y", "expected"),
    [
        (90.0, 1.0, 0.0, (0.0, 1.0)),
        (90.0, 0.0, 1.0, (-1.0, 0.0)),
        (-90.0, 0.0, 1.0, (1.0, 0.0)),
        (30.0, 2.0, 0.0, (math.sqrt(3.0), 1.0)),
    ],
)
def test_a_positive_turn_lifts_the_front(
    turn: float, x: float, y: float, expected: tuple[float, float]
) -> None:
    assert rotate(x, y, cosine=cos(turn), sine=sin(turn)) == pytest.approx(expected)
