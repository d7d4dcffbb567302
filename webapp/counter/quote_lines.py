"""Lines about one quote at the counter: its versions, its mails, what happened."""

from __future__ import annotations

from dataclasses import dataclass

from sqlmodel import Session, col, select

from webapp.catalogue.lookup import row_id
from webapp.common.text.dates import day_in_words, moment_in_words
from webapp.common.text.language import tr
from webapp.common.timestamps import local
from webapp.counter.event_words import event_in_words, values_in_words
from webapp.counter.lists import address_of
from webapp.mail.outbox import MailState
from webapp.quote.storage.current_version import accepted_of
from webapp.quote.storage.read import QuoteView
from webapp.quote.storage.write import RIDER
from webapp.quote.tables import Quote, QuoteEvent, QuoteVersion


@dataclass(frozen=True, kw_only=True)
class VersionLine:
    """One version in the list."""

    number: int
    words: str
    href: str
    shown: bool
    compare: str


@dataclass(frozen=True, kw_only=True)
class EventLine:
    """One thing that happened; ``text`` is what somebody wrote."""

    moment: str
    words: str
    text: str


def version_lines(session: Session, quote: Quote, shown: QuoteView) -> tuple[VersionLine, ...]:
    """Every version, newest first, the one shown marked."""
    rows = session.exec(
        select(QuoteVersion.number, QuoteVersion.created_at, QuoteVersion.created_by)
        .where(QuoteVersion.quote_id == row_id(quote))
        .order_by(col(QuoteVersion.number).desc())
    ).all()
    address = address_of(quote.number)
    before_each = [*(number for number, _, _ in rows[1:]), 0]
    return tuple(
        VersionLine(
            number=number,
            words=_version_words(quote, number, day_in_words(local(made)), who_in_words(who)),
            href=f"{address}?version={number}",
            shown=number == shown.version,
            compare=f"{address}/compare?a={before}&b={number}" if before else "",
        )
        for (number, made, who), before in zip(rows, before_each, strict=True)
    )


def _version_words(quote: Quote, number: int, day: str, who: str) -> str:
    """When a version was made and by whom, and what has become of it."""
    if number == accepted_of(quote):
        return tr("{day}, {who}, accepted", day=day, who=who)
    if number == quote.sent_version:
        return tr("{day}, {who}, open to the customer", day=day, who=who)
    if number > (quote.sent_version or 0):
        return tr("{day}, {who}, draft", day=day, who=who)
    return tr("{day}, {who}", day=day, who=who)


def mail_line(mail: MailState) -> str:
    """One mail: when, what, to whom, and what became of it."""
    moment = moment_in_words(mail.moment)
    line = tr(
        "{moment}: “{subject}” to {address}, {state}",
        moment=moment,
        subject=mail.subject,
        address=mail.to_mail,
        state=mail.state,
    )
    return tr("{mail} ({error})", mail=line, error=mail.error) if mail.error else line


def _event_words(row: QuoteEvent) -> str:
    """What happened, and what was noted with it."""
    values = values_in_words(row.detail)
    said = _who_did_what(row)
    return tr("{what} ({values})", what=said, values=values) if values else said


def _who_did_what(row: QuoteEvent) -> str:
    """Who did what, with which version, and the name it was signed with."""
    what = event_in_words(row.what)
    name, who = row.detail.get("name"), who_in_words(row.who)
    if row.version and name:
        return tr(
            "{who}: {what}, version {version}, signed “{name}”",
            who=who,
            what=what,
            version=row.version,
            name=name,
        )
    if row.version:
        return tr("{who}: {what}, version {version}", who=who, what=what, version=row.version)
    if name:
        return tr("{who}: {what}, signed “{name}”", who=who, what=what, name=name)
    return tr("{who}: {what}", who=who, what=what)


def who_in_words(who: str) -> str:
    """Who did something to a quote: the rider, or somebody of the shop by name."""
    return tr("rider") if who == RIDER else who


def event_line(row: QuoteEvent) -> EventLine:
    """One thing that happened."""
    return EventLine(
        moment=moment_in_words(row.at),
        words=_event_words(row),
        text=str(row.detail.get("text", "")),
    )
