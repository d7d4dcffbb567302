"""What the page of a quote says of its order: state, money, and the next step."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil

from sqlmodel import Session, col, select

from webapp.catalogue.lookup import row_id
from webapp.catalogue.reading.settings import settings_data
from webapp.common.errors import DomainError, form_errors
from webapp.common.text.dates import day_in_words
from webapp.common.text.language import tr, trn
from webapp.common.text.money import Money
from webapp.common.web.choices import Option
from webapp.quote.freezing.bikes import extra_weeks_of
from webapp.quote.freezing.content import QuoteContent
from webapp.quote.lifecycle.order_steps import ordered_content, steps_taken
from webapp.quote.lifecycle.refusals import error_of
from webapp.quote.order.due import Due, due_of
from webapp.quote.order.frames import frames_ordered
from webapp.quote.order.ledger import Ledger
from webapp.quote.order.read import ledger_of, order_row, order_state, payments_of
from webapp.quote.order.tables import Payment, QuoteOrder
from webapp.quote.states import (
    Because,
    Event,
    Situation,
    State,
    may_happen,
)
from webapp.quote.tables import Quote, QuoteEvent
from webapp.serials.register import frames_of_quote

_PAYMENT = {"amount", "paid_by", "paid_on"}
DEPOSIT_WITHIN = timedelta(days=14)

STATE_WORDS: Mapping[str, str] = {
    State.ACCEPTED: tr("Accepted, and not confirmed by us yet."),
    State.CONFIRMED: tr("Confirmed."),
    State.DEPOSIT_ASKED: tr("The deposit is asked for."),
    State.DEPOSIT_PAID: tr("The deposit is paid; the build can begin."),
    State.IN_BUILD: tr("In build."),
    State.READY: tr("Ready to be handed over."),
    State.HANDED_OVER: tr("Handed over."),
    State.CLOSED: tr("Closed: handed over and paid."),
    State.CANCELLED: tr("Cancelled."),
}
DUE_WORDS: Mapping[str, str] = {
    Due.LATE: tr("late"),
    Due.DEPOSIT_LATE: tr("deposit overdue"),
    Due.DEPOSIT_OPEN: tr("deposit open"),
    Due.THIS_WEEK: tr("due this week"),
}
WAYS: Mapping[str, str] = {
    "transfer": tr("transfer"),
    "card": tr("card"),
    "cash": tr("cash"),
    "other": tr("another way"),
}


@dataclass(frozen=True, kw_only=True)
class Steps:
    """Which steps can be taken now."""

    confirm_order: bool
    ask_deposit: bool
    pay: bool
    pay_back: bool
    promise: bool
    name_serial: bool
    finish: bool
    close: bool
    cancel: bool


@dataclass(frozen=True, kw_only=True)
class Opened:
    """Which folds are open: those with an error, and the next step's."""

    payment: bool
    serials: bool
    promised_on: bool
    cancel: bool


@dataclass(frozen=True, kw_only=True)
class OrderSection:
    """An order at the counter.

    ``payment`` is where a payment is noted first, empty where none can be; ``handover`` says
    that the hand-over has a page, ``handover_kind`` how its button looks.
    """

    words: str
    due: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    payments: tuple[str, ...]
    may: Steps
    open: Opened
    can_begin: bool
    back_in_build: bool
    handover: bool
    handover_kind: str
    payment: str
    stops: tuple[str, ...]
    steps: int
    amount: str
    deposit: str
    paid: str
    ways: tuple[Option, ...]
    today: str
    promised: str
    deposit_due: str
    how_to_pay: str
    serials: str
    frames: int
    typed: Mapping[str, str]
    field_errors: Mapping[str, str]


