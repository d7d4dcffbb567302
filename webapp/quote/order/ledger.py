"""What an order costs, what was paid of it, and what is left: whole minor units, no rounding."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from webapp.common.text.money import Money
from webapp.quote.freezing.content import Pricing


@dataclass(frozen=True, kw_only=True)
class Ledger:
    """The money of one order.

    Parameters
    ----------
    price, deposit : Money
        Of the accepted version; what is taken in payment is off the price already.
    paid : Money
        All that was paid, less what was paid back.
    kept : Money or None
        What the shop keeps of an order that was cancelled; None of one that was not.

    Examples
    --------
    >>> euros = [Money(each, "EUR") for each in (200_000, 60_000, 25_000)]
    >>> ledger = Ledger(price=euros[0], deposit=euros[1], paid=euros[2])
    >>> ledger.deposit_left.format(), ledger.left.format(), ledger.to_pay_back.format()
    ('350.00 EUR', '1,750.00 EUR', '0.00 EUR')
    """

    price: Money
    deposit: Money
    paid: Money
    kept: Money | None = None

    @property
    def _none(self) -> Money:
        return Money(0, self.price.currency)

    @property
    def due(self) -> Money:
        """The amount to be paid in all: the price, or what the shop keeps."""
        return self.price if self.kept is None else self.kept

    @property
    def deposit_left(self) -> Money:
        """The part of the deposit not paid yet."""
        asked = self.deposit if self.kept is None else self._none
        return max(asked - self.paid, self._none, key=lambda each: each.minor)

    @property
    def left(self) -> Money:
        """What is left to pay."""
        return max(self.due - self.paid, self._none, key=lambda each: each.minor)

    @property
    def to_pay_back(self) -> Money:
        """The amount paid beyond what is to be paid."""
        return max(self.paid - self.due, self._none, key=lambda each: each.minor)

    def with_paid(self, amount: Money) -> Ledger:
        """The same after an amount more was paid."""
        return Ledger(
            price=self.price, deposit=self.deposit, paid=self.paid + amount, kept=self.kept
        )


def ledger(price: Pricing, paid: Iterable[int], *, kept: int | None = None) -> Ledger:
    """The money of an order from its frozen price and the payments, in minor units."""
    currency = price.gross.currency
    to_pay = price.to_pay or price.gross
    return Ledger(
        price=Money(to_pay.minor, currency),
        deposit=Money(price.deposit.minor, currency),
        paid=Money(sum(paid), currency),
        kept=None if kept is None else Money(kept, currency),
    )
