"""The engine against plain decimal arithmetic, written out a second time in another way.

`by_hand` uses `decimal` with the rounding of EN 16931-1:2017 (half up, lines before
sums, tax once for each rate) and knows nothing of the engine's classes.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import ROUND_HALF_UP, Context, Decimal, localcontext
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.common.errors import Invalid
from webapp.common.text.money import Money, total
from webapp.pricing.sale import Item, Priced, Sale, Taxation, price
from webapp.pricing.sums import Discount
from webapp.pricing.totals import signed_money, total_lines

CENTS = {"EUR": Decimal("0.01"), "JPY": Decimal(1), "KWD": Decimal("0.001")}
PERCENTS = st.integers(0, 10_000).map(lambda hundredths: Decimal(hundredths) / 100)
RATES = st.sampled_from([Decimal(r) for r in ("0", "5", "7", "7.7", "19", "20", "25.5")])


def share(percent: Decimal) -> Fraction:
    return Fraction(percent) / 100


def discount(percent: Decimal | None) -> Discount | None:
    return None if percent is None else Discount(part=share(percent))


def taxation(percent: Decimal, *, included: bool) -> Taxation:
    return Taxation(name="VAT", percent=str(percent), included=included)


Line = tuple[int, int, Decimal | None]  # minor units of one, how many, per cent off
LINES = st.lists(
    st.tuples(st.integers(0, 10**7), st.integers(1, 99), st.none() | PERCENTS), min_size=1,
    max_size=8,
)  # fmt: skip


@given(
    lines=LINES, whole=st.none() | PERCENTS, delivery=st.integers(0, 10**6), home=RATES, due=RATES,
    home_included=st.booleans(), due_included=st.booleans(), deposit=PERCENTS,
    currency=st.sampled_from(list(CENTS)),
)  # fmt: skip
def test_every_amount_is_that_of_plain_decimal_arithmetic(
    lines: list[Line],
    whole: Decimal | None,
    delivery: int,
    home: Decimal,
    due: Decimal,
    home_included: bool,
    due_included: bool,
    deposit: Decimal,
    currency: str,
) -> None:
    due_included = due_included and home_included
    items = tuple(
        Item(key=str(at), price=Money(minor, currency), count=count, off=discount(off))
        for at, (minor, count, off) in enumerate(lines)
    )
    sale = Sale(
        currency=currency, items=items, whole=discount(whole), deposit=share(deposit),
        home=taxation(home, included=home_included), tax=taxation(due, included=due_included),
        charges=(Item(key="delivery", price=Money(delivery, currency)),),
    )  # fmt: skip
    found = price(sale)
    expected = by_hand(
        lines, whole, delivery, home=home, due=due, home_included=home_included,
        due_included=due_included, deposit=deposit, cent=CENTS[currency],
    )  # fmt: skip
    bill = found.bill
    amounts = (found.listed, bill.net, bill.tax, bill.gross, found.deposit)
    assert tuple(Decimal(amount.plain()) for amount in amounts) == expected


def by_hand(
    lines: list[Line],
    whole: Decimal | None,
    delivery: int,
    *,
    home: Decimal,
    due: Decimal,
    home_included: bool,
    due_included: bool,
    deposit: Decimal,
    cent: Decimal,
) -> tuple[Decimal, ...]:
    """Sum of the lines, net, tax, gross and deposit."""
    with localcontext(Context(prec=60)):

        def rounded(amount: Decimal) -> Decimal:
            return amount.quantize(cent, ROUND_HALF_UP)

        def here(minor: int) -> Decimal:
            amount = minor * cent
            if home_included and not due_included:
                amount -= rounded(amount * home / (100 + home))
            return amount

        listed = Decimal(0)
        for minor, count, off in lines:
            line = here(minor) * count
            listed += line - (rounded(line * off / 100) if off is not None else 0)
        taxed = listed - (rounded(listed * whole / 100) if whole is not None else 0)
        taxed += here(delivery)
        if due_included:
            gross, tax = taxed, rounded(taxed * due / (100 + due))
        else:
            tax = rounded(taxed * due / 100)
            gross = taxed + tax
        return listed, gross - tax, tax, gross, rounded(gross * deposit / 100)


@given(
    lines=st.lists(st.tuples(st.integers(0, 10**7), RATES), min_size=1, max_size=8),
    percent=PERCENTS,
    included=st.booleans(),
)
def test_a_discount_on_the_whole_is_shared_among_the_rates_to_the_cent(
    lines: list[tuple[int, Decimal]], percent: Decimal, included: bool
) -> None:
    sums: dict[Fraction, int] = {}
    for minor, rate in lines:
        sums[share(rate)] = sums.get(share(rate), 0) + minor
    found = price(mixed(lines, included=included, whole=Discount(part=share(percent))))
    assert found.off is not None
    assert found.bill.listed == found.listed - found.off
    taxed = {each.rate: each.gross if included else each.net for each in found.bill.by_rate}
    for each_rate, minor in sums.items():
        # Rounded to half a cent each; the largest takes what the others leave.
        left = minor * (1 - share(percent))
        assert abs(taxed[each_rate].minor - left) <= Fraction(len(sums) + 1, 2)


def mixed(
    lines: list[tuple[int, Decimal]], *, included: bool, whole: Discount | None = None
) -> Sale:
    tax = taxation(Decimal(19), included=included)
    items = tuple(
        Item(key=str(at), price=Money(minor, "EUR"), rate=share(rate))
        for at, (minor, rate) in enumerate(lines)
    )
    return Sale(currency="EUR", items=items, home=tax, tax=tax, deposit=Fraction(0), whole=whole)


@given(st.lists(st.tuples(st.integers(0, 10**7), RATES), min_size=1, max_size=8), st.booleans())
def test_each_rate_is_taxed_once_on_its_own_sum(
    lines: list[tuple[int, Decimal]], included: bool
) -> None:
    found = price(mixed(lines, included=included))
    for each in found.bill.by_rate:
        listed = sum(minor for minor, rate in lines if share(rate) == each.rate)
        exact = listed * (each.rate / (1 + each.rate) if included else each.rate)
        assert abs(each.tax.minor - exact) <= Fraction(1, 2)
        assert (each.gross if included else each.net).minor == listed


@given(LINES, st.none() | PERCENTS, RATES, st.booleans())
def test_the_lines_printed_add_up_to_the_total_printed(
    lines: list[Line], whole: Decimal | None, rate: Decimal, included: bool
) -> None:
    tax = taxation(rate, included=included)
    items = tuple(
        Item(key=str(at), price=Money(minor, "EUR"), count=count, off=discount(off))
        for at, (minor, count, off) in enumerate(lines)
    )
    found = price(
        Sale(currency="EUR", items=items, home=tax, tax=tax, deposit=Fraction(0),
             whole=discount(whole))
    )  # fmt: skip
    printed = {line.label: line.amount for line in total_lines(found, tax, deposit_percent="0")}
    assert printed["Total"] == found.bill.gross
    left = total([item.left for item in found.items], "EUR")
    assert (left - found.off if found.off else left) == (
        printed["Total"] if included else printed["Net"]
    )


@pytest.mark.parametrize("included", [True, False])
def test_the_sum_to_pay_is_the_one_that_stands_out(included: bool) -> None:
    """1,190.00 with or before 19 %, and 30 % of it when ordering, on paper."""
    tax = taxation(Decimal(19), included=included)
    frame = Item(key="frame", price=Money(119000, "EUR"))
    sale = Sale(currency="EUR", items=(frame,), home=tax, tax=tax, deposit=Fraction(3, 10))
    lines = total_lines(price(sale), tax, deposit_percent="30")
    printed = [(line.amount.minor, line.main) for line in lines]
    assert printed == (
        [(119000, True), (19000, False), (35700, False)]
        if included
        else [(119000, False), (22610, False), (141610, True), (42483, False)]
    )


@pytest.mark.parametrize(
    ("home_included", "here_included", "left"),
    [(True, True, 9000), (True, False, 7563), (False, False, 9000)],
)
def test_a_discount_in_money_loses_home_tax_as_the_prices_do(
    home_included: bool, here_included: bool, left: int
) -> None:
    """100.00 less 10.00; without 19 % each is 84.03 and 8.40, rounded by itself."""
    off = Discount(amount=Money(1000, "EUR"))
    sale = Sale(
        currency="EUR", items=(Item(key="fork", price=Money(10000, "EUR"), off=off),),
        home=taxation(Decimal(19), included=home_included),
        tax=taxation(Decimal(0), included=here_included), deposit=Fraction(0),
    )  # fmt: skip
    assert price(sale).listed.minor == left


def test_what_sharing_leaves_over_falls_on_the_largest_sum() -> None:
    """1.00 off 1.00, 1.00 and 4.00 at three rates: 17 cents, 17 cents, and the rest, 66."""
    lines = [(100, Decimal(5)), (100, Decimal(7)), (400, Decimal(19))]
    whole = Discount(amount=Money(100, "EUR"))
    found = price(mixed(lines, included=True, whole=whole))
    assert [(each.rate, each.gross.minor) for each in found.bill.by_rate] == [
        (share(Decimal(19)), 334),
        (share(Decimal(7)), 83),
        (share(Decimal(5)), 83),
    ]


def test_a_discount_of_cents_is_shared_by_what_is_sold() -> None:
    """3 cents off 1 and 9: a tenth of them, 0.3, is nothing, and the larger sum takes all three."""
    whole = Discount(amount=Money(3, "EUR"))
    found = price(mixed([(1, Decimal(5)), (9, Decimal(19))], included=True, whole=whole))
    assert [each.gross.minor for each in found.bill.by_rate] == [6, 1]


def test_a_discount_too_large_is_refused_at_its_field() -> None:
    tax = taxation(Decimal(19), included=True)
    fork = Item(
        key="fork", price=Money(100, "EUR"),
        off=Discount(amount=Money(101, "EUR"), field="off_fork"),
    )  # fmt: skip
    sale = Sale(currency="EUR", items=(fork,), home=tax, tax=tax, deposit=Fraction(0))
    with pytest.raises(Invalid) as refused:
        price(sale)
    assert refused.value.field == "off_fork"


def test_nothing_sold_comes_to_nothing() -> None:
    tax = taxation(Decimal(19), included=True)
    half = Discount(part=Fraction(1, 2))
    free = Item(key="gift", price=Money(0, "EUR"))
    for items in ((), (free,)):
        found: Priced = price(
            Sale(currency="EUR", items=items, home=tax, tax=tax, deposit=Fraction(1), whole=half)
        )
        assert found.bill.gross == found.deposit == Money(0, "EUR")


@given(
    lines=st.lists(st.tuples(st.integers(0, 10**7), RATES), min_size=1, max_size=8),
    included=st.booleans(),
    given_share=PERCENTS,
    deposit=PERCENTS,
    in_money=st.booleans(),
)
def test_what_is_given_in_payment_leaves_the_bill_and_its_tax_as_they_are(
    lines: list[tuple[int, Decimal]],
    included: bool,
    given_share: Decimal,
    deposit: Decimal,
    in_money: bool,
) -> None:
    """What is left to pay and the deposit, worked out in decimal from the printed total."""
    sale = mixed(lines, included=included)
    bill = price(sale).bill
    cent = Decimal("0.01")
    gross = Decimal(bill.gross.plain())
    traded_in = (gross * given_share / 100).quantize(cent, ROUND_HALF_UP)
    left = gross - traded_in
    asked = (left * deposit / 100).quantize(cent, ROUND_HALF_UP)
    found = price(
        replace(
            sale,
            traded_in=Money(int(traded_in * 100), "EUR"),
            deposit=Money(int(asked * 100), "EUR") if in_money else share(deposit),
        )
    )
    assert found.bill == bill
    assert Decimal(found.to_pay.plain()) == left
    assert Decimal(found.deposit.plain()) == asked


def test_nobody_gives_or_deposits_more_than_is_to_be_paid() -> None:
    sale = mixed([(10_000, Decimal(19))], included=True)
    for changed, field in (
        (replace(sale, traded_in=Money(10_001, "EUR")), "traded_in_amount"),
        (replace(sale, deposit=Money(10_001, "EUR")), "deposit"),
        (replace(sale, traded_in=Money(4_000, "EUR"), deposit=Money(6_001, "EUR")), "deposit"),
    ):
        with pytest.raises(Invalid) as refused:
            price(changed)
        assert [problem.field for problem in refused.value.problems] == [field]


def test_every_rate_has_a_line_and_what_is_given_stands_under_the_total() -> None:
    """100.00 at 19 % and 50.00 at 7 % in the price: 15.97 and 3.27 of tax; 40.00 given."""
    sale = mixed([(10_000, Decimal(19)), (5_000, Decimal(7))], included=True)
    found = price(replace(sale, traded_in=Money(4_000, "EUR"), deposit=Money(2_500, "EUR")))
    lines = total_lines(found, sale.tax, traded_in="old bike")
    assert [(line.label, line.amount.minor, line.main) for line in lines] == [
        ("Total", 15_000, True),
        ("of which VAT 19 %", 1_597, False),
        ("of which VAT 7 %", 327, False),
        ("Taken in payment: old bike", -4_000, False),
        ("Left to pay", 11_000, False),
        ("Deposit when ordering", 2_500, False),
    ]


def test_items_of_one_rate_are_added_before_a_discount_is_shared() -> None:
    """Twice 100.00 at 19 % and 100.00 at 7 %: of 30.00 off, two thirds and one third."""
    lines = [(10_000, Decimal(19)), (10_000, Decimal(19)), (10_000, Decimal(7))]
    whole = Discount(amount=Money(3_000, "EUR"))
    found = price(mixed(lines, included=True, whole=whole))
    assert [(each.rate, each.gross.minor) for each in found.bill.by_rate] == [
        (share(Decimal(19)), 18_000),
        (share(Decimal(7)), 9_000),
    ]


def test_a_rate_at_which_nothing_is_left_to_pay_has_no_line() -> None:
    sale = mixed([(10_000, Decimal(19)), (0, Decimal(7))], included=True)
    labels = [line.label for line in total_lines(price(sale), sale.tax)]
    assert labels == ["Total", "of which VAT 19 %", "Deposit when ordering"]
    free = mixed([(0, Decimal(19))], included=True)
    labels = [line.label for line in total_lines(price(free), free.tax)]
    assert labels == ["Total", "of which VAT 19 %", "Deposit when ordering"]


def test_a_shop_that_charges_no_tax_says_nothing_of_it_but_a_part_without_tax_is_told() -> None:
    none = mixed([(10_000, Decimal(0))], included=True)
    labels = [line.label for line in total_lines(price(none), none.tax)]
    assert labels == ["Total", "Deposit when ordering"]
    some = mixed([(10_000, Decimal(19)), (5_000, Decimal(0))], included=True)
    labels = [line.label for line in total_lines(price(some), some.tax)]
    assert labels == ["Total", "of which VAT 19 %", "of which VAT 0 %", "Deposit when ordering"]


def test_one_cent_more_is_more() -> None:
    assert signed_money(Money(1, "EUR")) == "+ 0.01 EUR"
    assert signed_money(Money(-1, "EUR")) == "− 0.01 EUR"
