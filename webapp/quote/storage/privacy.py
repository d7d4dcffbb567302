"""One person's data: what is kept and why, taken out as a whole, erased as a whole.

A quote's figures belong to the accounts and stay; the customer is erased from every version,
event, mail and index, and their entry is deleted. The frozen content of a bike holds nothing of
a person except free text in the deal, which is emptied.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime
from typing import Any

from sqlmodel import Session, col, select

from webapp.catalogue.lookup import row_id
from webapp.common.errors import NotFound
from webapp.common.text.language import tr
from webapp.common.timestamps import day_of
from webapp.customers.store import customer_row, forget, mail_key, with_mail
from webapp.customers.tables import CustomerRow
from webapp.outcomes.store import forget_bodies
from webapp.quote.agreed_terms.deal import ADDED, OFF
from webapp.quote.customer import CUSTOMER_DATA, Customer
from webapp.quote.freezing.content import QuoteContent
from webapp.quote.order.read import forget_words
from webapp.quote.states import ORDERS
from webapp.quote.storage.export import events_of, mails_of, whole_entry, whole_quote
from webapp.quote.storage.people import quotes_of_customer
from webapp.quote.storage.search_index import leave_no_trace
from webapp.quote.storage.write import note_event
from webapp.quote.tables import Quote, QuoteVersion

ERASED = Customer(name="", mail="")
_PERSONAL = ("name", "text", "address")  # details of events that may hold personal data

KEPT = (
    (
        tr("Your name, mail address and telephone number"),
        tr("so that we know whom the quote is for and can answer"),
    ),
    (
        tr("Your note, questions, our answers, what you say about the bike later"),
        tr("because the quote was made from them, and to advise you better next time"),
    ),
    (tr("Your measurements, if you gave any"), tr("because the size was chosen from them")),
    (
        tr("The typed name, your address and the time when you order"),
        tr("as a record of the order, and to know where the bike goes"),
    ),
    (
        tr("What you paid, when and how, and who took the bike"),
        tr("so that both sides know what is left to pay, and what was handed over"),
    ),
    (tr("The bike, its price and its drawing"), tr("so that the quote reads the same years later")),
)
"""What is kept of a customer, and why: shown with every quote."""


def quotes_of(session: Session, mail: str) -> Sequence[Quote]:
    """Every quote of a mail address, however it was written, and of whoever has it today.

    Raises
    ------
    NotFound
        When there is none.
    """
    wanted = mail_key(mail)
    same = col(Quote.customer_mail).ilike(_literal(wanted), escape="\\")
    rows = session.exec(select(Quote).where(same))
    found = {row.id: row for row in rows.all() if mail_key(row.customer_mail) == wanted}
    for entry in with_mail(session, mail):
        found |= {row.id: row for row in quotes_of_customer(session, entry)}
    if not wanted or not found:
        raise NotFound("mail", mail[:254], tr("an address that a quote was made for"))
    return list(found.values())


def _literal(wanted: str) -> str:
    """The address as a pattern that matches only itself, whatever its case."""
    return wanted.replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_")


def person_as_json(session: Session, mail: str) -> dict[str, Any]:
    """Everything kept under a mail address, for the person to take away.

    Parameters
    ----------
    session : Session
        A reading session.
    mail : str

    Returns
    -------
    dict
        Plain JSON values: entries, and quotes with all versions, events and mails.

    Raises
    ------
    NotFound
        When nothing is kept under this address.
    """
    quotes = quotes_of(session, mail)
    return {
        "mail": mail.strip(),
        "customers": [whole_entry(session, each) for each in with_mail(session, mail)],
        "quotes": [whole_quote(session, quote) for quote in quotes],
    }


def customer_as_json(session: Session, row: CustomerRow) -> dict[str, Any]:
    """Everything kept about a customer, with or without a mail address."""
    quotes = quotes_of_customer(session, row)
    return {
        "customer": whole_entry(session, row),
        "quotes": [whole_quote(session, quote) for quote in quotes],
    }


def erase_customer(session: Session, row: CustomerRow, *, who: str, at: datetime) -> int:
    """Erase a customer: from all their quotes, and the entry itself.

    Returns
    -------
    int
        How many quotes they were erased from.
    """
    number = row_id(row)
    count = erase(session, quotes_of_customer(session, row), who=who, at=at)
    if session.get(CustomerRow, number) is not None:
        forget(session, row)
    return count


def erase(session: Session, quotes: Iterable[Quote], *, who: str, at: datetime) -> int:
    """Erase the person from quotes; the figures stay.

    Parameters
    ----------
    session : Session
        A writing session.
    quotes : iterable of Quote
    who : str
        Who does it.
    at : datetime

    Returns
    -------
    int
        How many quotes were erased.
    """
    count = 0
    entries: set[int] = set()
    for quote in quotes:
        count += 1
        entries |= {quote.customer_id} if quote.customer_id is not None else set()
        quote.customer_id = None
        quote.customer_name = quote.customer_mail = quote.customer_note = ""
        quote.erased_at, quote.waiting_since, quote.waiting_for = at, None, ""
        session.add(quote)
        _erase_versions(session, quote)
        forget_bodies(session, [quote.number])
        for event in events_of(session, quote):
            event.detail = {k: v for k, v in event.detail.items() if k not in _PERSONAL}
            session.add(event)
        forget_words(session, quote)
        for mail in mails_of(session, quote):
            session.delete(mail)
        note_event(session, quote, who=who, what="customer erased", at=at)
    session.flush()
    for entry in entries:
        _forget_without_quotes(session, entry)
    leave_no_trace(session)
    return count


def _forget_without_quotes(session: Session, number: int) -> None:
    """Forget a customer to whom no quote belongs any longer."""
    if session.exec(select(Quote.id).where(Quote.customer_id == number)).first() is None:
        forget(session, customer_row(session, number))


def _erase_versions(session: Session, quote: Quote) -> None:
    for row in session.exec(
        select(QuoteVersion).where(QuoteVersion.quote_id == row_id(quote))
    ).all():
        content = QuoteContent.model_validate(row.content)
        price = content.price
        bare = content.model_copy(
            update={
                "deal": content.deal.without_words(),
                "lead_time": tr("as agreed") if content.deal.lead_time else content.lead_time,
                "terms": _without_tax_number(content),
                "price": price.model_copy(update=_without_reasons(content)),
            }
        )
        row.customer = CUSTOMER_DATA.dump_python(ERASED, mode="json")
        row.content = bare.model_dump(mode="json")
        session.add(row)


def _without_tax_number(content: QuoteContent) -> tuple[str, ...]:
    number = content.deal.tax_number
    return tuple(line for line in content.terms if not number or number not in line)


def _without_reasons(content: QuoteContent) -> dict[str, Any]:
    """Lines and totals as printed, without reasons typed at the counter."""
    written = [off.reason for _, off in content.deal.lines]
    written += [content.deal.whole.reason] if content.deal.whole else []
    written += [content.deal.delivery_words]
    written += [added.words for _, added in content.deal.added]
    written += [content.deal.traded_in.words] if content.deal.traded_in else []

    def bare(text: str) -> str:
        for words in filter(None, written):
            text = text.removesuffix(words).rstrip(": ")
        return text

    price = content.price
    return {
        "lines": tuple(
            line.model_copy(update={"item": bare(line.item)})
            if line.key.startswith((OFF, ADDED))
            else line
            for line in price.lines
        ),
        "totals": tuple(t.model_copy(update={"label": bare(t.label)}) for t in price.totals),
    }


def overdue(session: Session, *, today: date, months: int) -> Sequence[Quote]:
    """Quotes whose customers ordered nothing and whose data need not be kept any longer.

    Parameters
    ----------
    session : Session
    today : date
    months : int
        How long they are kept after the quote's last day.

    Returns
    -------
    sequence of Quote
    """
    last = months_before(today, months)
    query = select(Quote).where(
        col(Quote.state).not_in(ORDERS),
        col(Quote.erased_at).is_(None),
        col(Quote.valid_until) < last,
    )
    return session.exec(query.order_by(col(Quote.id))).all()


def overdue_entries(session: Session, *, today: date, months: int) -> Sequence[CustomerRow]:
    """Customers entered as long ago who have no quote at all."""
    has_none = ~select(Quote.id).where(Quote.customer_id == CustomerRow.id).exists()
    query = select(CustomerRow).where(has_none).order_by(col(CustomerRow.id))
    last = months_before(today, months)
    return [row for row in session.exec(query).all() if day_of(row.created_at) < last]


def months_before(day: date, months: int) -> date:
    """The same day some months earlier, or the last day of that month.

    >>> months_before(date(2026, 3, 31), 1), months_before(date(2026, 1, 15), 24)
    (datetime.date(2026, 2, 28), datetime.date(2024, 1, 15))
    """
    whole = day.year * 12 + day.month - 1 - months
    year, month = divmod(whole, 12)
    for last in (day.day, 30, 29, 28):
        try:
            return date(year, month + 1, last)
        except ValueError:
            continue
    raise ValueError(tr("no such month before {day}", day=day))
