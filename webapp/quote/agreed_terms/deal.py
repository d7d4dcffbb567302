"""What the shop agrees with a customer on top of the price list: discounts, delivery, times.

A deal is typed at the counter, frozen with the version it makes, and put back
into the form when the next version is made.
"""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Self

from pydantic import BaseModel, ConfigDict

from webapp.common.text.language import in_own_signs
from webapp.common.text.money import Money
from webapp.pricing.sums import Discount

MOST_OF_ONE = 99
LONGEST_REASON = 120
LONGEST_WORDS = 120
LONGEST_MESSAGE = 2000
LONGEST_TAX_NUMBER = 40
LONGEST_VALIDITY = timedelta(days=366)
OFF = "off_"
REASON = "_reason"
ADDED = "added_"
AMOUNT, COUNT, TAX = "_amount", "_count", "_tax"
ADDED_LINES = tuple(f"{ADDED}{n}" for n in range(1, 7))
"""Names of the lines that can be added, so that two people changing them can be merged."""
DEAREST = 100_000_000  # what can be typed as a price [minor units]; no bike costs a tenth of it


class _Given(BaseModel):
    """A piece of a deal."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class Off(_Given):
    """A discount as given: a percentage or an amount, and why."""

    percent: Decimal | None = None
    minor: int | None = None
    reason: str = ""

    def discount(self, currency: str, *, field: str) -> Discount:
        """The same for `webapp.pricing`, which refuses it at the field it was typed in."""
        if self.percent is not None:
            return Discount(part=Fraction(self.percent) / 100, field=field)
        return Discount(amount=Money(self.minor or 0, currency), field=field)

    def typed(self, currency: str) -> str:
        """The text of the form: ``5 %`` or ``120.00 EUR``.

        >>> Off(percent=Decimal("7.5")).typed("EUR"), Off(minor=12000).typed("EUR")
        ('7.5 %', '120.00 EUR')
        """
        if self.percent is not None:
            return _percent(self.percent)
        return _amount(self.minor or 0, currency)


class Added(_Given):
    """Work or a part that is not in the catalogue: what it is, the price of one, how many.

    The price is with or without tax as the price list is. The number is that of
    the whole quote, however many bikes it is for. Its rate of tax is that of the
    price list unless it has one of its own.
    """

    words: str
    minor: int
    count: int = 1
    tax_percent: Decimal | None = None

    @property
    def item(self) -> str:
        """As it is printed.

        >>> Added(words="Rack painted", minor=9000).item
        'Rack painted'
        >>> Added(words="Spare spoke", minor=150, count=8).item
        '8 × Spare spoke'
        """
        return f"{self.count} × {self.words}" if self.count > 1 else self.words


class TradedIn(_Given):
    """What the customer gives in payment, such as their old bike, and what it counts for.

    The price and its tax stay as they are: it is a way of paying, not a discount.
    """

    words: str
    minor: int


_WRITTEN = ("delivery_words", "tax_number", "lead_time", "message", "workshop_note")
"""Fields of a deal that hold what somebody wrote."""


class Deal(_Given):
    """Everything agreed; its defaults are what the price list and the shop say.

    Delivery is taxed as the price list is unless it has a rate of its own.
    """

    quantity: int = 1
    lines: tuple[tuple[str, Off], ...] = ()
    added: tuple[tuple[str, Added], ...] = ()
    whole: Off | None = None
    delivery_minor: int = 0
    delivery_words: str = ""
    delivery_tax_percent: Decimal | None = None
    destination: str = ""
    deposit_percent: Decimal | None = None
    deposit_minor: int | None = None
    traded_in: TradedIn | None = None
    tax_number: str = ""
    lead_time: str = ""
    valid_until: date | None = None
    message: str = ""
    workshop_note: str = ""

    def off(self, line: str) -> Off | None:
        """The discount on one line."""
        return dict(self.lines).get(line)

    def without_words(self) -> Self:
        """The same figures without anything somebody wrote, for when a person is erased."""
        bare = tuple((key, off.model_copy(update={"reason": ""})) for key, off in self.lines)
        added = tuple((key, each.model_copy(update={"words": ""})) for key, each in self.added)
        whole = self.whole.model_copy(update={"reason": ""}) if self.whole else None
        given = self.traded_in.model_copy(update={"words": ""}) if self.traded_in else None
        changed = {"lines": bare, "added": added, "whole": whole, "traded_in": given}
        return self.model_copy(update=changed | dict.fromkeys(_WRITTEN, ""))


def fields_of(deal: Deal, currency: str) -> dict[str, str]:
    """The deal as the fields of its form; the inverse of `read_deal`.

    Examples
    --------
    >>> fields = fields_of(Deal(quantity=2, delivery_minor=4500), "EUR")
    >>> fields["quantity"], fields["delivery"], fields["discount"]
    ('2', '45.00', '')
    """
    whole = deal.whole
    fields = {
        "quantity": str(deal.quantity),
        "discount": whole.typed(currency) if whole else "",
        "discount_reason": whole.reason if whole else "",
        "delivery": Money(deal.delivery_minor, currency).typed() if deal.delivery_minor else "",
        "delivery_words": deal.delivery_words,
        "delivery_tax": _rate(deal.delivery_tax_percent),
        "destination": deal.destination,
        "deposit": _deposit(deal, currency),
        "traded_in": deal.traded_in.words if deal.traded_in else "",
        "traded_in_amount": (
            Money(deal.traded_in.minor, currency).typed() if deal.traded_in else ""
        ),
        "tax_number": deal.tax_number,
        "lead_time": deal.lead_time,
        "valid_until": deal.valid_until.isoformat() if deal.valid_until else "",
        "message": deal.message,
        "workshop_note": deal.workshop_note,
    }
    for key, off in deal.lines:
        fields |= {f"{OFF}{key}": off.typed(currency), f"{OFF}{key}{REASON}": off.reason}
    return fields | _fields_added(deal, currency)


def _fields_added(deal: Deal, currency: str) -> dict[str, str]:
    """All lines that can be added; what is not used is empty."""
    fields = {key + part: "" for key in ADDED_LINES for part in ("", AMOUNT, COUNT, TAX)}
    for key, each in deal.added:
        fields |= {
            key: each.words,
            key + AMOUNT: Money(each.minor, currency).typed(),
            key + COUNT: str(each.count),
            key + TAX: _rate(each.tax_percent),
        }
    return fields


def _deposit(deal: Deal, currency: str) -> str:
    if deal.deposit_minor is not None:
        return _amount(deal.deposit_minor, currency)
    return "" if deal.deposit_percent is None else _percent(deal.deposit_percent)


def _rate(percent: Decimal | None) -> str:
    return "" if percent is None else _percent(percent)


def _percent(percent: Decimal) -> str:
    return in_own_signs(f"{percent.normalize():f} %")


def _amount(minor: int, currency: str) -> str:
    return f"{Money(minor, currency).typed()} {currency}"
