"""Money: exact, of one currency, rounded as stated."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.common.text.money import EXPONENTS, Money, total

amounts = st.builds(Money, st.integers(-(10**11), 10**11), st.sampled_from(sorted(EXPONENTS)))


@pytest.mark.parametrize(
    ("minor", "currency", "shown"),
    [
        (0, "EUR", "0.00 EUR"),
        (5, "EUR", "0.05 EUR"),
        (-5, "EUR", "-0.05 EUR"),
        (123456789, "GBP", "1,234,567.89 GBP"),
        (1200, "JPY", "1,200 JPY"),
        (1234, "KWD", "1.234 KWD"),
    ],
)
def test_format_shows_all_decimals_of_the_currency(minor: int, currency: str, shown: str) -> None:
    assert Money(minor, currency).format() == shown


@given(amounts)
def test_what_is_shown_reads_back(amount: Money) -> None:
    text, currency = amount.format().split()
    assert Money.parse(text, currency) == amount


@pytest.mark.parametrize("text", ["", "12.345", "1,23.00", "nan", "1e3", "--1", "1 000", "١٢"])
def test_parse_refuses_what_is_no_amount(text: str) -> None:
    with pytest.raises(ValueError, match="not an amount"):
        Money.parse(text, "EUR")


@pytest.mark.parametrize(
    ("minor", "part", "share"),
    [
        (1, Fraction(1, 2), 1),  # half a cent goes up
        (-1, Fraction(1, 2), -1),  # and away from zero for a refund
        (3, Fraction(1, 2), 2),  # not to the even cent
        (1000, Fraction(19, 100), 190),
        (1050, Fraction(19, 100), 200),  # 199.5
        (1049, Fraction(19, 100), 199),  # 199.31
        (7, Fraction(0), 0),
    ],
)
def test_share_rounds_half_up(minor: int, part: Fraction, share: int) -> None:
    assert Money(minor, "EUR").share(part) == Money(share, "EUR")


@given(amounts, st.fractions(0, 2, max_denominator=10_000))
def test_share_is_within_half_a_minor_unit_and_mirrors(amount: Money, part: Fraction) -> None:
    share = amount.share(part)
    assert abs(share.minor - amount.minor * part) <= Fraction(1, 2)
    assert (-amount).share(part) == -share


def test_a_deposit_and_its_rest_make_the_whole() -> None:
    price = Money(333333, "EUR")
    deposit = price.share(Fraction(1, 3))
    assert deposit + (price - deposit) == price


def test_currencies_do_not_mix() -> None:
    euro, pound = Money(1, "EUR"), Money(1, "GBP")
    for mix in (lambda: euro + pound, lambda: euro - pound, lambda: euro < pound):
        with pytest.raises(ValueError, match="cannot mix EUR and GBP"):
            mix()


def test_order_within_one_currency() -> None:
    assert Money(1, "EUR") < Money(2, "EUR") <= Money(2, "EUR")


@pytest.mark.parametrize("minor", [1.5, True, "1"])
def test_only_whole_minor_units(minor: object) -> None:
    with pytest.raises(TypeError, match="whole"):
        Money(minor, "EUR")  # type: ignore[arg-type]


def test_no_float_slips_in() -> None:
    with pytest.raises(TypeError, match="whole numbers"):
        Money(100, "EUR") * 0.19  # type: ignore[operator]
    with pytest.raises(TypeError, match="Fraction"):
        Money(100, "EUR").share(0.19)  # type: ignore[arg-type]


def test_unknown_currency() -> None:
    with pytest.raises(ValueError, match="'XXX' is not one of"):
        Money(1, "XXX")


def test_total_of_nothing_is_zero() -> None:
    assert total([], "EUR") == Money(0, "EUR")
