"""The price of a quote: the price list's lines, and what was agreed on top of them.

The list prices are frozen beside the price itself, so that a later version can
change a discount without the list's new prices slipping in.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction

from webapp.builds.pricing import PriceSheet
from webapp.catalogue.schema.shop import Destination
from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.pricing.sale import Item, Priced, Sale, Taxation, price
from webapp.pricing.sums import Discount
from webapp.pricing.totals import TotalLine, total_lines
from webapp.quote.agreed_terms.deal import OFF, Deal, Off
from webapp.quote.freezing.content import (
    Amount,
    Line,
    ListLine,
    PriceBasis,
    Pricing,
    QuoteContent,
    Total,
)

DISCOUNT = tr("Discount")
ALSO = tr("Also agreed")
ROUNDING = tr("Tax is worked out once, on the sum, and rounded to {smallest}, half upwards.")


def basis_from(sheet: PriceSheet) -> PriceBasis:
    """Freeze the list prices of a computed build.

    Raises
    ------
    Invalid
        With every line that has no price.
    """
    if sheet.unpriced:
        raise Invalid("build", ", ".join(sheet.unpriced), tr("parts that have a price"))
    return PriceBasis(
        price_list=sheet.price_list,
        currency=sheet.gross.currency,
        lines=tuple(
            ListLine(key=line.key, place=line.place, item=line.item, minor=line.amount.minor)
            for line in sheet.lines
            if line.amount
        ),
        tax_included=sheet.tax.included,
        tax_name=sheet.tax.name,
        tax_percent=sheet.tax.percent,
        deposit_percent=sheet.deposit_percent,
    )


def basis_of(content: QuoteContent) -> PriceBasis:
    """The list prices a version was made from; without any deal they are its price."""
    if content.basis:
        return content.basis
    made = content.price
    return PriceBasis(
        price_list=made.price_list,
        currency=made.gross.currency,
        lines=tuple(
            ListLine(key=line.key, place=line.place, item=line.item, minor=line.amount.minor)
            for line in made.lines
        ),
        tax_included=made.tax_included,
        tax_name=made.tax_name,
        tax_percent=made.tax_percent,
        deposit_percent=made.deposit_percent,
    )


def parts_of(content: QuoteContent, *, bikes: int = 1) -> tuple[tuple[str, str], ...]:
    """Everything to be built or done, each with its place: the build list without any price.

    Parameters
    ----------
    content : QuoteContent
        Of one bike.
    bikes : int
        How many the quote lists one by one.
    """
    listed = tuple((line.place, line.item) for line in basis_of(content).lines)
    # The list is that of one bike; what was added is counted once for all of them.
    also = tr("{also}, in all", also=ALSO) if bikes * content.deal.quantity > 1 else ALSO
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
    home = Taxation(name=basis.tax_name, percent=basis.tax_percent, included=basis.tax_included)
    tax = home if destination is None else _taxation(destination, home)
    deposit = _deposit(basis, deal)
    found = price(_sale(basis, deal, home=home, tax=tax, deposit=deposit))
    percent = "" if isinstance(deposit, Money) else f"{deposit.normalize():f}"
    given = deal.traded_in.words if deal.traded_in else ""
    under = total_lines(found, tax, deposit_percent=percent, traded_in=given)
    totals = (*_beside(deal, found), *under)
    return Pricing(
        price_list=basis.price_list,
        lines=tuple(_lines(basis, deal, found)),
        totals=tuple(map(_total, totals)),
        net=Amount.of(found.bill.net),
        tax=Amount.of(found.bill.tax),
        gross=Amount.of(found.bill.gross),
        deposit=Amount.of(found.deposit),
        to_pay=Amount.of(found.to_pay),
        tax_name=tax.name,
        tax_percent=tax.percent,
        deposit_percent=percent,
        tax_included=tax.included,
    )


def _deposit(basis: PriceBasis, deal: Deal) -> Decimal | Money:
    """The deposit: an amount, or a percentage of what is left to pay."""
    if deal.deposit_minor is not None:
        return Money(deal.deposit_minor, basis.currency)
    percent = deal.deposit_percent
    return Decimal(basis.deposit_percent) if percent is None else percent


def _sale(
    basis: PriceBasis, deal: Deal, *, home: Taxation, tax: Taxation, deposit: Decimal | Money
) -> Sale:
    """A deal as a `Sale`: the list's lines, then the added ones."""
    currency = basis.currency
    listed = (
        Item(
            key=line.key,
            price=Money(line.minor, currency),
            count=deal.quantity,
            off=_discount(deal.off(line.key), currency, OFF + line.key),
        )
        for line in basis.lines
    )
    added = (
        Item(
            key=key,
            price=Money(each.minor, currency),
            count=each.count,
            rate=_rate(each.tax_percent),
        )
        for key, each in deal.added
    )
    given = Money(deal.traded_in.minor, currency) if deal.traded_in else None
    return Sale(
        currency=currency,
        items=(*listed, *added),
        home=home,
        tax=tax,
        deposit=deposit if isinstance(deposit, Money) else Fraction(deposit) / 100,
        traded_in=given,
        whole=_discount(deal.whole, currency, "discount"),
        charges=(_delivery(deal, currency),),
    )


