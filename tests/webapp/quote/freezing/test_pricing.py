"""The price of a deal: every printed sum is the sum of what is printed above it."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.catalogue.schema.shop import Destination
from webapp.common.errors import Invalid
from webapp.common.text.money import Money
from webapp.quote.agreed_terms.deal import ADDED_LINES, Added, Deal, Off, TradedIn, fields_of
from webapp.quote.agreed_terms.deal_form import read_deal
from webapp.quote.freezing.content import ListLine, PriceBasis, Pricing, Total
from webapp.quote.freezing.pricing import dealt_price

KEYS = ("frame", "fork", "saddle")
EU = Destination(slug="eu", name="Near", tax_name="VAT there", tax_percent=Decimal(21))
ABROAD = Destination(
    slug="abroad", name="Far", tax_name="VAT", tax_percent=Decimal(0), tax_included=False
)
PERCENTS = st.integers(0, 10_000).map(lambda hundredths: Decimal(hundredths) / 100)
OFFS = st.one_of(
    PERCENTS.map(lambda p: Off(percent=p, reason="rain")),
    st.integers(0, 50_000).map(lambda m: Off(minor=m, reason="rain")),
)


ADDEDS = st.builds(
    Added,
    words=st.sampled_from(["Rack painted", "#panic()", "<b>Spokes</b>", "7 × 9"]),
    minor=st.integers(0, 50_000),
    count=st.integers(1, 99),
)
TRADED_IN = st.builds(
    TradedIn, words=st.sampled_from(["Old bike", "7 × 9"]), minor=st.integers(0, 1_000)
)


@st.composite
def deals(draw: st.DrawFn) -> Deal:
    """Deals whose discounts are never larger than what they are given on."""
    offs = {key: draw(st.none() | OFFS) for key in KEYS}
    return Deal(
        quantity=draw(st.integers(1, 5)),
        lines=tuple((key, off) for key, off in offs.items() if off),
        added=tuple((key, draw(ADDEDS)) for key in ADDED_LINES if draw(st.booleans())),
        whole=draw(st.none() | PERCENTS.map(lambda p: Off(percent=p, reason="rain"))),
        delivery_minor=draw(st.integers(0, 100_000)),
        deposit_percent=draw(st.none() | PERCENTS),
        traded_in=draw(st.none() | TRADED_IN),
    )


def basis(
    prices: tuple[int, ...] = (149_000, 64_900, 7_900), *, included: bool = True
) -> PriceBasis:
    lines = tuple(
        ListLine(key=key, place=key, item=key, minor=minor)
        for key, minor in zip(KEYS, prices, strict=True)
    )
    return PriceBasis(
        price_list="Prices", currency="EUR", lines=lines, tax_included=included, tax_name="VAT",
        tax_percent="19", deposit_percent="30",
    )  # fmt: skip


def minor_of(printed: str) -> int:
    return Money.parse(printed.removesuffix(" EUR").replace("−", "-"), "EUR").minor


def check_sums(price: Pricing) -> None:
    """What stands above the total adds up to it, to the cent."""
    assert price.net.minor + price.tax.minor == price.gross.minor
    lines = sum(line.amount.minor for line in price.lines)
    aside = [t for t in price.totals if t.label.startswith(("Discount", "Delivery"))]
    listed = lines + sum(minor_of(t.amount) for t in aside)
    assert listed == (price.gross.minor if price.tax_included else price.net.minor)
    assert minor_of(next(t.amount for t in price.totals if t.main)) == price.gross.minor
    assert price.to_pay is not None
    for amount in (price.net, price.tax, price.gross, price.deposit, price.to_pay):
        assert minor_of(amount.printed) == amount.minor
    share = Fraction(price.tax_percent) / 100
    exact = price.gross.minor * share / (1 + share) if price.tax_included else listed * share
    assert abs(price.tax.minor - exact) <= Fraction(1, 2)


@given(
    st.tuples(*[st.integers(50_000, 10**7)] * 3), deals(), st.sampled_from([None, EU, ABROAD]),
    st.booleans(),
)  # fmt: skip
def test_totals_equal_sums_and_no_cent_is_lost(
    prices: tuple[int, int, int], deal: Deal, destination: Destination | None, included: bool
) -> None:
    check_sums(dealt_price(basis(prices, included=included), deal, destination))


@given(deals())
def test_a_deal_survives_its_form(deal: Deal) -> None:
    again = read_deal(
        fields_of(deal, "EUR"), currency="EUR", lines=KEYS, places=(EU,),
        today=date(2026, 3, 2),
    )  # fmt: skip
    dear = basis((50_000, 50_000, 50_000))  # no discount drawn is larger
    assert dealt_price(dear, again, None) == dealt_price(dear, deal, None)


@pytest.mark.parametrize("typed", ["0", "100", "0001999", "9" * 5000, "²", "-1", "1.5"])
def test_a_quantity_beyond_reason_is_refused(typed: str) -> None:
    with pytest.raises(Invalid, match="a whole number from 1 to 99"):
        read_deal(
            {"quantity": typed}, currency="EUR", lines=KEYS, places=(),
            today=date(2026, 3, 2),
        )  # fmt: skip


def test_without_a_deal_the_price_is_the_lists() -> None:
    price = dealt_price(basis(), Deal(), None)
    assert [line.amount.minor for line in price.lines] == [149_000, 64_900, 7_900]
    assert [(t.label, t.amount) for t in price.totals] == [
        ("Total", "2,218.00 EUR"),
        ("of which VAT 19 %", "354.13 EUR"),
        ("Deposit when ordering, 30 %", "665.40 EUR"),
    ]


def test_the_same_price_with_the_tax_of_the_destination() -> None:
    """The customer pays what is listed; 21/121 of it is tax there."""
    price = dealt_price(basis(), Deal(destination="eu"), EU)
    assert price.gross.minor == 221_800
    assert price.tax.minor == round(221_800 * 21 / 121)


def test_an_export_is_without_home_tax() -> None:
    price = dealt_price(basis(), Deal(destination="abroad"), ABROAD)
    assert [line.amount.minor for line in price.lines] == [125_210, 54_538, 6_639]
    assert (price.tax.minor, price.gross.minor) == (0, 186_387)


@pytest.mark.parametrize(
    ("deal", "field"),
    [
        (Deal(whole=Off(minor=999_999, reason="x")), "discount"),
        (Deal(lines=(("fork", Off(minor=64_901, reason="x")),)), "off_fork"),
    ],
)
def test_no_discount_is_larger_than_what_it_is_given_on(deal: Deal, field: str) -> None:
    with pytest.raises(Invalid) as refused:
        dealt_price(basis(), deal, None)
    assert refused.value.field == field


def test_a_total_kept_as_print_alone_has_its_number_too() -> None:
    """As quotes were kept before the numbers stood beside the print."""
    for printed, minor in (("2,218.00 EUR", 221_800), ("−0.05 EUR", -5), ("1,200 JPY", 1_200)):
        total = Total.model_validate({"label": "Total", "amount": printed, "main": True})
        assert (total.amount, total.money.printed, total.money.minor) == (printed, printed, minor)
        assert total.money.figure == printed.rpartition(" ")[0]
        assert Total.model_validate(total.model_dump()) == total
