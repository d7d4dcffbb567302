"""What a tape reads: slopes against differences, kinds and lengths that are refused."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.core import FloatArray, InvalidInput
from geometry.position import KINDS, UNKNOWNS, Measured
from geometry.position.tape import expected, slopes

BIKE = np.array([310.0, -200.0, 700.0, 430.0, 690.0, -430.0, 760.0, 365.0, 370.0])


@st.composite
def bikes(draw: st.DrawFn) -> FloatArray:
    """Bikes as far from the ordinary one as bikes are."""
    return np.asarray(BIKE + np.array([draw(st.floats(-60, 60)) for _ in UNKNOWNS]))


@pytest.mark.parametrize("kind", KINDS)
@given(bike=bikes())
def test_slopes_are_what_differences_say(kind: str, bike: FloatArray) -> None:
    found = slopes(kind, bike)
    for at in range(len(UNKNOWNS)):
        step = np.zeros(len(UNKNOWNS))
        step[at] = 1e-3
        difference = (expected(kind, bike + step) - expected(kind, bike - step)) / 2e-3
        assert found[at] == pytest.approx(difference, abs=1e-6)


@pytest.mark.parametrize(
    ("given_", "field"),
    [
        ({"kind": "bb_to_moon", "value": 700}, "kind"),
        ({"kind": "wheelbase", "value": 0}, "value"),
        ({"kind": "wheelbase", "value": -3}, "value"),
        ({"kind": "wheelbase", "value": float("nan")}, "value"),
        ({"kind": "wheelbase", "value": 9000}, "value"),
        ({"kind": "wheelbase", "value": 1180, "spread": -1}, "spread"),
    ],
)
def test_what_is_no_measurement_is_refused(given_: dict[str, float], field: str) -> None:
    with pytest.raises(InvalidInput) as error:
        Measured(**given_)  # type: ignore[arg-type]  # wrong on purpose
    assert error.value.field == field


def test_a_saddle_may_stand_ahead_of_the_bb() -> None:
    assert Measured(kind="saddle_behind_bb", value=-20.0).value == -20.0
