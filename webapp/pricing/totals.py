"""The lines under a build list: net, tax, total and deposit, in the order they are printed."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from webapp.common.text.language import language_and_numbers, tr
from webapp.common.text.money import Money
from webapp.common.text.units import minus, signed
from webapp.pricing.sale import Priced, Taxation


@dataclass(frozen=True, kw_only=True)
class TotalLine:
    """One line under the list; ``main`` is the sum to pay."""

    label: str
    amount: Money
    main: bool = False


def total_lines(
    priced: Priced, tax: Taxation, *, deposit_percent: str = "", traded_in: str = ""
) -> tuple[TotalLine, ...]:
    """What a sale comes to, line by line.

    Parameters
    ----------
    priced : Priced
    tax : Taxation
        Due where it is sold to.
    deposit_percent : str
        As printed; empty when the deposit was agreed as an amount.
    traded_in : str
        What is given in payment, in words; empty when nothing is.

    Returns
    -------
    tuple of TotalLine
    """
    bill = priced.bill
    gross = TotalLine(label=tr("Total"), amount=bill.gross, main=True)
    taxed = [each for each in bill.by_rate if each.gross.minor] or bill.by_rate
    rates = [(f"{tax.name} {_percent(each.rate)} %", each.tax) for each in taxed]
    if tax.included:
        # a shop that charges none says nothing of it
        rates = [] if all(not each.rate for each in taxed) else rates
        taxes = [TotalLine(label=tr("of which {rate}", rate=r), amount=t) for r, t in rates]
        lines = [gross, *taxes]
    else:
        net = TotalLine(label=tr("Net"), amount=bill.net)
        lines = [net, *(TotalLine(label=r, amount=t) for r, t in rates), gross]
    if traded_in:
        given = tr("Taken in payment: {traded_in}", traded_in=traded_in)
        lines.append(TotalLine(label=given, amount=priced.to_pay - bill.gross))
        lines.append(TotalLine(label=tr("Left to pay"), amount=priced.to_pay))
    return (*lines, TotalLine(label=_deposit_words(deposit_percent), amount=priced.deposit))


def _deposit_words(percent: str) -> str:
    if not percent:
        return tr("Deposit when ordering")
    return tr("Deposit when ordering, {deposit_percent} %", deposit_percent=percent)


def _percent(rate: Fraction) -> str:
    """A rate as it is printed; rates have at most two decimals.

    >>> _percent(Fraction(19, 100)), _percent(Fraction(55, 1000))
    ('19', '5.5')
    """
    return f"{(Decimal(rate.numerator) * 100 / rate.denominator).normalize():f}"


def printed_money(amount: Money) -> str:
    """An amount as sheets print it, with a true minus sign.

    >>> printed_money(Money(-5, "EUR"))
    '−0.05 EUR'
    """
    return _printed(amount.minor, amount.currency, language_and_numbers())


@lru_cache(maxsize=4096)  # prices recur in every list of lines
def _printed(minor: int, currency: str, written: tuple[str, str]) -> str:
    del written
    return minus(Money(minor, currency).format())


def signed_money(amount: Money) -> str:
    """A difference in price: its sign, and no decimals where they are all zero.

    >>> signed_money(Money(6000, "EUR")), signed_money(Money(-1250, "EUR"))
    ('+ 60 EUR', '− 12.50 EUR')
    """
    size = Money(abs(amount.minor), amount.currency)
    whole, _, decimals = size.figure().partition(".")
    figure = whole if not decimals.strip("0") else size.figure()
    return signed(f"{figure} {amount.currency}", positive=amount.minor > 0)
