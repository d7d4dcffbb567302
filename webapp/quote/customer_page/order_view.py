"""What the customer reads of their order: what happened, what is next, what is paid."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sqlmodel import Session, col, select

from webapp.catalogue.lookup import row_id
from webapp.catalogue.reading.settings import settings_data
from webapp.common.errors import NotFound
from webapp.common.text.dates import day_in_words
from webapp.common.text.language import tr
from webapp.common.timestamps import day_of
from webapp.quote.letters.orders import end_words, left_words
from webapp.quote.lifecycle.order_steps import cancels_at_once
from webapp.quote.lifecycle.version_differences import compare_versions
from webapp.quote.order.ledger import Ledger
from webapp.quote.order.read import ledger_of, order_row, order_state
from webapp.quote.printing.handover import HandoverSheet, handover_sheet
from webapp.quote.states import TO_BUILD, Event, Situation, State, may_happen
from webapp.quote.storage.current_version import accepted_of
from webapp.quote.storage.read import QuoteView, view_of
from webapp.quote.tables import Quote, QuoteEvent

_TOLD = (
    Event.ACCEPT,
    Event.CONFIRM_ORDER,
    Event.ASK_DEPOSIT,
    Event.PAY,
    Event.PAY_BACK,
    Event.PROMISE,
    Event.BUILD,
    Event.FINISH,
    Event.HAND_OVER,
    Event.ASK_TO_CANCEL,
    Event.CANCEL,
)


@dataclass(frozen=True, kw_only=True)
class Cancelling:
    """The form in which the customer cancels."""

    label: str
    words: str
    button: str
    open: bool


@dataclass(frozen=True, kw_only=True)
class OrderView:
    """An order under the customer's link.

    ``changes`` says what a change that is offered changes; ``cancel`` is None once nothing
    can be cancelled.
    """

    happened: tuple[tuple[str, str], ...]
    next_words: str
    promised: str
    money: str
    how_to_pay: tuple[str, ...]
    changes: tuple[str, ...]
    cancel: Cancelling | None
    handover: HandoverSheet | None
    handover_pdf: str


def order_view(
    session: Session, quote: Quote, offered: QuoteView, situation: Situation, *, refused: bool
) -> OrderView | None:
    """What the customer reads of an order; None while nothing is ordered.

    Parameters
    ----------
    session : Session
    quote : Quote
    offered : QuoteView
        The version their link shows.
    situation : Situation
        Of the quote on the day.
    refused : bool
        Whether a cancellation was sent without what belongs to it.
    """
    state = order_state(quote)
    if state is None:
        return None
    accepted = view_of(session, quote, accepted_of(quote))
    money, row = ledger_of(session, quote, accepted.content), order_row(session, quote)
    events = session.exec(
        select(QuoteEvent)
        .where(QuoteEvent.quote_id == row_id(quote), col(QuoteEvent.what).in_(_TOLD))
        .order_by(col(QuoteEvent.id))
    ).all()
    done = state in (State.HANDED_OVER, State.CLOSED)
    handover = _handover(session, quote) if done else None
    change = offered.version != accepted.version and situation.change_open
    return OrderView(
        happened=tuple((day_in_words(day_of(each.at)), _happened(each)) for each in events),
        next_words=_next(state, money),
        promised=day_in_words(row.promised_on) if row.promised_on and state in TO_BUILD else "",
        money=end_words(money) if state is State.CANCELLED else left_words(money),
        how_to_pay=_how_to_pay(session, state, events, money),
        changes=compare_versions(accepted, offered).sentences if change else (),
        cancel=_cancel(
            situation,
            asked=bool(events) and events[-1].what == Event.ASK_TO_CANCEL,
            refused=refused,
        ),
        handover=handover,
        handover_pdf=f"/q/{quote.token}/hand-over.pdf" if handover else "",
    )


def _cancel(situation: Situation, *, asked: bool, refused: bool) -> Cancelling | None:
    """The form for cancelling: at once, or as a request to the shop."""
    if may_happen(situation)[Event.CANCEL] is not None:
        return None
    if cancels_at_once(situation):
        words = tr("Nothing was paid or begun: this ends the order.")
        button = tr("Cancel the order")
        return Cancelling(label=button, words=words, button=button, open=refused)
    words = tr(
        "Something was paid or begun: we write to you how that is settled before the order ends."
    )
    return Cancelling(
        label=tr("Ask us to cancel the order"),
        words=tr("You have asked already; we answer you.") if asked else words,
        button=tr("Ask to cancel"),
        open=refused,
    )


def _handover(session: Session, quote: Quote) -> HandoverSheet | None:
    try:
        return handover_sheet(session, quote)
    except NotFound:
        return None


def _how_to_pay(
    session: Session, state: State, events: Sequence[QuoteEvent], money: Ledger
) -> tuple[str, ...]:
    """As it was written when the deposit was asked for; before that, as the settings say it."""
    if state is State.DEPOSIT_ASKED:
        asked = [each for each in events if each.what == Event.ASK_DEPOSIT]
        return tuple(str(asked[-1].detail.get("text", "")).splitlines()) if asked else ()
    if state is State.CONFIRMED and money.deposit_left.minor:
        return tuple(settings_data(session).how_to_pay.splitlines())
    return ()


_HAPPENED: Mapping[str, str] = {
    Event.ACCEPT: tr("You ordered."),
    Event.CONFIRM_ORDER: tr("We confirmed the order."),
    Event.BUILD: tr("The build began."),
    Event.FINISH: tr("It is ready."),
    Event.HAND_OVER: tr("It was handed over."),
    Event.ASK_TO_CANCEL: tr("You asked to cancel."),
    Event.CANCEL: tr("The order was cancelled."),
}


def _happened(event: QuoteEvent) -> str:
    """One thing that happened, with its values."""
    detail = event.detail
    amount, day = detail.get("amount", ""), detail.get("promised_on", "")
    if event.what == Event.ACCEPT and event.version:
        return tr("You ordered version {version}.", version=event.version)
    if event.what == Event.ASK_DEPOSIT:
        return tr("We asked for the deposit of {amount}.", amount=amount)
    if event.what == Event.PAY:
        return tr("You paid {amount}.", amount=amount)
    if event.what == Event.PAY_BACK:
        return tr("We paid {amount} back.", amount=amount)
    if event.what == Event.PROMISE:
        if not day:
            return tr("We took the promised day back.")
        return tr("We promised it for {day}.", day=day_in_words(date.fromisoformat(day)))
    return _HAPPENED[event.what]


def _next(state: State, money: Ledger) -> str:
    """The next step, in a sentence."""
    if state is State.ACCEPTED:
        return tr("We look at your order and confirm it; then we ask for the deposit.")
    if state is State.CONFIRMED and money.deposit_left.minor:
        return tr("We ask you for the deposit, {amount}.", amount=money.deposit_left.format())
    if state is State.DEPOSIT_ASKED:
        return tr(
            "You pay the rest of the deposit, {amount}; then we begin.",
            amount=money.deposit_left.format(),
        )
    words = {
        State.CONFIRMED: tr("We begin to build."),
        State.DEPOSIT_PAID: tr("We begin to build."),
        State.IN_BUILD: tr("We build it, and write to you when it is ready."),
        State.READY: tr("We hand it over to you: tell us when you come."),
        State.HANDED_OVER: tr("Ride it. After the first ride, look at the bolts again."),
        State.CANCELLED: tr("Nothing more is built or delivered."),
    }
    return words.get(state, "")