def _delivery(deal: Deal, currency: str) -> Item:
    price = Money(deal.delivery_minor, currency)
    return Item(key="delivery", price=price, rate=_rate(deal.delivery_tax_percent))


def _rate(percent: Decimal | None) -> Fraction | None:
    """The rate of tax of one line, when it has one of its own."""
    return None if percent is None else Fraction(percent) / 100


def _discount(off: Off | None, currency: str, field: str) -> Discount | None:
    return off.discount(currency, field=field) if off else None


def _lines(basis: PriceBasis, deal: Deal, found: Priced) -> Iterator[Line]:
    """Every line as printed, each discount under what it is given on."""
    priced = {item.key: item for item in found.items}
    for line in basis.lines:
        item = priced[line.key]
        count = f"{deal.quantity} × " if deal.quantity > 1 else ""
        whole = Amount.of(item.whole)
        yield Line(key=line.key, place=line.place, item=f"{count}{line.item}", amount=whole)
        off = deal.off(line.key)
        if off and item.off is not None:
            words = f"{_how_much(off)}{off.reason}"
            less = Amount.of(-item.off)
            yield Line(key=f"{OFF}{line.key}", place=DISCOUNT, item=words, amount=less)
    for key, added in deal.added:
        yield Line(key=key, place=ALSO, item=added.item, amount=Amount.of(priced[key].whole))


def _beside(deal: Deal, found: Priced) -> tuple[TotalLine, ...]:
    """The lines between the price list's lines and the total, if any."""
    beside = []
    if deal.whole and found.off is not None:
        words = f"{DISCOUNT} {_how_much(deal.whole)}{deal.whole.reason}"
        beside.append(TotalLine(label=words, amount=-found.off))
    if deal.delivery_minor or deal.delivery_words:
        words = (
            tr("Delivery: {delivery_words}", delivery_words=deal.delivery_words)
            if deal.delivery_words
            else tr("Delivery")
        )
        beside.append(TotalLine(label=words, amount=found.charges[0].whole))
    return (TotalLine(label=tr("Sum"), amount=found.listed), *beside) if beside else ()


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


def _total(line: TotalLine) -> Total:
    amount = Amount.of(line.amount)
    return Total(label=line.label, amount=amount.printed, main=line.main, money=amount)


def refuse_other_total(made: Pricing, shown: str) -> None:
    """Refuse a quote whose total is not the one on the page it was made from.

    Parameters
    ----------
    made : Pricing
    shown : str
        As printed; empty where nothing was shown.

    Raises
    ------
    Invalid
        When prices were changed since the page was shown.
    """
    if shown and shown != made.gross.printed:
        remedy = tr(
            (
                "prices have changed since this page was shown: the total is {total}, not "
                "{shown}; check it and decide again"
            ),
            total=made.gross.printed,
            shown=shown,
        )
        raise Invalid("total", shown, remedy)
