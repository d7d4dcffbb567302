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

from hypothesis import event, given
from hypothesis import strategies as st

from webapp.catalogue.schema.shop import Destination
from webapp.common.errors import Invalid
from webapp.quote.deal.terms import ADDED_LINES, Added, Deal, Off, TradedIn
from webapp.quote.freezing.bikes import bike_of, key_of, one_basis
from webapp.quote.freezing.content import ListLine, PriceBasis
from webapp.quote.freezing.pricing import dealt_price

CENT = Decimal("0.01")
RATES = st.sampled_from([Decimal(r) for r in ("0", "5", "7.7", "19", "25.5")])
PERCENTS = st.integers(0, 10_000).map(lambda hundredths: Decimal(hundredths) / 100)
MINOR = st.integers(0, 200_000)
OFFS = st.none() | st.builds(Off, percent=PERCENTS) | st.builds(Off, minor=MINOR)
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
    keys = [key_of(n, str(at)) for n, bike in enumerate(bikes, start=1) for at in range(len(bike))]
    abroad = draw(st.none() | st.builds(_place, percent=RATES, included=st.booleans()))
    own = st.none() if abroad else st.none() | RATES
    added = st.builds(Added, words=st.just("w"), minor=MINOR, count=st.integers(1, 9),
                      tax_percent=own)  # fmt: skip
    extra = draw(st.lists(added, max_size=3))
    deal = Deal(
        quantity=1 if len(bikes) > 1 else draw(st.integers(1, 5)),
        lines=tuple((key, off) for key in keys if (off := draw(OFFS))),
        added=tuple(zip(ADDED_LINES, extra, strict=False)),
        whole=draw(OFFS),
        delivery_minor=draw(MINOR),
        delivery_tax_percent=draw(own),
        traded_in=draw(st.none() | st.builds(TradedIn, words=st.just("w"), minor=MINOR)),
        deposit_minor=(amount := draw(st.none() | MINOR)),
        deposit_percent=None if amount is not None else draw(st.none() | PERCENTS),
    )
    bikes_given = tuple(map(tuple, bikes))
    return Given(bikes=bikes_given, deal=deal, abroad=abroad, included=draw(st.booleans()))


def _place(*, percent: Decimal, included: bool) -> Destination:
    return Destination(
        slug="away", name="Away", tax_name="Tax", tax_percent=percent, tax_included=included
    )


@given(deals())
def test_every_amount_of_any_deal_is_that_of_plain_arithmetic(case: Given) -> None:
    expected = by_hand(case)
    try:
        found = dealt_price(basis(case), case.deal, case.abroad)
    except Invalid as refused:
        event(f"refused: {refused.problems[0].field}")
        assert expected is None, refused
        return
    assert expected is not None
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


def by_hand(case: Given) -> Sums | None:
    """The sums of a deal; None for one that cannot be."""
    with localcontext(Context(prec=60)):
        return _by_hand(case)


class Refused(Exception):
    """More is taken off, given in payment or asked than there is."""


def _by_hand(case: Given) -> Sums | None:
    deal, place = case.deal, case.abroad
    due = place.tax_percent if place else Decimal(HOME)
    due_included = case.included and (place is None or place.tax_included)
    out = case.included and not due_included  # home tax is taken out of every price

    def here(minor: int) -> Decimal:
        amount = minor * CENT
        return amount - rounded(amount * 19 / 119) if out else amount

    def off(given: Off | None, sum_: Decimal) -> Decimal:
        if given is None:
            return Decimal(0)
        if given.percent is not None:
            return rounded(sum_ * given.percent / 100)
        if here(given.minor or 0) > sum_:
            raise Refused
        return here(given.minor or 0)

    def lines() -> Iterator[tuple[Decimal, Decimal]]:
        agreed = {bike_of(key): given for key, given in deal.lines}
        for number, bike in enumerate(case.bikes, start=1):
            for at, minor in enumerate(bike):
                whole = here(minor) * deal.quantity
                yield due, whole - off(agreed.get((number, str(at))), whole)
        for _, each in deal.added:
            rate = due if each.tax_percent is None else each.tax_percent
            yield rate, here(each.minor) * each.count

    try:
        sold = list(lines())
        listed = sum((amount for _, amount in sold), Decimal(0))
        less = off(deal.whole, listed)
    except Refused:
        return None
    by_rate: dict[Decimal, Decimal] = {}
    for rate, amount in sold:
        by_rate[rate] = by_rate.get(rate, Decimal(0)) + amount
    if less:
        # Shared among the rates by what is sold at each; what rounding leaves over falls on
        # the largest sum, the first of them where two are alike.
        largest = max(by_rate, key=lambda rate: by_rate[rate])
        shares = {r: rounded(less * sold_at / listed) for r, sold_at in by_rate.items()}
        shares[largest] = less - sum(share for r, share in shares.items() if r != largest)
        by_rate = {r: by_rate[r] - shares[r] for r in by_rate}
    delivered_at = deal.delivery_tax_percent
    rate = due if delivered_at is None else delivered_at
    by_rate[rate] = by_rate.get(rate, Decimal(0)) + here(deal.delivery_minor)
    net = tax = Decimal(0)
    taxes = []
    for rate, amount in by_rate.items():
        part = rounded(amount * rate / (100 + rate if due_included else 100))
        tax += part
        net += amount - part if due_included else amount
        if amount:
            taxes.append(part)
    gross = net + tax
    to_pay = gross - (deal.traded_in.minor * CENT if deal.traded_in else 0)
    percent = Decimal(30) if deal.deposit_percent is None else deal.deposit_percent
    deposit = rounded(to_pay * percent / 100)
    if deal.deposit_minor is not None:
        deposit = deal.deposit_minor * CENT
    if to_pay < 0 or deposit > max(to_pay, Decimal(0)):
        return None
    return Sums(
        listed=listed, rates=[r for r, amount in by_rate.items() if amount], taxes=taxes,
        net=net, tax=tax, gross=gross, to_pay=to_pay, deposit=deposit,
    )  # fmt: skip
