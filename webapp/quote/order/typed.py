"""Reads what is typed about an order: amounts paid, days, serial numbers."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from webapp.common.errors import Gathering, Invalid
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.common.text.typed_numbers import read_amount
from webapp.customers.typed import one_line
from webapp.quote.order.tables import PAID_BY

FURTHEST = timedelta(days=3 * 366)
_LONGEST_BACK = timedelta(days=2 * 366)


@dataclass(frozen=True, kw_only=True)
class TypedPayment:
    """One payment as noted."""

    amount: Money
    paid_by: str
    paid_on: date


def read_day(name: str, typed: str, *, first: date, last: date) -> date:
    """A day typed into a form.

    Raises
    ------
    Invalid
        For no day, or one outside what can be.
    """
    try:
        day = date.fromisoformat(typed.strip())
    except ValueError:
        remedy = tr("a day such as {example}", example=first.isoformat())
        raise Invalid(name, typed[:40], remedy) from None
    if not first <= day <= last:
        remedy = tr("a day from {first} to {last}", first=first.isoformat(), last=last.isoformat())
        raise Invalid(name, typed, remedy)
    return day


def coming_day(name: str, typed: str, *, today: date) -> date | None:
    """A day from today on; None where none was typed."""
    if not typed.strip():
        return None
    return read_day(name, typed, first=today, last=today + FURTHEST)


def read_payment(fields: Mapping[str, str], *, most: Money, today: date) -> TypedPayment:
    """One payment from its form.

    Parameters
    ----------
    fields : mapping of str to str
        As typed.
    most : Money
        More than this cannot be.
    today : date

    Raises
    ------
    Invalid
        With every field that cannot be used.
    """
    gathering = Gathering()
    typed = one_line(fields.get("amount", ""))
    amount = gathering.take(lambda: _amount(typed, most))
    paid_by = fields.get("paid_by", "")
    if paid_by not in PAID_BY:
        gathering.add("paid_by", paid_by[:40], tr("one of the ways listed"))
    day = gathering.take(
        lambda: read_day(
            "paid_on", fields.get("paid_on", ""), first=today - _LONGEST_BACK, last=today
        )
    )
    gathering.finish()
    return TypedPayment(
        amount=amount or Money(0, most.currency), paid_by=paid_by, paid_on=day or today
    )


def _amount(typed: str, most: Money) -> Money:
    found = read_amount("amount", typed or "-", most.currency)
    if not 0 < found.minor <= most.minor:
        remedy = tr("more than nothing and at most {most}", most=most.format())
        raise Invalid("amount", typed, remedy)
    return found


def read_kept(typed: str, paid: Money) -> Money:
    """How much of what was paid the shop keeps of an order that is cancelled.

    Raises
    ------
    Invalid
        For no amount, or more than was paid.
    """
    if not paid.minor:
        return paid
    found = read_amount("kept", one_line(typed) or "-", paid.currency)
    if found.minor > paid.minor:
        raise Invalid("kept", typed, tr("at most {paid}, which was paid", paid=paid.format()))
    return found


def read_serials(typed: str) -> tuple[str, ...]:
    """Serial numbers as typed, each once: one a line, or with commas between.

    >>> read_serials(" KN 26-014, KN 26-015;KN 26-014")
    ('KN 26-014', 'KN 26-015')
    """
    parts = (one_line(part) for part in re.split(r"[,;\n]", typed))
    return tuple(dict.fromkeys(part for part in parts if part))
