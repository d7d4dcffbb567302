"""Lengths and masses as people type them."""

from __future__ import annotations

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.common.errors import Invalid
from webapp.common.text import units


def stature(text: str) -> float:
    return units.length_mm(text, field="stature", low=1200, high=2200)


def mass(text: str) -> float:
    return units.mass_kg(text, field="mass", low=30, high=200)


# Inch and pound by definition (international agreement of 1959): 25.4 mm, 0.45359237 kg.
@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("5 ft 7", 1701.8),
        ("5 7", 1701.8),
        ("5-7", 1701.8),
        ("5 - 7", 1701.8),
        ("5 foot 7", 1701.8),
        ("1m70", 1700),
        ("1 m 70", 1700),
        ("1 m 70 cm", 1700),
        ("1 700 mm", 1700),
        ("~170", 1700),
        ("about 170 cm", 1700),
        ("5 ft 7 in", 1701.8),
        ("5ft7in", 1701.8),
        ("5 feet 7 inches", 1701.8),
        ("5'7\"", 1701.8),
        ("5′7″", 1701.8),
        ("5’ 7”", 1701.8),
        ("5' 7 1/2\"", 1714.5),
        ("5'7½", 1714.5),
        ("6 ft", 1828.8),
        ("5.5 ft", 1676.4),
        ("67", 1701.8),
        ("67 in", 1701.8),
        ('67"', 1701.8),
        ("67 1/2 in", 1714.5),
        ("67-1/2 in", 1714.5),
        ("67.5in", 1714.5),
        ("170", 1700),
        ("172cm", 1720),
        ("172,5 cm", 1725),
        ("1720 mm", 1720),
        ("1,720 mm", 1720),
        ("1720", 1720),
        ("1.70 m", 1700),
        ("1,70 m", 1700),
        ("1.7", 1700),
        ("1.720", 1720),
        ("  1.70  M. ", 1700),
        ("1.70 metres", 1700),
    ],
)
def test_a_stature_reads_as_it_is_meant(text: str, mm: float) -> None:
    assert stature(text) == mm


@pytest.mark.parametrize("text", ["5.8", "5,8", " 5.11 "])
def test_feet_and_inches_written_as_a_decimal_are_asked_back(text: str) -> None:
    with pytest.raises(Invalid) as caught:
        stature(text)
    assert "do you mean 5 ft " in caught.value.remedy


@pytest.mark.parametrize(
    "text",
    ["nan", "inf", "-170", "+170", "1e3", "tall", "5 ft 13", "5 st 7", "67 3/2 in", "67 1/0 in",
     "١٧٠", "１７０", "1700 furlong", "17 0", "5'7\"3", "1.2.3", "1,7.0", "9" * 400, "170kg",
     "0x10", "\x00", "170\u0661", "\ud800"],
)  # fmt: skip
def test_what_cannot_be_read_says_so(text: str) -> None:
    with pytest.raises(Invalid) as caught:
        stature(text)
    assert caught.value.field == "stature"
    assert caught.value.value == text
    assert "write a length from 1200 to 2200 mm (120 to 220 cm, 47.2 to 86.6 in)" in (
        caught.value.remedy
    )


@pytest.mark.parametrize("text", ["", "   ", "\t", "0", "20", "9999999", "3 m", "5 mm", "12 ft"])
def test_empty_and_out_of_range_say_what_is_right(text: str) -> None:
    with pytest.raises(Invalid, match="write a length from 1200 to 2200 mm"):
        stature(text)


def test_limits_belong_to_the_range() -> None:
    assert (stature("1200"), stature("220 cm")) == (1200, 2200)
    for outside in ("1199.9", "220.01 cm"):
        with pytest.raises(Invalid):
            stature(outside)


def test_a_bare_number_with_two_readings_asks_for_its_unit() -> None:
    def stem(text: str, prefer: units.LengthUnit | None = None) -> float:
        return units.length_mm(text, field="stem", low=20, high=150, prefer=prefer)

    with pytest.raises(Invalid, match="more than one unit; add mm, cm or in"):
        stem("5")
    assert stem("5", "in") == 127
    assert stem("5", "cm") == 50
    assert stem("40") == 40


@pytest.mark.parametrize(
    ("text", "kg"),
    [
        ("75 kg", 75),
        ("75kg", 75),
        ("75,5 kg", 75.5),
        ("165 lb", 74.842741),
        ("165 lbs", 74.842741),
        ("165 pounds", 74.842741),
        ("11 st 4", 71.667594),
        ("11 st 4 lb", 71.667594),
        ("11st 4lbs", 71.667594),
        ("11 stone", 69.853225),
        ("250", 113.398093),
        ("45", 45),
    ],
)
def test_a_mass_reads_as_it_is_meant(text: str, kg: float) -> None:
    assert mass(text) == pytest.approx(kg, abs=5e-7)


def test_a_mass_that_could_be_either_asks() -> None:
    with pytest.raises(Invalid, match="add kg or lb"):
        mass("150")
    assert units.mass_kg("150", field="mass", low=30, high=200, prefer="lb") == pytest.approx(
        68.0388555
    )


@pytest.mark.parametrize("text", ["", "nan", "-75", "75 mm", "11 ft 4", "11 st 14", "1000 kg"])
def test_a_mass_that_is_none(text: str) -> None:
    with pytest.raises(Invalid, match=r"a mass from 30 to 200 kg \(66 to 441 lb\)"):
        mass(text)


@given(st.text(max_size=60))
def test_any_text_gives_a_length_in_range_or_a_clear_error(text: str) -> None:
    with contextlib.suppress(Invalid):
        assert 1200 <= stature(text) <= 2200


@given(st.integers(12000, 22000), st.sampled_from(["mm", "cm", "in"]))
def test_what_is_shown_reads_back(tenths: int, unit: units.LengthUnit) -> None:
    shown = units.format_length(tenths / 10, unit, 3)
    back = units.length_mm(shown, field="stature", low=1190, high=2210)
    assert back == pytest.approx(tenths / 10, abs=0.013)  # half of 0.001 in, in mm


def test_numbers_carry_a_true_minus_and_no_minus_zero() -> None:
    assert units.number(-0.01) == "0.0"
    assert units.with_unit(units.number(-2.25, 2), "°") == "−2.25°"
    assert units.format_length(-4.0) == "−4.0 mm"
