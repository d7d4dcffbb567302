"""All quotes as a table for other programs: CSV and JSON, a page at a time.

Amounts are whole minor units beside their currency and, in CSV, in decimal
notation too. A text that a spreadsheet would take for a formula gets an
apostrophe before it (OWASP, *CSV Injection*).
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from datetime import date
from typing import Any

from sqlalchemy import Engine
from sqlmodel import col, select

from webapp.ground.database import reading
from webapp.ground.money import Money
from webapp.quote.tables import EXPIRED, SENT, Quote, utc

AT_ONCE = 500
COLUMNS = (
    "number", "state", "made", "version", "sent_version", "customer", "mail", "note", "model",
    "size", "total", "total_minor", "currency", "valid_until", "waiting_for",
)  # fmt: skip
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def rows(engine: Engine, *, today: date) -> Iterator[dict[str, Any]]:
    """Every quote, oldest first, as plain values.

    Read in pieces, so that the export of many quotes neither holds a
    transaction open nor fills the memory.
    """
    last = 0
    while True:
        with reading(engine) as session:
            query = select(Quote).where(col(Quote.id) > last).order_by(col(Quote.id))
            piece = session.exec(query.limit(AT_ONCE)).all()
        if not piece:
            return
        last = piece[-1].id or last
        yield from (_row(quote, today) for quote in piece)


def _row(quote: Quote, today: date) -> dict[str, Any]:
    late = quote.state == SENT and quote.valid_until is not None and quote.valid_until < today
    return {
        "number": quote.number,
        "state": EXPIRED if late else quote.state,
        "made": utc(quote.created_at).isoformat(),
        "version": quote.current_version,
        "sent_version": quote.sent_version,
        "customer": quote.customer_name,
        "mail": quote.customer_mail,
        "note": quote.customer_note,
        "model": quote.model,
        "size": quote.size,
        "total": _decimal(quote),
        "total_minor": quote.gross_minor,
        "currency": quote.currency,
        "valid_until": quote.valid_until.isoformat() if quote.valid_until else None,
        "waiting_for": quote.waiting_for,
    }


def _decimal(quote: Quote) -> str:
    if not quote.currency:
        return ""
    amount = Money(quote.gross_minor, quote.currency).format()
    return amount.removesuffix(f" {quote.currency}").replace(",", "")


def as_csv(engine: Engine, *, today: date) -> Iterator[str]:
    """All quotes as CSV (RFC 4180), line by line, the names of the columns first."""
    yield _csv_line(COLUMNS)
    for row in rows(engine, today=today):
        yield _csv_line(tuple(_harmless(row[name]) for name in COLUMNS))


def _csv_line(cells: tuple[str, ...]) -> str:
    out = io.StringIO()
    csv.writer(out).writerow(cells)
    return out.getvalue()


def _harmless(value: object) -> str:
    text = "" if value is None else str(value)
    return f"'{text}" if text.startswith(_FORMULA) else text


def as_json(engine: Engine, *, today: date) -> Iterator[str]:
    """All quotes as one JSON array, piece by piece."""
    yield "["
    for at, row in enumerate(rows(engine, today=today)):
        yield (",\n" if at else "\n") + json.dumps(row, ensure_ascii=False)
    yield "\n]\n"
