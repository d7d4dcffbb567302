"""Amounts and percentages as people type them, in the ways of several countries.

Which signs group and which part decimals is common practice of the countries; that point
and comma both are decimal signs stands in ISO 80000-1:2022, section 7.3 [M].
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from babel.numbers import format_decimal
from hypothesis import given
from hypothesis import strategies as st

from webapp.common.errors import Invalid
from webapp.common.text.money import EXPONENTS, Money
from webapp.common.text.typed_numbers import read_amount, read_either, read_percent

LOCALES = ("en_GB", "de_DE", "fr_FR", "de_CH", "pl_PL", "nb_NO", "da_DK", "it_IT")


@given(
    minor=st.integers(0, 10**9),
    locale=st.sampled_from(LOCALES),
    currency=st.sampled_from([code for code, places in EXPONENTS.items() if places == 2]),
    named=st.sampled_from(["{}", "{} {code}", "{code} {}", "{}{code}"]),
)
def test_amounts_as_eight_countries_write_them_are_read(
    minor: int, locale: str, currency: str, named: str
) -> None:
    """Babel writes them from the Unicode CLDR, the open data on how countries write numbers."""
    written = format_decimal(Decimal(minor) / 100, format="#,##0.00", locale=locale)
    typed = named.format(written, code=currency)
    assert read_amount("price", typed, currency) == Money(minor, currency)


@pytest.mark.parametrize(
    ("typed", "minor"),
    [
        ("45", 4_500), ("45,-", 4_500), ("45.–", 4_500), ("€45", 4_500), ("45€", 4_500),
        ("eur 45", 4_500), ("1250", 125_000), ("1'250.50", 125_050), ("1 250,5", 125_050),
        ("1.250.000", 125_000_000), ("0,5", 50), ("007", 700),
    ],
)  # fmt: skip
def test_other_habits_are_read(typed: str, minor: int) -> None:
    assert read_amount("price", typed, "EUR").minor == minor


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("1.250", "if it is 1250.00, write it so"), ("9,999", "if it is 9999.00"),
        ("0.250", "an amount such as"), ("12.50 USD", "an amount in EUR"),
        ("$ 12", "an amount in EUR"), ("12,50,00", "an amount such as"),
        ("1,25.000", "an amount such as"), ("-5", "an amount such as"),
        ("five", "an amount such as"), ("EUR 5 EUR", "an amount such as"),
        ("5 apples", "an amount such as"), ("1e5", "an amount such as"),
        ("5 %", "an amount such as"), ("٣", "an amount such as"), ("9" * 500, "an amount such as"),
    ],
)  # fmt: skip
def test_what_has_no_single_reading_is_asked_back(typed: str, words: str) -> None:
    with pytest.raises(Invalid) as refused:
        read_amount("price", typed, "EUR")
    assert words in refused.value.problems[0].remedy


@pytest.mark.parametrize(("typed", "percent"), [("5 %", "5"), ("7,5%", "7.5"), ("5 per cent", "5")])
def test_percentages_are_read(typed: str, percent: str) -> None:
    assert read_percent("off", typed) == read_either("off", typed, "EUR") == Decimal(percent)


@pytest.mark.parametrize("typed", ["100,01 %", "-1 %", "5,125 %", "%", "NaN %", "5 % 5 %"])
def test_what_is_no_percentage_is_refused(typed: str) -> None:
    with pytest.raises(Invalid):
        read_either("off", typed, "EUR")


def test_a_bare_number_that_could_be_both_is_asked_back() -> None:
    for typed in ("5", "7,5", "100"):
        with pytest.raises(Invalid, match="Type the sign beside the number"):
            read_either("off", typed, "EUR")
    for typed, minor in (("5.00", 500), ("101", 10_100), ("5 EUR", 500), ("0", 0)):
        assert read_either("off", typed, "EUR") == Money(minor, "EUR")
