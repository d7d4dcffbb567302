"""Amounts as the builder types and reads them; costs are shown to nobody else."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

from webapp.catalogue.reading.costs import margin_percent
from webapp.catalogue.writing.parts import DEAREST
from webapp.common.errors import Invalid
from webapp.common.text.language import in_own_signs, tr
from webapp.common.text.money import EXPONENTS, Money
from webapp.common.text.typed_numbers import read_amount
from webapp.common.text.units import minus


def cost_text(cost: Money | None, currency: str, write: Callable[[str], str] = in_own_signs) -> str:
    """A cost as it stands in a field: its currency behind, where it is another than the prices'.

    Parameters
    ----------
    cost : Money or None
    currency : str
        Of the prices.
    write : callable
        How a number printed by Python is written: `str` for a file.

    Examples
    --------
    >>> cost_text(Money(1250, "EUR"), "EUR"), cost_text(Money(1250, "USD"), "EUR")
    ('12.50', '12.50 USD')
    """
    if cost is None:
        return ""
    amount = write(cost.plain())
    return amount if cost.currency == currency else f"{amount} {cost.currency}"


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
        remedy = tr("an amount with its currency, such as {example:.2f} EUR", example=12.5)
        raise Invalid(field, plain, remedy)
    return amount_in_reason(amount if named else plain, used, field)


def amount_in_reason(text: str, currency: str, field: str) -> Money:
    """An amount that is not out of all reason.

    Raises
    ------
    Invalid
        For any other.
    """
    amount, highest = read_amount(field, text, currency), Money(DEAREST, currency)
    if highest < amount:
        raise Invalid(field, text, tr("from 0 to {highest}", highest=highest.format()))
    return amount


def margin_words(price: Money | None, cost: Money, *, tax_percent: Decimal) -> str:
    """What is left of a price, printed; empty where it cannot be told."""
    found = margin_percent(price, cost, tax_percent=tax_percent) if price else None
    return "" if found is None else minus(in_own_signs(f"{found} %"))
