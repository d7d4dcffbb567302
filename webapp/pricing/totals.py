"""The lines under a build list: net, tax, total and deposit, in the order they are printed."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.common.text.units import minus, signed
from webapp.pricing.sale import Priced, Taxation


@dataclass(frozen=True, kw_only=True)
class TotalLine:
    """One line under the list; ``main`` is the sum to pay."""

    label: str
    amount: Money
    main: bool = False


def total_lines(priced: Priced, tax: Taxation, *, deposit_percent: str) -> tuple[TotalLine, ...]:
    """What a sale comes to, line by line.

    Parameters
    ----------
    priced : Priced
    tax : Taxation
        Due where it is sold to.
    deposit_percent : str
        As printed.

    Returns
    -------
    tuple of TotalLine
    """
    bill, rate = priced.bill, f"{tax.name} {tax.percent} %"
    gross = TotalLine(label=tr("Total"), amount=bill.gross, main=True)
    deposit = TotalLine(
        label=tr("Deposit when ordering, {deposit_percent} %", deposit_percent=deposit_percent),
        amount=priced.deposit,
    )
    if tax.included and not tax.rate:  # a shop that charges none says nothing of it
        return (gross, deposit)
    if tax.included:
        return (gross, TotalLine(label=tr("of which {rate}", rate=rate), amount=bill.tax), deposit)
    net = TotalLine(label=tr("Net"), amount=bill.net)
    return (net, TotalLine(label=rate, amount=bill.tax), gross, deposit)


def printed_money(amount: Money) -> str:
    """An amount as sheets print it, with a true minus sign.

    >>> printed_money(Money(-5, "EUR"))
    '−0.05 EUR'
    """
    return minus(amount.format())


def signed_money(amount: Money) -> str:
    """A difference in price: its sign, and no decimals where they are all zero.

    >>> signed_money(Money(6000, "EUR")), signed_money(Money(-1250, "EUR"))
    ('+ 60 EUR', '− 12.50 EUR')
    """
    size = Money(abs(amount.minor), amount.currency)
    whole, _, decimals = size.figure().partition(".")
    figure = whole if not decimals.strip("0") else size.figure()
    return signed(f"{figure} {amount.currency}", positive=amount.minor > 0)