def order_section(
    session: Session,
    quote: Quote,
    situation: Situation,
    *,
    today: date,
    error: DomainError | None = None,
    typed: Mapping[str, str] | None = None,
) -> OrderSection | None:
    """What is shown of an order; None while nothing is ordered.

    Parameters
    ----------
    session : Session
    quote : Quote
    situation : Situation
        Of the quote on the day.
    today : date
    error : DomainError, optional
        Why something could not be done.
    typed : mapping of str to str, optional
        The texts of its form.
    """
    state = order_state(quote)
    if state is None:
        return None
    order, content = order_row(session, quote), ordered_content(session, quote)
    money = ledger_of(session, quote, content)
    errors = form_errors(error)[1]
    can = {event for event, refused in may_happen(situation).items() if refused is None}
    serials = [frame.serial for frame in frames_of_quote(session, row_id(quote))]
    due = due_of(
        quote.state,
        promised_on=order.promised_on,
        deposit_due_on=order.deposit_due_on,
        today=today,
    )
    return OrderSection(
        words=STATE_WORDS[state],
        due=tuple(DUE_WORDS[each] for each in due),
        facts=_facts(money, order, serials),
        payments=tuple(map(payment_line, payments_of(session, quote))),
        may=_steps(state, can),
        open=Opened(
            payment=not _PAYMENT.isdisjoint(errors) or state is State.DEPOSIT_ASKED,
            serials="serials" in errors,
            promised_on="promised_on" in errors,
            cancel=not {"reason", "kept"}.isdisjoint(errors),
        ),
        can_begin=Event.BUILD in can and state is not State.READY,
        back_in_build=Event.BUILD in can and state is State.READY,
        handover=Event.SET_UP in can or order.built is not None,
        handover_kind="main" if state is State.READY else "",
        payment="paid" if Event.PAY in can else "paid-back" if Event.PAY_BACK in can else "",
        stops=_stops(situation),
        steps=steps_taken(session, quote),
        amount=_usual_amount(money),
        deposit=money.deposit_left.format(),
        paid=money.paid.format() if money.paid.minor else "",
        ways=tuple(Option(value=value, label=words) for value, words in WAYS.items()),
        today=today.isoformat(),
        promised=_promised(session, order, content, today),
        deposit_due=(order.deposit_due_on or today + DEPOSIT_WITHIN).isoformat(),
        how_to_pay=_how_to_pay(session),
        serials=", ".join(serials),
        frames=len(frames_ordered(content)),
        typed=typed or {},
        field_errors=errors,
    )


def _steps(state: State, can: set[Event]) -> Steps:
    return Steps(
        confirm_order=Event.CONFIRM_ORDER in can,
        ask_deposit=Event.ASK_DEPOSIT in can,
        pay=Event.PAY in can,
        pay_back=Event.PAY_BACK in can,
        promise=Event.PROMISE in can and state is not State.ACCEPTED,
        name_serial=Event.NAME_SERIAL in can,
        finish=Event.FINISH in can,
        close=Event.CLOSE in can,
        cancel=Event.CANCEL in can,
    )


def _facts(money: Ledger, order: QuoteOrder, serials: list[str]) -> tuple[tuple[str, str], ...]:
    facts = [(tr("To pay"), money.due.format()), (tr("Paid"), money.paid.format())]
    if money.to_pay_back.minor:
        facts.append((tr("To pay back"), money.to_pay_back.format()))
    else:
        facts.append((tr("Left"), money.left.format()))
    if money.deposit_left.minor:
        facts.append((tr("Of the deposit left"), money.deposit_left.format()))
    if order.deposit_due_on and money.deposit_left.minor:
        facts.append((tr("Deposit due"), day_in_words(order.deposit_due_on)))
    if order.promised_on:
        facts.append((tr("Promised for"), day_in_words(order.promised_on)))
    if serials:
        label = trn("Serial number", "Serial numbers", len(serials))
        facts.append((label, ", ".join(serials)))
    return tuple(facts)


def payment_line(payment: Payment) -> str:
    """One payment in a list: when, how much, how."""
    day, way = day_in_words(payment.paid_on), WAYS[payment.paid_by]
    amount = Money(abs(payment.minor), payment.currency).format()
    if payment.minor < 0:
        return tr("{day}: {amount} paid back, {way}", day=day, amount=amount, way=way)
    return tr("{day}: {amount} paid, {way}", day=day, amount=amount, way=way)


def _stops(situation: Situation) -> tuple[str, ...]:
    """Why the next step cannot be taken, where more than the state decides."""
    said = []
    for event in (Event.CONFIRM_ORDER, Event.BUILD, Event.FINISH, Event.CLOSE):
        refused = may_happen(situation)[event]
        told = (Because.CHECK_FAILED, Because.CHANGE_OPEN, Because.MONEY_LEFT)
        if refused and refused.because in told:
            said.append(error_of(event, refused).remedy)
    return tuple(tr("What is missing: {what}.", what=each) for each in dict.fromkeys(said))


def _usual_amount(money: Ledger) -> str:
    """The amount usually paid next: the deposit, then the rest; or what is to be paid back."""
    for amount in (money.to_pay_back, money.deposit_left, money.left):
        if amount.minor:
            return amount.typed()
    return ""


def _promised(session: Session, order: QuoteOrder, content: QuoteContent, today: date) -> str:
    """The day promised; before one is, the shop's lead time from today."""
    if order.promised_on:
        return order.promised_on.isoformat()
    if content.deal.lead_time:
        return ""  # it was agreed as a text that names no day
    weeks = settings_data(session).lead_time_weeks + extra_weeks_of(content)
    return (today + timedelta(days=ceil(7 * weeks))).isoformat()


def _how_to_pay(session: Session) -> str:
    """As the settings say it; else as it was written with the last deposit asked for."""
    if usual := settings_data(session).how_to_pay:
        return usual
    query = select(QuoteEvent).where(QuoteEvent.what == Event.ASK_DEPOSIT)
    last = session.exec(query.order_by(col(QuoteEvent.id).desc()).limit(1)).first()
    return str(last.detail.get("text", "")) if last else ""
