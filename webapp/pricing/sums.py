"""Sums of a quote: line totals, discounts, tax by rate, what is to be paid.

The rules are those of the European invoice standard, EN 16931-1:2017:

- a line's total is its quantity times its price, less its own discount,
  rounded to the minor unit (BT-131);
- the lines are summed after rounding (BR-CO-10), discounts and charges on the
  whole stand beside them, each with its own rate of tax (BR-CO-11, BR-CO-12);
- tax is reckoned once for each rate, on the sum at that rate, and rounded half
  up (BR-S-08, BR-CO-17); the tax amounts are summed after rounding (BR-CO-14).

Where prices include tax, the sum at a rate stays as printed and the tax in it
is the share ``rate / (1 + rate)``, which tax offices call the VAT fraction:
1/6 at 20 in a hundred. Rounding then falls on the amount before tax, so that
the price asked is the price paid.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.common.text.money import Money, total

WHOLE = Fraction(1)


@dataclass(frozen=True, kw_only=True)
class Discount:
    """A discount: either a share of the sum or an amount.

    Parameters
    ----------
    part : Fraction, optional
        Between 0 and 1, exact.
    amount : Money, optional
        Not negative.
    field : str
        Where it was typed, for whoever refuses it.

    Raises
    ------
    Invalid
        For both, neither, a part outside 0 to 1, or an amount below 0.
    """

    part: Fraction | None = None
    amount: Money | None = None
    field: str = "discount"

    def __post_init__(self) -> None:
        if (self.part is None) == (self.amount is None):
            raise Invalid(self.field, None, tr("either a percentage or an amount"))
        if self.part is not None and not 0 <= self.part <= WHOLE:
            raise Invalid(self.field, float(self.part * 100), tr("from 0 to 100 %"))
        if self.amount is not None and self.amount.minor < 0:
            raise Invalid(self.field, str(self.amount), tr("an amount of 0 or more"))

    def off(self, sum_: Money) -> Money:
        """What it takes off a sum, rounded half up to the minor unit.

        Raises
        ------
        Invalid
            For an amount larger than the sum.

        Examples
        --------
        >>> Discount(part=Fraction(5, 100)).off(Money(12990, "EUR")).format()
        '6.50 EUR'
        """
        if self.part is not None:
            return sum_.share(self.part)
        if self.amount is None or sum_ < self.amount:
            raise Invalid(
                self.field, str(self.amount), tr("at most {highest}", highest=sum_.format())
            )
        return self.amount


def line_total(price: Money, *, quantity: int = 1, discount: Discount | None = None) -> Money:
    """A line's total: quantity times price, less its discount.

    Examples
    --------
    >>> half = Discount(part=Fraction(1, 2))
    >>> line_total(Money(333, "EUR"), quantity=3, discount=half).format()
    '4.99 EUR'
    """
    whole = price * quantity
    return whole - discount.off(whole) if discount else whole


@dataclass(frozen=True, kw_only=True)
class TaxedSum:
    """What is taxed at one rate."""

    rate: Fraction
    net: Money
    tax: Money
    gross: Money


@dataclass(frozen=True, kw_only=True)
class Reckoning:
    """Everything the lines come to; each field is the exact sum over the rates."""

    listed: Money
    by_rate: tuple[TaxedSum, ...]
    net: Money
    tax: Money
    gross: Money


def reckon(
    amounts: Iterable[tuple[Money, Fraction]], currency: str, *, tax_included: bool
) -> Reckoning:
    """Sum amounts and reckon the tax on them, once for each rate.

    Parameters
    ----------
    amounts : iterable of (Money, Fraction)
        Line totals, charges, and discounts on the whole as negative amounts;
        each with its rate of tax: ``Fraction(19, 100)`` for 19 in a hundred.
    currency : str
        ISO 4217 code of all of them.
    tax_included : bool
        Whether the amounts include the tax.

    Returns
    -------
    Reckoning

    Examples
    --------
    >>> rate = Fraction(19, 100)
    >>> prices = [(Money(238000, "EUR"), rate), (Money(-11900, "EUR"), rate)]
    >>> bill = reckon(prices, "EUR", tax_included=True)
    >>> bill.net.format(), bill.tax.format(), bill.gross.format()
    ('1,900.00 EUR', '361.00 EUR', '2,261.00 EUR')
    """
    taxed: dict[Fraction, list[Money]] = {}
    for amount, rate in amounts:
        taxed.setdefault(rate, []).append(amount)
    sums = {rate: total(each, currency) for rate, each in taxed.items()}
    by_rate = tuple(_taxed(sums[rate], rate, tax_included) for rate in sorted(sums, reverse=True))
    return Reckoning(
        listed=total(list(sums.values()), currency),
        by_rate=by_rate,
        net=total([each.net for each in by_rate], currency),
        tax=total([each.tax for each in by_rate], currency),
        gross=total([each.gross for each in by_rate], currency),
    )


def _taxed(sum_: Money, rate: Fraction, tax_included: bool) -> TaxedSum:
    if tax_included:
        tax = sum_.share(rate / (1 + rate))
        return TaxedSum(rate=rate, net=sum_ - tax, tax=tax, gross=sum_)
    tax = sum_.share(rate)
    return TaxedSum(rate=rate, net=sum_, tax=tax, gross=sum_ + tax)


def without_home_tax(amount: Money, home: Fraction) -> Money:
    """An amount that includes the tax of the shop's own country, without it.

    For a customer elsewhere: prices are listed with home tax, and what is due
    there is reckoned on the price before tax.

    Examples
    --------
    >>> without_home_tax(Money(11900, "EUR"), Fraction(19, 100)).format()
    '100.00 EUR'
    """
    return amount - amount.share(home / (1 + home))
