"""What the page of one quote at the counter shows."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from sqlmodel import Session

from webapp.accounts.people import Person
from webapp.common.errors import DomainError, form_errors
from webapp.common.security.tokens import new_key
from webapp.common.text.language import tr
from webapp.common.timestamps import day_of
from webapp.counter.customers.list_page import address_of_customer
from webapp.counter.lists import address_of
from webapp.counter.mail_words import mail_of, mail_words
from webapp.counter.messages import mail_link, quote_message
from webapp.counter.orders.section import OrderSection, order_section
from webapp.counter.quote_bar import QuoteBar, quote_bar
from webapp.counter.quote_lines import (
    EventLine,
    VersionLine,
    event_line,
    mail_line,
    version_lines,
)
from webapp.mail.outbox import Message, mails_about
from webapp.mail.tables import FAILED
from webapp.quote.freezing.bikes import MOST_BIKES, heading_of, in_short
from webapp.quote.lifecycle.once import events_of, sendings_in
from webapp.quote.lifecycle.refusals import why_not_sent
from webapp.quote.lifecycle.situation import situation_of
from webapp.quote.lifecycle.still_offered import Gone, gone_since, unconfirmed
from webapp.quote.printing.sheet import SheetPage, sheet_page
from webapp.quote.states import (
    Event,
    Situation,
    State,
    may_happen,
    to_be_confirmed,
)
from webapp.quote.storage.current_version import accepted_of, change_offered, standing_version
from webapp.quote.storage.read import QuoteView, view_of
from webapp.quote.tables import Quote


@dataclass(frozen=True, kw_only=True)
class Allowed:
    """What can be done with the quote now."""

    send: bool
    again: bool
    approve: bool
    accept: bool
    decline: bool
    withdraw: bool
    settle: bool
    throw_away: bool
    remind: bool
    why_not_sent: str


@dataclass(frozen=True, kw_only=True)
class Confirming:
    """What the shop has to confirm before it sends, or before the customer can accept.

    ``sending`` and ``accepting`` are the sentences, empty where nothing is asked;
    the keys beside them go back with the form.
    """

    sending: tuple[str, ...]
    sending_keys: str
    accepting: tuple[str, ...]
    accepting_keys: str


@dataclass(frozen=True, kw_only=True)
class BikeLink:
    """One bike of the quote: what it is, and where it is changed, taken out or built by."""

    words: str
    change: str
    take_out: str


@dataclass(frozen=True, kw_only=True)
class QuotePage:
    """A quote at the counter: its sheet, and everything about it."""

    person: Person
    number: str
    customer: str
    customer_address: str
    summary: str
    address: str
    sheet: SheetPage
    state: str
    state_kept: str
    state_words: str
    version: int
    current: int
    newer: str
    versions: tuple[VersionLine, ...]
    events: tuple[EventLine, ...]
    mails: tuple[str, ...]
    mail_words: str
    mail_failed: bool
    mails_it: bool
    send_words: str
    sendings: int
    message: Message | None
    mail_link: str
    answer_hint: str
    allowed: Allowed
    order: OrderSection | None
    gone: tuple[str, ...]
    confirming: Confirming
    build_address: str
    another_address: str
    bikes: tuple[BikeLink, ...]
    measure_address: str
    bar: QuoteBar
    copies: tuple[tuple[str, str], ...]
    key: str
    errors: tuple[tuple[str, str], ...]
    erased: bool
    typed: dict[str, str]

    @property
    def can_send(self) -> bool:
        """Whether it can be sent with nothing to confirm first."""
        return self.allowed.send and not self.confirming.sending

    @property
    def approve_kind(self) -> str:
        """How the button that confirms looks: the main one, unless sending is."""
        return "" if self.can_send else "main"

    @property
    def can_send_again(self) -> bool:
        """Whether it can be mailed once more as it is."""
        return self.allowed.again and self.mails_it and not self.confirming.accepting

    @property
    def mail_kind(self) -> str:
        """The kind of notice about its mail."""
        return "caution" if self.mail_failed else "note"

    @property
    def gone_alone(self) -> tuple[str, ...]:
        """Items no longer offered, where no confirmation is needed."""
        return () if self.confirming.sending or self.confirming.accepting else self.gone


_WORDS = {
    State.DRAFT: tr("Draft: the customer has not seen it."),
    State.SENT: tr("Open: waiting for the customer."),
    State.ACCEPTED: tr("Accepted."),
    State.EXPIRED: tr("Expired: a new version with a later last day can be sent."),
}


def quote_page(
    session: Session,
    quote: Quote,
    person: Person,
    *,
    version: int | None,
    link: str,
    at: datetime,
    sends_mail: bool,
    error: DomainError | None = None,
    typed: dict[str, str] | None = None,
) -> QuotePage:
    """The page of one quote.

    Parameters
    ----------
    session : Session
    quote : Quote
    person : Person
        Who looks.
    version : int, optional
        The version to show; the one accepted, or else the newest, when not given.
    link : str
        The customer's public link.
    at : datetime
    sends_mail : bool
        Whether a mail server is configured.
    error : DomainError, optional
        Why something could not be done.
    typed : dict, optional
        The texts of its form.

    Returns
    -------
    QuotePage
    """
    view = view_of(session, quote, version or version_first(quote))
    views = {view.version: view}
    current = _view(session, quote, quote.current_version, views)
    sent = _view(session, quote, quote.sent_version or quote.current_version, views)
    stands = _view(session, quote, standing_version(quote), views)
    message = quote_message(sent, link) if quote.sent_version else None
    mails = mails_about(session, quote.number)
    mail = mail_of(mails, quote.number, sent.version) if quote.sent_version else None
    mails_it = sends_mail and bool(current.customer.mail)
    events = events_of(session, quote)
    state = stands.state_on(day_of(at))
    gone = unconfirmed(session, quote, current)
    situation = situation_of(session, quote, day_of(at), offered=sent)
    return QuotePage(
        person=person,
        number=quote.number,
        customer=", ".join(filter(None, (current.customer.name, current.customer.mail)))
        or "erased",
        customer_address=(
            address_of_customer(quote.customer_id) if quote.customer_id is not None else ""
        ),
        summary=f"{in_short(stands.content)}, {stands.content.price.gross.printed}",
        address=address_of(quote.number),
        # The sheet's own links print the customer's version; the counter's print any version.
        sheet=replace(sheet_page(view, link=link, today=day_of(at)), pdf=()),
        state=state,
        state_kept=quote.state,
        state_words=_state_words(quote, state),
        version=view.version,
        current=view.current_version,
        newer=_newer(view),
        versions=version_lines(session, quote, view),
        events=tuple(map(event_line, events)),
        mails=tuple(map(mail_line, mails)),
        mail_words=mail_words(mail, sent.version, sends_mail=sends_mail, address=sent.customer.mail)
        if quote.sent_version and quote.erased_at is None
        else "",
        mail_failed=mail is not None and mail.state == FAILED,
        mails_it=mails_it,
        send_words=tr("Send version {version}", version=current.version)
        if mails_it
        else tr("Open to the customer: version {version}", version=current.version),
        sendings=sendings_in(events),
        message=message,
        mail_link=mail_link(message) if message else "",
        answer_hint=tr("Shown with the quote under its link, and mailed")
        if sends_mail
        else tr("Shown with the quote under its link"),
        allowed=_allowed(situation, current.version),
        order=order_section(session, quote, situation, today=day_of(at), error=error, typed=typed),
        gone=_words(gone_since(session, view)),
        confirming=_confirming(situation, gone, unconfirmed(session, quote, sent)),
        build_address=_build_address(current, 1),
        another_address=_build_address(current, len(current.bikes) + 1)
        if len(current.bikes) < MOST_BIKES
        else "",
        bikes=_bikes(current),
        measure_address=f"{address_of(quote.number)}/fit",
        bar=quote_bar(view),
        copies=_copies(quote.number, view),
        key=new_key(),
        errors=form_errors(error)[0],
        erased=quote.erased_at is not None,
        typed=typed or {},
    )


def _build_address(view: QuoteView, bike: int) -> str:
    """Where a bike is changed; one more begins as the first one is built."""
    bikes = view.bikes
    build = bikes[bike - 1 if bike <= len(bikes) else 0].content.build
    which = f"&bike={bike}" if bike > 1 else ""
    return f"{address_of(view.number)}/build?model={build.model_slug}{which}&{build.query}"


def _bikes(view: QuoteView) -> tuple[BikeLink, ...]:
    """The bikes of a quote that lists several."""
    if not view.content.further:
        return ()
    return tuple(
        BikeLink(
            words=heading_of(view.content, number),
            change=_build_address(view, number),
            take_out=f"{address_of(view.number)}/bikes/{number}/take-out",
        )
        for number in range(1, len(view.bikes) + 1)
    )


def version_first(quote: Quote) -> int:
    """The version shown where none is named: the one accepted, or else the newest."""
    return accepted_of(quote) or quote.current_version


def _view(session: Session, quote: Quote, number: int, known: dict[int, QuoteView]) -> QuoteView:
    """One version, read once."""
    if number not in known:
        known[number] = view_of(session, quote, number)
    return known[number]


def _newer(view: QuoteView) -> str:
    """The notice where the version shown is not the newest."""
    if view.version == view.current_version:
        return ""
    draft = view.current_version != view.sent_version
    shown, newest = view.version, view.current_version
    if draft:
        return tr(
            "This is version {shown}; version {newest} is a draft.", shown=shown, newest=newest
        )
    return tr(
        "This is version {shown}; version {newest} is open to the customer.",
        shown=shown,
        newest=newest,
    )


def _state_words(quote: Quote, state: State) -> str:
    said = [_WORDS.get(state, f"{state.capitalize()}.")]
    if state == State.SENT and quote.unapproved:
        said = [tr("Asked for on the web: it can be ordered once you confirm it.")]
    if state == State.ACCEPTED:
        said = [tr("Accepted: version {accepted}.", accepted=accepted_of(quote))]
    if change_offered(quote):
        said.append(
            tr(
                "Version {sent} is offered as a change and not accepted yet.",
                sent=quote.sent_version,
            )
        )
    if quote.sent_version is not None and quote.current_version != quote.sent_version:
        said.append(
            tr(
                "The customer's link shows version {sent}; version {newest} is not sent yet.",
                sent=quote.sent_version,
                newest=quote.current_version,
            )
        )
    return " ".join(said)


def _allowed(at: Situation, version: int) -> Allowed:
    refused = may_happen(at)
    send = refused[Event.SEND] is None or to_be_confirmed(refused[Event.SEND])
    return Allowed(
        send=send and at.newer,
        again=send and not at.newer and not at.unapproved,
        approve=refused[Event.APPROVE] is None,
        accept=refused[Event.ACCEPT] is None,
        decline=refused[Event.DECLINE] is None,
        withdraw=refused[Event.WITHDRAW] is None,
        settle=refused[Event.SETTLE] is None,
        throw_away=refused[Event.THROW_AWAY] is None,
        remind=refused[Event.REMIND] is None,
        why_not_sent=why_not_sent(refused[Event.SEND], version),
    )


def _confirming(at: Situation, gone: tuple[Gone, ...], offered: tuple[Gone, ...]) -> Confirming:
    """What to confirm, where only the confirmation is missing."""
    refused = may_happen(at)
    return Confirming(
        sending=_words(gone) if at.newer and to_be_confirmed(refused[Event.SEND]) else (),
        sending_keys=" ".join(each.key for each in gone),
        accepting=_words(offered) if to_be_confirmed(refused[Event.ACCEPT]) else (),
        accepting_keys=" ".join(each.key for each in offered),
    )


def _words(gone: tuple[Gone, ...]) -> tuple[str, ...]:
    return tuple(each.words for each in gone)


def _copies(number: str, view: QuoteView) -> tuple[tuple[str, str], ...]:
    address = f"{address_of(number)}/sheet.pdf?version={view.version}"
    paper = view.content.paper.lower()
    workshop = f"{address_of(number)}/workshop?version={view.version}"
    printed = f"{address}&paper={paper}&copy=workshop"
    return (
        (tr("Customer's copy, PDF"), f"{address}&paper={paper}"),
        *(
            copy
            for bike in range(1, len(view.bikes) + 1)
            for copy in (
                (_of_bike(tr("Workshop copy"), view, bike), _which(workshop, bike)),
                (_of_bike(tr("Workshop copy, PDF"), view, bike), _which(printed, bike)),
            )
        ),
    )


def _which(address: str, bike: int) -> str:
    return f"{address}&bike={bike}" if bike > 1 else address


def _of_bike(words: str, view: QuoteView, bike: int) -> str:
    if not view.content.further:
        return words
    return tr("{words}, bike {number}", words=words, number=bike)
