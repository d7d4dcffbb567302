"""All quotes for other programs: a table as CSV, everything as JSON, piece by piece.

Amounts are whole minor units beside their currency and, in CSV, in decimal
notation too. A text that a spreadsheet would take for a formula gets an
apostrophe before it (OWASP, *CSV Injection*).
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any

from sqlalchemy import Engine
from sqlmodel import Session, col, select

from webapp.catalogue.lookup import row_id
from webapp.common.storage.database import reading
from webapp.common.text.money import Money
from webapp.common.timestamps import utc
from webapp.customers import store
from webapp.customers.tables import CustomerRow
from webapp.mail.outbox import about_shop
from webapp.mail.tables import Mail
from webapp.outcomes.store import whole_outcomes
from webapp.quote.order.read import whole_order
from webapp.quote.states import on_day
from webapp.quote.storage.current_version import accepted_of, standing_version
from webapp.quote.tables import Quote, QuoteEvent, QuoteVersion

AT_ONCE = 500
WHOLE_AT_ONCE = 20
COLUMNS = (
    "number", "state", "made", "version", "sent_version", "accepted_version", "total_of_version",
    "customer", "mail", "note", "model", "size", "total", "total_minor", "currency",
    "valid_until", "waiting_for",
)  # fmt: skip
"""Model, size, total and last day are those of ``total_of_version``: the one that stands."""
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
    return {
        "number": quote.number,
        "state": on_day(quote.state, quote.valid_until, today),
        "made": utc(quote.created_at).isoformat(),
        "version": quote.current_version,
        "sent_version": quote.sent_version,
        "accepted_version": accepted_of(quote),
        "total_of_version": standing_version(quote),
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
    return Money(quote.gross_minor, quote.currency).plain()


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


def as_json(engine: Engine) -> Iterator[str]:
    """Everything as one JSON array, quote by quote: versions, events and mails."""
    yield "["
    last, comma = 0, ""
    while True:
        with reading(engine) as session:
            query = select(Quote).where(col(Quote.id) > last).order_by(col(Quote.id))
            piece = session.exec(query.limit(WHOLE_AT_ONCE)).all()
            wholes = [json.dumps(whole_quote(session, q), ensure_ascii=False) for q in piece]
        if not piece:
            break
        last = piece[-1].id or last
        for whole in wholes:
            yield f"{comma}\n{whole}"
            comma = ","
    yield "\n]\n"


def whole_quote(session: Session, quote: Quote) -> dict[str, Any]:
    """Everything about one quote as plain JSON values, without its drawings."""
    versions = select(QuoteVersion).where(QuoteVersion.quote_id == row_id(quote))
    return {
        "number": quote.number,
        "state": quote.state,
        "made": utc(quote.created_at).isoformat(),
        "sent_version": quote.sent_version,
        "accepted_version": accepted_of(quote),
        "versions": [
            {
                "number": row.number,
                "made": utc(row.created_at).isoformat(),
                "made_by": row.created_by,
                "customer": row.customer,
                "content": _undrawn(row.content),
            }
            for row in session.exec(versions.order_by(col(QuoteVersion.number))).all()
        ],
        "events": [
            {"at": utc(e.at).isoformat(), "who": e.who, "what": e.what, **e.detail}
            for e in events_of(session, quote)
        ],
        "order": whole_order(session, quote),
        "outcomes": whole_outcomes(session, quote.number),
        "mails": [
            {"to": m.to_mail, "subject": m.subject, "body": m.body, "state": m.state}
            for m in mails_of(session, quote)
        ],
    }


def _undrawn(content: dict[str, Any]) -> dict[str, Any]:
    """What a version says without its drawings."""
    bare = {name: value for name, value in content.items() if name != "drawing"}
    return bare | {"further": [_undrawn(bike) for bike in content.get("further", ())]}


def whole_entry(session: Session, row: CustomerRow) -> dict[str, Any]:
    """Everything a customer's entry holds, as plain JSON values."""
    return {
        **{name: getattr(row, name) for name in store.FIELDS},
        "since": utc(row.created_at).isoformat(),
        "consents": [
            {
                "what": each.what,
                "how": each.how,
                "given_on": each.given_on.isoformat(),
                "withdrawn_on": each.withdrawn_on.isoformat() if each.withdrawn_on else None,
            }
            for each in store.consents_of(session, row)
        ],
        "events": [
            {"at": utc(e.at).isoformat(), "who": e.who, "what": e.what, **e.detail}
            for e in store.events_of(session, row)
        ],
    }


def events_of(session: Session, quote: Quote) -> Sequence[QuoteEvent]:
    """What happened to a quote, oldest first."""
    query = select(QuoteEvent).where(QuoteEvent.quote_id == row_id(quote))
    return session.exec(query.order_by(col(QuoteEvent.id))).all()


def mails_of(session: Session, quote: Quote) -> Sequence[Mail]:
    """Mails about a quote."""
    about = (quote.number, about_shop(quote.number))
    return session.exec(select(Mail).where(col(Mail.about).in_(about))).all()
