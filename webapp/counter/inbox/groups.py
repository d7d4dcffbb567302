"""The inbox: what waits for the shop, and what the shop waits for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlmodel import Session

from webapp.common.text.dates import day_in_words
from webapp.common.text.language import tr
from webapp.common.timestamps import day_of
from webapp.counter.lists import Row, address_of, how_long, what_waits
from webapp.counter.orders.section import DUE_WORDS
from webapp.mail.outbox import given_up_about
from webapp.quote.lifecycle.reminding import last_reminders
from webapp.quote.order.due import Due, DueOrder, orders_due
from webapp.quote.storage.search import Entry, expiring, inbox
from webapp.quote.storage.write import (
    ANSWERED,
    CANCELLED,
    CANCELLING,
    QUESTION,
    REQUEST,
    UNDELIVERED,
)

SOON = timedelta(days=6)  # this week: today and six days more
PATIENCE = timedelta(days=7)  # between two reminders
_FOR_CUSTOMER = {Due.DEPOSIT_LATE, Due.DEPOSIT_OPEN}
# What is done next for whoever waits: its words, and its place below the quote's address.
_NEXT = {
    REQUEST: (tr("Measure"), "/fit"),
    QUESTION: (tr("Answer"), "#f-text"),
    UNDELIVERED: (tr("Write again"), "#f-text"),
    ANSWERED: (tr("Order"), "#order"),
    CANCELLING: (tr("Order"), "#order"),
    CANCELLED: (tr("Order"), "#order"),
}


@dataclass(frozen=True, kw_only=True)
class Group:
    """Rows that wait for the same people; ``when`` heads the column of days."""

    heading: str
    when: str
    rows: tuple[Row, ...]
    empty: str


@dataclass(frozen=True, kw_only=True)
class Waiting:
    """All that waits, as read from the database."""

    asked: tuple[Entry, ...]
    ending: tuple[Entry, ...]
    orders: tuple[DueOrder, ...]
    unsent: dict[str, str]
    reminded: dict[int, datetime]


def read_waiting(session: Session, *, today: date) -> Waiting:
    """All that waits on a day.

    Parameters
    ----------
    session : Session
        A reading session.
    today : date
    """
    asked = inbox(session, today=today)
    ending = expiring(session, today=today, until=today + SOON)
    orders = orders_due(session, today=today)
    unsent = given_up_about(session, [entry.number for entry in asked])
    there = {*(entry.id for entry in ending), *(order.quote_id for order in orders)}
    reminded = last_reminders(session, there) if there else {}
    return Waiting(asked=asked, ending=ending, orders=orders, unsent=unsent, reminded=reminded)


def inbox_groups(waiting: Waiting, *, at: datetime, gone: Iterable[int]) -> tuple[Group, ...]:
    """The inbox printed: first what waits for the shop, then what the shop waits for.

    Parameters
    ----------
    waiting : Waiting
    at : datetime
    gone : iterable of int
        Rows of quotes that hold something no longer offered.
    """
    lost = set(gone)
    ours = (
        *(_asked(entry, waiting, at, gone=entry.id in lost) for entry in waiting.asked),
        *_due(waiting, at, for_customer=False),
    )
    theirs = (
        *(_ending(entry, waiting, at) for entry in waiting.ending),
        *_due(waiting, at, for_customer=True),
    )
    return (
        Group(
            heading=tr("Waiting for us"),
            when=tr("Since, or due"),
            rows=ours,
            empty=tr("Nobody is waiting for the shop."),
        ),
        Group(
            heading=tr("Waiting for the customer"),
            when=tr("Until"),
            rows=theirs,
            empty=tr("No quote ends this week, and no deposit is open."),
        ),
    )


def _asked(entry: Entry, waiting: Waiting, at: datetime, *, gone: bool) -> Row:
    since = entry.waiting_since or at
    what = what_waits(entry, waiting.unsent.get(entry.number, ""), gone=gone)
    build = f"{entry.model}, {entry.size}"
    words, place = _NEXT.get(entry.waiting_for, (tr("Look"), ""))
    return Row(
        href=address_of(entry.number),
        faded=False,
        cells=(entry.number, what, entry.name, build, how_long(since, at), entry.total),
        next_words=words,
        next_href=f"{address_of(entry.number)}{place}",
    )


def _ending(entry: Entry, waiting: Waiting, at: datetime) -> Row:
    until = day_in_words(entry.valid_until) if entry.valid_until else ""
    words, href = _reminder(entry.number, waiting.reminded.get(entry.id), at)
    return Row(
        href=address_of(entry.number),
        faded=False,
        cells=(
            entry.number,
            tr("ends this week"),
            entry.name,
            f"{entry.model}, {entry.size}",
            until,
            entry.total,
        ),
        next_words=words,
        next_href=href,
    )


def _due(waiting: Waiting, at: datetime, *, for_customer: bool) -> Iterator[Row]:
    for order in waiting.orders:
        due = [each for each in order.due if (each in _FOR_CUSTOMER) is for_customer]
        if not due:
            continue
        day = order.deposit_due_on if for_customer else order.promised_on
        words, href = "", ""
        if for_customer:
            words, href = _reminder(order.number, waiting.reminded.get(order.quote_id), at)
        yield Row(
            href=address_of(order.number),
            faded=False,
            cells=(
                order.number,
                ", ".join(DUE_WORDS[each] for each in due),
                order.customer,
                order.build,
                day_in_words(day) if day else "",
                "",
            ),
            next_words=words,
            next_href=href,
        )


def _reminder(number: str, last: datetime | None, at: datetime) -> tuple[str, str]:
    """The link to a reminder, which says when the last one went."""
    href = f"{address_of(number)}/remind"
    if last is None or at - last > PATIENCE:
        return tr("Remind them"), href
    return tr("Reminded on {day}", day=day_in_words(day_of(last))), href
