"""Sums against published invoices and tax guides, and laws that hold for any amounts.

[R] The example invoices of CEN/TC 434, published with the validation artefacts of
EN 16931 (ubl-tc434-example1.xml and -example2.xml, release 1.3); every amount is
as printed there. BR-CO and BR-S rules are of EN 16931-1:2017.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.common.errors import Invalid
from webapp.common.text.money import Money, total
from webapp.pricing.sums import Discount, line_total, reckon, without_home_tax


def nok(text: str) -> Money:
    return Money.parse(text, "NOK")


def percent(rate: float | str) -> Fraction:
    return Fraction(str(rate)) / 100


def test_an_invoice_with_allowance_charge_and_three_rates() -> None:
    """[R] CEN/TC 434 example 2: 365.125 becomes 365.13, so half goes up."""
    lines = [
        (line_total(nok("1273.00")), percent(25)),
        (nok("-3.96"), percent(15)),
        (line_total(nok("2.48"), quantity=2), percent(15)),
        (nok("-25.00"), percent(0)),
        (line_total(nok("0.75"), quantity=250), percent(25)),
    ]
    assert total([amount for amount, _ in lines], "NOK") == nok("1436.50")
    beside = [(nok("-100.00"), percent(25)), (nok("100.00"), percent(25))]
    bill = reckon(lines + beside, "NOK", tax_included=False)
    assert [(s.rate, s.net, s.tax) for s in bill.by_rate] == [
        (percent(25), nok("1460.50"), nok("365.13")),
        (percent(15), nok("1.00"), nok("0.15")),
        (percent(0), nok("-25.00"), nok("0.00")),
    ]
    assert (bill.net, bill.tax, bill.gross) == (nok("1436.50"), nok("365.28"), nok("1801.78"))
    assert bill.gross - nok("1000.00") == nok("801.78")  # prepaid and payable


def test_an_invoice_of_two_rates() -> None:
    """[R] CEN/TC 434 example 1: the sums at each rate and their tax."""
    sums = [(Money(18323, "EUR"), percent(6)), (Money(4637, "EUR"), percent(21))]
    bill = reckon(sums, "EUR", tax_included=False)
    assert [s.tax.minor for s in bill.by_rate] == [974, 1099]
    assert (bill.net.minor, bill.tax.minor, bill.gross.minor) == (22960, 2073, 25033)


@pytest.mark.parametrize(
    ("price", "quantity", "line"),
    [("9.95", 2, "19.90"), ("4.79", 3, "14.37"), ("7.23", 2, "14.46")],
)
def test_lines_of_the_example(price: str, quantity: int, line: str) -> None:
    """[R] CEN/TC 434 example 1, lines 1, 9 and 4."""
    assert line_total(nok(price), quantity=quantity) == nok(line)


@pytest.mark.parametrize(
    ("rate", "fraction"), [("20", (1, 6)), ("5", (1, 21)), ("17.5", (7, 47)), ("15", (3, 23))]
)
def test_the_tax_in_a_price_is_its_vat_fraction(rate: str, fraction: tuple[int, int]) -> None:
    """[E] VAT fractions as HM Revenue & Customs states them (VAT guide, Notice 700; 7/47 and
    3/23 for the rates of 17.5 and 15 in a hundred, Notice 727)."""
    share = Fraction(*fraction)
    for minor in (100, 999, 123_456):
        bill = reckon([(Money(minor, "GBP"), percent(rate))], "GBP", tax_included=True)
        assert bill.gross.minor == minor
        assert bill.tax == Money(minor, "GBP").share(share)


AMOUNTS = st.integers(-(10**9), 10**9).map(lambda minor: Money(minor, "EUR"))
RATES = st.sampled_from([percent(r) for r in ("0", "5", "7", "7.7", "19", "20", "25.5")])


@given(st.lists(st.tuples(AMOUNTS, RATES), max_size=12), st.booleans())
def test_no_cent_is_lost(amounts: list[tuple[Money, Fraction]], included: bool) -> None:
    bill = reckon(amounts, "EUR", tax_included=included)
    assert bill.net + bill.tax == bill.gross
    assert bill.listed == total([amount for amount, _ in amounts], "EUR")
    assert bill.listed == (bill.gross if included else bill.net)
    assert total([each.tax for each in bill.by_rate], "EUR") == bill.tax
    assert all(each.net + each.tax == each.gross for each in bill.by_rate)


@given(st.lists(AMOUNTS, min_size=1, max_size=12), RATES)
def test_tax_once_on_the_sum_is_within_half_a_cent(amounts: list[Money], rate: Fraction) -> None:
    bill = reckon([(amount, rate) for amount in amounts], "EUR", tax_included=False)
    assert abs(bill.tax.minor - bill.net.minor * rate) <= Fraction(1, 2)


@given(st.lists(st.tuples(AMOUNTS, RATES), max_size=8), st.booleans())
def test_order_does_not_matter_and_a_refund_mirrors(
    amounts: list[tuple[Money, Fraction]], included: bool
) -> None:
    bill = reckon(amounts, "EUR", tax_included=included)
    assert reckon(amounts[::-1], "EUR", tax_included=included) == bill
    back = reckon([(-a, r) for a, r in amounts], "EUR", tax_included=included)
    assert (back.net, back.tax, back.gross) == (-bill.net, -bill.tax, -bill.gross)


@given(st.integers(0, 10**9), st.integers(1, 50), st.integers(0, 100))
def test_a_discount_and_what_is_left_are_the_whole(minor: int, quantity: int, part: int) -> None:
    price, discount = Money(minor, "EUR"), Discount(part=percent(part))
    whole = line_total(price, quantity=quantity)
    left = line_total(price, quantity=quantity, discount=discount)
    assert left + discount.off(whole) == whole
    assert 0 <= left.minor <= whole.minor


@given(st.integers(0, 10**9), RATES)
def test_home_tax_taken_out_and_put_back_is_within_a_cent(minor: int, rate: Fraction) -> None:
    amount = Money(minor, "EUR")
    net = without_home_tax(amount, rate)
    assert abs((net + net.share(rate) - amount).minor) <= 1


def test_discounts_that_cannot_be() -> None:
    euro = Money(100, "EUR")
    for bad in (
        {},
        {"part": Fraction(1, 2), "amount": euro},
        {"part": Fraction(-1, 100)},
        {"part": Fraction(101, 100)},
        {"amount": -euro},
    ):
        with pytest.raises(Invalid):
            Discount(**bad)
    with pytest.raises(Invalid) as refused:
        Discount(part=Fraction(125, 100))
    assert refused.value.value == 125.0
    with pytest.raises(Invalid, match=r"at most 1\.00 EUR"):
        Discount(amount=euro * 2).off(euro)
    assert Discount(amount=euro).off(euro) == euro
    for nothing in (Discount(amount=euro * 0), Discount(part=Fraction(0))):
        assert nothing.off(euro) == euro * 0


def test_nothing_costs_nothing() -> None:
    bill = reckon([], "JPY", tax_included=True)
    assert bill.gross == Money(0, "JPY")
    assert bill.by_rate == ()
