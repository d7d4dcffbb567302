"""Everything that can be agreed at once, against plain decimal arithmetic written a second time.

Several bikes, discounts on lines and on the whole by amount or per cent, lines of one's own and
delivery at rates of their own, parts the customer brings, a country with another tax, something
given in payment, a deposit by share or amount. `by_hand` knows nothing of the engine: it uses
`decimal`, rounded half up to the cent, lines before sums, tax once for each rate
(EN 16931-1:2017, BR-CO-10 to BR-CO-17 and BR-S-08 [E]).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal, localcontext

import pytest
from hypothesis import event, given
from hypothesis import strategies as st

from webapp.catalogue.schema.shop import Destination
from webapp.common.errors import Invalid
from webapp.quote.agreed_terms.deal import ADDED_LINES, Added, Deal, Off, TradedIn
from webapp.quote.freezing.bikes import bike_of, key_of, one_basis
from webapp.quote.freezing.content import ListLine, PriceBasis
from webapp.quote.freezing.pricing import dealt_price

CENT = Decimal("0.01")
RATES = st.sampled_from([Decimal(r) for r in ("0", "5", "7.7", "19", "25.5")])
PERCENTS = st.integers(0, 10_000).map(lambda hundredths: Decimal(hundredths) / 100)
MINOR = st.integers(0, 200_000)
HOME = "19"


@dataclass(frozen=True)
class Given:
    """A deal on some bikes: list prices of each bike, and what is agreed."""

    bikes: tuple[tuple[int, ...], ...]
    deal: Deal
    abroad: Destination | None
    included: bool


@st.composite
def deals(draw: st.DrawFn) -> Given:
    """Any deal on one to three bikes; a price of 0 is a part the customer brings."""
    price = st.one_of(st.just(0), MINOR)
    bikes = draw(st.lists(st.lists(price, min_size=1, max_size=4), min_size=1, max_size=3))
    listed = {key_of(n, str(at)): minor for n, bike in enumerate(bikes, start=1)
              for at, minor in enumerate(bike)}  # fmt: skip
    abroad = draw(st.none() | st.builds(_place, percent=RATES, included=st.booleans()))
    own = st.none() if abroad else st.none() | RATES
    added = st.builds(Added, words=st.just("w"), minor=MINOR, count=st.integers(1, 9),
                      tax_percent=own)  # fmt: skip
    extra = draw(st.lists(added, max_size=3))
    deal = Deal(
        quantity=1 if len(bikes) > 1 else draw(st.integers(1, 5)),
        lines=tuple((key, off) for key, minor in listed.items() if (off := draw(_off(minor)))),
        added=tuple(zip(ADDED_LINES, extra, strict=False)),
        whole=draw(_off(max(listed.values()))),
        delivery_minor=draw(MINOR),
        delivery_tax_percent=draw(own),
        traded_in=draw(st.none() | st.builds(TradedIn, words=st.just("w"), minor=MINOR)),
        deposit_minor=(amount := draw(st.none() | MINOR)),
        deposit_percent=None if amount is not None else draw(st.none() | PERCENTS),
    )
    bikes_given = tuple(map(tuple, bikes))
    return Given(bikes=bikes_given, deal=deal, abroad=abroad, included=draw(st.booleans()))


def _off(minor: int) -> st.SearchStrategy[Off | None]:
    """Nothing, a percentage, or an amount that is seldom more than there is."""
    amounts = st.integers(0, minor + minor // 20)
    return st.none() | st.builds(Off, percent=PERCENTS) | st.builds(Off, minor=amounts)


def _place(*, percent: Decimal, included: bool) -> Destination:
    return Destination(
        slug="away", name="Away", tax_name="Tax", tax_percent=percent, tax_included=included
    )


@given(deals())
def test_every_amount_of_any_deal_is_that_of_plain_arithmetic(case: Given) -> None:
    expected = by_hand(case)
    if expected is None:
        with pytest.raises(Invalid) as refused:
            dealt_price(basis(case), case.deal, case.abroad)
        event(f"refused: {refused.value.problems[0].field}")
        return
    found = dealt_price(basis(case), case.deal, case.abroad)
    event(f"{len(case.bikes)} bikes, {len(expected.rates)} rates")
    amounts = (found.net, found.tax, found.gross, found.to_pay or found.gross, found.deposit)
    assert tuple(Decimal(each.minor) * CENT for each in amounts) == (
        expected.net, expected.tax, expected.gross, expected.to_pay, expected.deposit,
    )  # fmt: skip
    assert sum(line.amount.minor for line in found.lines) * CENT == expected.listed
    # Printed totals tell the same, and each rate's tax is among them.
    printed = [total.money.minor * CENT for total in found.totals]
    assert expected.gross in printed
    if not any(expected.rates):
        return
    assert all(tax in printed for tax in expected.taxes)


def basis(case: Given) -> PriceBasis:
    return one_basis(
        [
            PriceBasis(
                price_list="List", currency="EUR", tax_included=case.included, tax_name="VAT",
                tax_percent=HOME, deposit_percent="30",
                lines=tuple(
                    ListLine(key=str(at), place="Place", item="item", minor=minor)
                    for at, minor in enumerate(bike)
                ),
            )
            for bike in case.bikes
        ]
    )  # fmt: skip


@dataclass(frozen=True)
class Sums:
    """What a deal comes to."""

    listed: Decimal
    rates: list[Decimal]
    taxes: list[Decimal]
    net: Decimal
    tax: Decimal
    gross: Decimal
    to_pay: Decimal
    deposit: Decimal


def rounded(amount: Decimal) -> Decimal:
    return amount.quantize(CENT, ROUND_HALF_UP)


class Refused(Exception):
    """More is taken off, given in payment or asked than there is."""


def by_hand(case: Given) -> Sums | None:
    """The sums of a deal; None for one that cannot be."""
    with localcontext(Context(prec=60)):
        try:
            return Reckoned(case).sums()
        except Refused:
            return None


class Reckoned:
    """One deal, reckoned step by step."""

    def __init__(self, case: Given) -> None:
        place = case.abroad
        self.case, self.deal = case, case.deal
        self.due = place.tax_percent if place else Decimal(HOME)
        self.included = case.included and (place is None or place.tax_included)
        # Where prices include home tax and the other country's do not, home tax goes first.
        self.out = case.included and not self.included

    def here(self, minor: int) -> Decimal:
        amount = minor * CENT
        return amount - rounded(amount * 19 / 119) if self.out else amount

    def off(self, given: Off | None, sum_: Decimal) -> Decimal:
        if given is None:
            return Decimal(0)
        if given.percent is not None:
            return rounded(sum_ * given.percent / 100)
        if self.here(given.minor or 0) > sum_:
            raise Refused
        return self.here(given.minor or 0)

    def rate(self, own: Decimal | None) -> Decimal:
        return self.due if own is None else own

    def lines(self) -> Iterator[tuple[Decimal, Decimal]]:
        """Rate and amount of each line."""
        agreed = {bike_of(key): given for key, given in self.deal.lines}
        for number, bike in enumerate(self.case.bikes, start=1):
            for at, minor in enumerate(bike):
                whole = self.here(minor) * self.deal.quantity
                yield self.due, whole - self.off(agreed.get((number, str(at))), whole)
        for _, each in self.deal.added:
            yield self.rate(each.tax_percent), self.here(each.minor) * each.count

    def by_rate(self, sold: list[tuple[Decimal, Decimal]]) -> dict[Decimal, Decimal]:
        """What is sold at each rate, less its share of the discount on the whole, and delivery.

        The discount is shared by what is sold at each rate; what rounding leaves over falls
        on the largest sum, the first of them where two are alike.
        """
        sums: dict[Decimal, Decimal] = {}
        for rate, amount in sold:
            sums[rate] = sums.get(rate, Decimal(0)) + amount
        listed = sum(sums.values(), Decimal(0))
        if less := self.off(self.deal.whole, listed):
            largest = max(sums, key=lambda rate: sums[rate])
            shares = {r: rounded(less * at / listed) for r, at in sums.items() if r != largest}
            shares[largest] = less - sum(shares.values(), Decimal(0))
            sums = {rate: sums[rate] - shares[rate] for rate in sums}
        rate = self.rate(self.deal.delivery_tax_percent)
        sums[rate] = sums.get(rate, Decimal(0)) + self.here(self.deal.delivery_minor)
        return sums

    def sums(self) -> Sums:
        sold = list(self.lines())
        sums = self.by_rate(sold)
        taxes = {
            rate: rounded(amount * rate / (100 + rate if self.included else 100))
            for rate, amount in sums.items()
        }
        tax = sum(taxes.values(), Decimal(0))
        gross = sum(sums.values(), Decimal(0)) + (0 if self.included else tax)
        given = self.deal.traded_in
        to_pay = gross - (given.minor * CENT if given else 0)
        deposit = self.deposit(to_pay)
        if to_pay < 0 or deposit > to_pay:
            raise Refused
        return Sums(
            listed=sum((amount for _, amount in sold), Decimal(0)),
            rates=[rate for rate, amount in sums.items() if amount],
            taxes=[taxes[rate] for rate, amount in sums.items() if amount],
            net=gross - tax,
            tax=tax,
            gross=gross,
            to_pay=to_pay,
            deposit=deposit,
        )

    def deposit(self, to_pay: Decimal) -> Decimal:
        if self.deal.deposit_minor is not None:
            return self.deal.deposit_minor * CENT
        percent = self.deal.deposit_percent
        return rounded(to_pay * (Decimal(30) if percent is None else percent) / 100)
