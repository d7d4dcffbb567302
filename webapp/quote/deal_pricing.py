"""The price of a quote: the price list's lines, and what was agreed on top of them.

The list prices are frozen beside the price itself, so that a later version can
change a discount without the list's new prices slipping in.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from webapp.builds.pricing import PriceSheet
from webapp.catalogue.shop_data import Destination
from webapp.ground.errors import Invalid
from webapp.ground.money import Money, total
from webapp.ground.units import minus
from webapp.quote.content import Amount, Line, ListLine, PriceBasis, Pricing, QuoteContent, Total
from webapp.quote.deal import OFF, Deal, Off
from webapp.pricing.sums import Reckoning, line_total, reckon, without_home_tax

DISCOUNT = "Discount"
ALSO = "Also agreed"
ROUNDING = "Tax is worked out once, on the sum, and rounded to {smallest}, half upwards."


@dataclass(frozen=True, kw_only=True)
class Taxation:
    """Which tax applies, and whether the printed prices hold it."""

    name: str
    percent: str
    included: bool

    @property
    def rate(self) -> Fraction:
        """The rate: 19/100 for 19 in a hundred."""
        return Fraction(self.percent) / 100


def basis_from(price: PriceSheet, price_list: str) -> PriceBasis:
    """Freeze the list prices of a computed build.

    Raises
    ------
    Invalid
        With every line that has no price.
    """
    if price.unpriced:
        raise Invalid("build", ", ".join(price.unpriced), "parts that have a price")
    return PriceBasis(
        price_list=price_list,
        currency=price.gross.currency,
        lines=tuple(
            ListLine(key=line.key, place=line.place, item=line.item, minor=line.amount.minor)
            for line in price.lines
            if line.amount
        ),
        tax_included=price.tax_included,
        tax_name=price.tax_name,
        tax_percent=price.tax_percent,
        deposit_percent=price.deposit_percent,
    )


def basis_of(content: QuoteContent) -> PriceBasis:
    """The list prices a version was made from; without any deal they are its price."""
    price = content.price
    return content.basis or PriceBasis(
        price_list=price.price_list,
        currency=price.gross.currency,
        lines=tuple(
            ListLine(key=line.key, place=line.place, item=line.item, minor=line.amount.minor)
            for line in price.lines
        ),
        tax_included=price.tax_included,
        tax_name=price.tax_name,
        tax_percent=price.tax_percent,
        deposit_percent=price.deposit_percent,
    )


def parts_of(content: QuoteContent) -> tuple[tuple[str, str], ...]:
    """Everything to be built or done, each with its place: the build list without any price."""
    listed = tuple((line.place, line.item) for line in basis_of(content).lines)
    # The list is that of one bike; what was added is counted once for all of them.
    also = f"{ALSO}, in all" if content.deal.quantity > 1 else ALSO
    return listed + tuple((also, added.item) for _, added in content.deal.added)


def dealt_price(basis: PriceBasis, deal: Deal, destination: Destination | None) -> Pricing:
    """The price of a deal.

    Parameters
    ----------
    basis : PriceBasis
        The list prices.
    deal : Deal
    destination : Destination, optional
        Where the bike goes, when another tax applies there.

    Returns
    -------
    Pricing

    Raises
    ------
    Invalid
        For a discount larger than what it is given on.
    """
    return _Pricer(basis, deal, destination).pricing()


class _Pricer:
    def __init__(self, basis: PriceBasis, deal: Deal, destination: Destination | None) -> None:
        self.basis = basis
        self.deal = deal
        self.currency = basis.currency
        self.home = Taxation(
            name=basis.tax_name, percent=basis.tax_percent, included=basis.tax_included
        )
        self.tax = self.home if destination is None else _taxation(destination, self.home)

    def listed(self, minor: int) -> Money:
        """An amount of the list as it is printed here: without home tax where that is not due."""
        amount = Money(minor, self.currency)
        out = self.home.included and not self.tax.included
        return without_home_tax(amount, self.home.rate) if out else amount

    def lines(self) -> tuple[Line, ...]:
        found: list[Line] = []
        for line in self.basis.lines:
            count = self.deal.quantity
            whole = line_total(self.listed(line.minor), quantity=count)
            item = f"{count} × {line.item}" if count > 1 else line.item
            found.append(Line(key=line.key, place=line.place, item=item, amount=printed(whole)))
            if off := self.deal.off(line.key):
                less = self._off(OFF + line.key, off, whole)
                words = f"{_how_much(off)}{off.reason}"
                key = f"{OFF}{line.key}"
                found.append(Line(key=key, place=DISCOUNT, item=words, amount=printed(-less)))
        for key, added in self.deal.added:
            whole = line_total(self.listed(added.minor), quantity=added.count)
            found.append(Line(key=key, place=ALSO, item=added.item, amount=printed(whole)))
        return tuple(found)

    def _off(self, field: str, off: Off, whole: Money) -> Money:
        if off.percent is None:
            off = off.model_copy(update={"minor": self.listed(off.minor or 0).minor})
        try:
            return off.discount(self.currency).off(whole)
        except Invalid as error:
            raise Invalid(field, off.typed(self.currency), error.remedy) from error

    def pricing(self) -> Pricing:
        lines, deal = self.lines(), self.deal
        listed = total([Money(line.amount.minor, self.currency) for line in lines], self.currency)
        whole = self._off("discount", deal.whole, listed) if deal.whole else None
        delivery = self.listed(deal.delivery_minor)
        amounts = [listed, delivery, *([-whole] if whole else [])]
        bill = reckon(
            [(amount, self.tax.rate) for amount in amounts],
            self.currency,
            tax_included=self.tax.included,
        )
        percent = deal.deposit_percent
        share = Decimal(self.basis.deposit_percent) if percent is None else percent
        deposit = bill.gross.share(Fraction(share) / 100)
        return Pricing(
            price_list=self.basis.price_list,
            lines=lines,
            totals=(
                *self._beside(listed, whole, delivery),
                *_totals(bill, self.tax),
                _total(f"Deposit when ordering, {share.normalize():f} %", deposit),
            ),
            net=printed(bill.net),
            tax=printed(bill.tax),
            gross=printed(bill.gross),
            deposit=printed(deposit),
            tax_name=self.tax.name,
            tax_percent=self.tax.percent,
            deposit_percent=f"{share.normalize():f}",
            tax_included=self.tax.included,
        )

    def _beside(self, listed: Money, whole: Money | None, delivery: Money) -> list[Total]:
        """What stands between the lines and the total, if anything does."""
        deal, found = self.deal, []
        if deal.whole and whole is not None:
            words = f"{DISCOUNT} {_how_much(deal.whole)}{deal.whole.reason}"
            found.append(_total(words, -whole))
        if deal.delivery_minor or deal.delivery_words:
            words = f"Delivery: {deal.delivery_words}" if deal.delivery_words else "Delivery"
            found.append(_total(words, delivery))
        return [_total("Sum", listed), *found] if found else []


def _how_much(off: Off) -> str:
    """The percentage a discount was given as; the amount is in its column.

    >>> _how_much(Off(percent=Decimal("5.00"))), _how_much(Off(minor=500))
    ('5 %: ', '')
    """
    return f"{off.percent.normalize():f} %: " if off.percent is not None else ""


def _taxation(place: Destination, home: Taxation) -> Taxation:
    return Taxation(
        name=place.tax_name,
        percent=f"{place.tax_percent.normalize():f}",
        included=place.tax_included and home.included,
    )


def _totals(bill: Reckoning, tax: Taxation) -> list[Total]:
    words = f"{tax.name} {tax.percent} %"
    if tax.included:
        whole = _total("Total", bill.gross, main=True)
        return [whole, _total(f"of which {words}", bill.tax)]
    net = [_total("Net", bill.net), _total(words, bill.tax)]
    return [*net, _total("Total", bill.gross, main=True)]


def _total(label: str, amount: Money, *, main: bool = False) -> Total:
    return Total(label=label, amount=minus(amount.format()), main=main)


def printed(money: Money) -> Amount:
    """An amount frozen as printed, with a true minus sign."""
    return Amount(minor=money.minor, currency=money.currency, printed=minus(money.format()))
