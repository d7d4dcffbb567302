"""Wheel radii from tyre markings."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.bike.remedies import TyreMarking
from geometry.bike.wheels import measured_width, radius, read_marking, section_height
from geometry.core import MoreThan
from geometry.core.errors import InvalidInput


# [E] ISO 5775: outside diameter = rim diameter + 2 × section height.
@pytest.mark.parametrize(
    ("marking", "diameter"), [("60-622", 742), ("57-584", 698), ("71-622", 764)]
)
def test_outside_diameters(marking: str, diameter: float) -> None:
    width, rim = read_marking(marking)
    assert 2 * radius(nominal_width=width, bead_seat_diameter=rim) == diameter


# [E] below 28 mm the section stands 2.5 mm higher than its nominal width.
@pytest.mark.parametrize(
    ("width", "height"), [(20, 22.5), (27.9, 30.4), (28, 28), (28.1, 28.1), (76, 76)]
)
def test_section_heights_on_both_sides_of_28(width: float, height: float) -> None:
    assert section_height(width) == pytest.approx(height)


def test_nominal_rim_diameters_are_read() -> None:
    # [E] ISO 5775 bead-seat diameters.
    for diameter in (622, 584, 571, 559):
        assert read_marking(f"57-{diameter}") == (57.0, diameter)


@given(st.floats(20, 130).map(lambda w: round(w, 1)), st.sampled_from([622, 584, 571, 559]))
def test_markings_read_back(width: float, diameter: int) -> None:
    written = f"{width:g}-{diameter}"
    assert read_marking(f"  {written} ") == (float(f"{width:g}"), diameter)


@pytest.mark.parametrize(
    "marking", ["", "622", "29x2.6", "71-62", "7-622", "71/622", "71-622-1", "٧١-٦٢٢", "-71-622"]
)
def test_other_text_is_refused(marking: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        read_marking(marking)
    assert (caught.value.field, caught.value.value) == ("marking", marking)
    assert caught.value.remedy == TyreMarking()


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
@pytest.mark.parametrize("field", ["nominal_width", "bead_seat_diameter"])
def test_unusable_sizes_are_refused(field: str, value: float) -> None:
    given = {"nominal_width": 60.0, "bead_seat_diameter": 622.0, field: value}
    with pytest.raises(InvalidInput) as caught:
        radius(**given)
    assert caught.value.field == field


def test_width_follows_the_rim() -> None:
    # [E] about 0.4 mm of width per mm of inner rim width.
    assert measured_width(60.0, measured_on=30.0, rim_inner_width=40.0) == pytest.approx(64.0)
    assert measured_width(60.0, measured_on=30.0, rim_inner_width=30.0) == 60.0
    found = measured_width(np.array([57.0, 60.0]), measured_on=30.0, rim_inner_width=25.0)
    np.testing.assert_allclose(found, [55.0, 58.0])


def test_half_a_millimetre_is_a_size_and_nothing_is_none() -> None:
    assert radius(nominal_width=0.5, bead_seat_diameter=0.5) == 0.25 + 0.5 + 2.5
    with pytest.raises(InvalidInput) as caught:
        radius(nominal_width=0.0, bead_seat_diameter=622.0)
    assert caught.value.remedy == MoreThan(bound=0.0, unit="mm")
