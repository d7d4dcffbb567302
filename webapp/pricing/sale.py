"""What is sold, and what it comes to: the one engine behind build page, quote and deal.

A sale is made of items at list prices, each with its own discount and, where it
is taxed at another rate than the rest, its own rate; of a discount on the whole;
of charges such as delivery; of what is given in payment; and of what is asked as a
deposit. `price` gives every amount that is printed of it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache

from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.common.text.money import Money, total
from webapp.pricing.sums import Discount, Reckoning, line_total, reckon, without_home_tax


@dataclass(frozen=True, kw_only=True)
class Taxation:
    """Which tax applies, and whether prices include it.

    Parameters
    ----------
    name, percent : str
        As printed: ``VAT`` and ``19``.
    included : bool
        Whether the prices printed include the tax.
    """

    name: str
    percent: str
    included: bool

    @property
    def rate(self) -> Fraction:
        """The rate: 19/100 for 19 in a hundred."""
        return _rate(self.percent)


@lru_cache(maxsize=64)
def _rate(percent: str) -> Fraction:
    return Fraction(percent) / 100


@dataclass(frozen=True, kw_only=True)
class Item:
    """One line: what one costs by the list, how many, what is taken off.

    Parameters
    ----------
    key : str
    price : Money
        Of one, as listed.
    count : int
    off : Discount, optional
        On ``count`` times the price.
    rate : Fraction, optional
        Rate of tax; that of the sale when not given.
    """

    key: str
    price: Money
    count: int = 1
    off: Discount | None = None
    rate: Fraction | None = None


@dataclass(frozen=True, kw_only=True)
class Sale:
    """Everything sold at once, in one currency.

    Parameters
    ----------
    currency : str
        ISO 4217 code of every amount.
    items : tuple of Item
    home : Taxation
        Of the price list.
    tax : Taxation
        Due where it is sold to. Where its prices do not include tax and those of
        the list do, home tax is taken out of every amount first, those agreed in
        money too.
    whole : Discount, optional
        On the sum of the items.
    charges : tuple of Item
        Beside the items, not discounted: delivery.
    deposit : Fraction or Money
        Due when ordering: a share of what is left to pay, or an amount.
    traded_in : Money, optional
        Given in payment, such as an old bike: the bill and its tax stay as they are.
    """

    currency: str
    items: tuple[Item, ...]
    home: Taxation
    tax: Taxation
    deposit: Fraction | Money
    whole: Discount | None = None
    charges: tuple[Item, ...] = field(default=())
    traded_in: Money | None = None


@dataclass(frozen=True, kw_only=True)
class PricedItem:
    """One line as it is printed: ``count`` times the price, and what is taken off that."""

    key: str
    whole: Money
    off: Money | None
    rate: Fraction

    @property
    def left(self) -> Money:
        """What the line comes to."""
        return self.whole - self.off if self.off else self.whole


@dataclass(frozen=True, kw_only=True)
class Priced:
    """What a sale comes to.

    Parameters
    ----------
    items, charges : tuple of PricedItem
    listed : Money
        Sum of the items, less their own discounts.
    off : Money or None
        The discount on the whole.
    bill : Reckoning
        Net, tax and gross, for each rate and in all.
    to_pay : Money
        The gross, less what is given in payment.
    deposit : Money
        The part of it that is due when ordering.
    """

    items: tuple[PricedItem, ...]
    charges: tuple[PricedItem, ...]
    listed: Money
    off: Money | None
    bill: Reckoning
    to_pay: Money
    deposit: Money


def price(sale: Sale) -> Priced:
    """Work out what a sale comes to.

    Parameters
    ----------
    sale : Sale

    Returns
    -------
    Priced

    Raises
    ------
    Invalid
        For a discount larger than what it is given on, at the discount's field; for a
        deposit or something given in payment that is more than is to be paid.

    Examples
    --------
    >>> tax = Taxation(name="VAT", percent="19", included=True)
    >>> frame = Item(key="frame", price=Money(149000, "EUR"))
    >>> sold = Sale(
    ...     currency="EUR", items=(frame,), home=tax, tax=tax, deposit=Fraction(3, 10)
    ... )
    >>> found = price(sold)
    >>> found.bill.gross.format(), found.bill.tax.format(), found.deposit.format()
    ('1,490.00 EUR', '237.90 EUR', '447.00 EUR')
    """
    items = tuple(_priced(sale, item) for item in sale.items)
    charges = tuple(_priced(sale, item) for item in sale.charges)
    listed = total([item.left for item in items], sale.currency)
    off = _discount(sale, sale.whole).off(listed) if sale.whole else None
    amounts = [(item.left, item.rate) for item in (*items, *charges)]
    amounts += [(-part, rate) for part, rate in _spread(off, items)] if off and off.minor else []
    bill = reckon(amounts, sale.currency, tax_included=sale.tax.included)
    to_pay = bill.gross
    if sale.traded_in:
        to_pay -= _at_most(bill.gross, sale.traded_in, field="traded_in_amount")
    return Priced(
        items=items,
        charges=charges,
        listed=listed,
        off=off,
        bill=bill,
        to_pay=to_pay,
        deposit=(
            _at_most(to_pay, sale.deposit, field="deposit")
            if isinstance(sale.deposit, Money)
            else to_pay.share(sale.deposit)
        ),
    )


def _at_most(most: Money, amount: Money, *, field: str) -> Money:
    if most < amount:
        raise Invalid(field, amount.format(), tr("at most {highest}", highest=most.format()))
    return amount


def _priced(sale: Sale, item: Item) -> PricedItem:
    whole = line_total(_here(sale, item.price), quantity=item.count)
    off = _discount(sale, item.off).off(whole) if item.off else None
    rate = sale.tax.rate if item.rate is None else item.rate
    return PricedItem(key=item.key, whole=whole, off=off, rate=rate)


def _here(sale: Sale, amount: Money) -> Money:
    """An amount of the list as this sale prints it: without home tax where that is not due."""
    out = sale.home.included and not sale.tax.included
    return without_home_tax(amount, sale.home.rate) if out else amount


def _discount(sale: Sale, off: Discount) -> Discount:
    """A discount as it counts in this sale; a percentage stays the same."""
    if off.amount is None:
        return off
    return Discount(amount=_here(sale, off.amount), field=off.field)


def _spread(off: Money, items: tuple[PricedItem, ...]) -> list[tuple[Money, Fraction]]:
    """A discount on the whole, shared among the rates of tax by what is sold at each.

    Each share is rounded; what rounding leaves over falls on the largest sum, so
    that the shares add up to the discount.
    """
    sums: dict[Fraction, Money] = {}
    for item in items:
        sums[item.rate] = sums.get(item.rate, Money(0, off.currency)) + item.left
    whole = sum(each.minor for each in sums.values())
    largest = max(sums, key=lambda rate: abs(sums[rate].minor))
    shares = {
        rate: off.share(Fraction(each.minor, whole))
        for rate, each in sums.items()
        if rate != largest
    }
    rest = off - total(list(shares.values()), off.currency)
    return [*((part, rate) for rate, part in shares.items()), (rest, largest)]
