"""Amounts as the builder types and reads them; costs are shown to nobody else."""

from __future__ import annotations

import re
from decimal import Decimal

from webapp.catalogue.reading.costs import margin_percent
from webapp.catalogue.writing.parts import DEAREST
from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.common.text.money import EXPONENTS, Money
from webapp.common.text.units import minus

_GROUPS = re.compile(r"[\s'’]")  # separators of thousands in some styles of number


def plain_amount(amount: Money) -> str:
    """An amount as it is typed into a field.

    >>> plain_amount(Money(123450, "EUR"))
    '1234.50'
    """
    return amount.plain()


def read_amount(text: str, currency: str, field: str) -> int:
    """An amount as typed, in minor units; point or comma before the cents.

    Raises
    ------
    Invalid
        For anything else.

    Examples
    --------
    >>> read_amount("129,50", "EUR", "price"), read_amount("1234.5", "EUR", "price")
    (12950, 123450)
    >>> read_amount("18 500", "NOK", "price"), read_amount("1.234,50", "EUR", "price")
    (1850000, 123450)
    """
    plain = _GROUPS.sub("", text)
    if "," in plain and "." in plain:  # the later one is before the cents
        plain = plain.replace(min(",.", key=plain.rindex), "")
    if plain.count(",") == 1:
        plain = plain.replace(",", ".")
    try:
        return Money.parse(plain, currency).minor
    except ValueError:
        raise Invalid(
            field,
            text[:60],
            tr(
                "an amount such as {example}",
                example=Money(129 * 10 ** EXPONENTS[currency], currency),
            ),
        ) from None


def cost_text(cost: Money | None, currency: str) -> str:
    """A cost as it stands in a field: its currency behind, where it is another than the prices'.

    >>> cost_text(Money(1250, "EUR"), "EUR"), cost_text(Money(1250, "USD"), "EUR")
    ('12.50', '12.50 USD')
    """
    if cost is None:
        return ""
    return cost.plain() if cost.currency == currency else f"{cost.plain()} {cost.currency}"


def read_cost(text: str, currency: str, field: str) -> Money | None:
    """A cost as typed; None for an empty text.

    Parameters
    ----------
    text : str
        Its currency may stand behind.
    currency : str
        Of the prices; empty without a price list.
    field : str

    Raises
    ------
    Invalid
        For what is no amount, or one without a currency.

    Examples
    --------
    >>> read_cost("12,50", "EUR", "cost"), read_cost("9 usd", "EUR", "cost")
    (Money(minor=1250, currency='EUR'), Money(minor=900, currency='USD'))
    """
    plain = text.strip()
    if not plain:
        return None
    amount, _, behind = plain.rpartition(" ")
    named = behind.upper() in EXPONENTS
    used = behind.upper() if named else currency
    if not used:
        raise Invalid(field, plain, tr("an amount with its currency, such as 12.50 EUR"))
    return Money(amount_in_reason(amount if named else plain, used, field), used)


def amount_in_reason(text: str, currency: str, field: str) -> int:
    """An amount in minor units, neither negative nor out of all reason.

    Raises
    ------
    Invalid
        For any other.
    """
    minor = read_amount(text, currency, field)
    if not 0 <= minor <= DEAREST:
        highest = Money(DEAREST, currency).format()
        raise Invalid(field, text, tr("from 0 to {highest}", highest=highest))
    return minor


def margin_words(price: Money | None, cost: Money, *, tax_percent: Decimal) -> str:
    """What is left of a price, printed; empty where it cannot be told."""
    found = margin_percent(price, cost, tax_percent=tax_percent) if price else None
    return "" if found is None else minus(f"{found} %")
