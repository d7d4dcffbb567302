"""The steps of an order: each is logged with who, when and values.

Whether a step is allowed is decided by `webapp.quote.states` alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from sqlmodel import Session, col, select

from webapp.catalogue.lookup import row_id
from webapp.common.errors import Conflict, Invalid
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.common.timestamps import day_of
from webapp.customers.typed import LONGEST_NAME, one_line, several_lines
from webapp.quote.freezing.content import QuoteContent
from webapp.quote.lifecycle.action_checks import require
from webapp.quote.lifecycle.transitions import CUSTOMER
from webapp.quote.order.built_bike import BuiltBike
from webapp.quote.order.frames import frames_ordered, places_of
from webapp.quote.order.ledger import Ledger
from webapp.quote.order.read import ledger_of, order_row
from webapp.quote.order.tables import Payment, QuoteOrder
from webapp.quote.order.typed import TypedPayment
from webapp.quote.states import (
    OPEN_ORDERS,
    ORDER_STEPS,
    Event,
    Situation,
    State,
    state_after,
)
from webapp.quote.storage.current_version import accepted_of
from webapp.quote.storage.read import view_of
from webapp.quote.storage.write import CANCELLED, CANCELLING, note_event, wait_for_shop
from webapp.quote.tables import Quote, QuoteEvent
from webapp.serials.register import (
    as_stamped,
    frame_of_serial,
    frames_of_quote,
    free_serial,
    take_serial,
)

LONGEST_REASON = 2000


@dataclass(frozen=True, kw_only=True)
class Step:
    """Who does something to an order, when, and with which form."""

    who: str
    at: datetime
    form_hash: str | None = None

    @property
    def day(self) -> date:
        """The day, by the shop's clock."""
        return day_of(self.at)

    def first(self) -> Step:
        """The same without the form's hash, for the first of two steps of one form; the second
        has it.
        """
        return Step(who=self.who, at=self.at)


def steps_taken(session: Session, quote: Quote) -> int:
    """How many steps an order has taken, by which a form notices steps taken since it was shown."""
    query = select(QuoteEvent.id).where(
        QuoteEvent.quote_id == row_id(quote), col(QuoteEvent.what).in_(ORDER_STEPS)
    )
    return len(session.exec(query).all())


def refuse_other_steps(session: Session, quote: Quote, *, seen: int) -> None:
    """Refuse a form that was shown before somebody else took a step.

    Raises
    ------
    Conflict
    """
    if steps_taken(session, quote) != seen:
        remedy = tr("look at the order as it is now; nothing was noted a second time")
        raise Conflict("order", tr("changed meanwhile from another window"), remedy)


def confirm_order(session: Session, quote: Quote, step: Step, *, promised_on: date | None) -> None:
    """Note that the shop confirms the order, and for when the bike is promised."""
    at = require(session, quote, Event.CONFIRM_ORDER, day=step.day)
    quote.waiting_since, quote.waiting_for = None, ""
    if promised_on:
        _put(session, quote, promised_on=promised_on)
    _note(session, quote, step, Event.CONFIRM_ORDER, at, promised_on=_iso(promised_on))


def ask_deposit(
    session: Session, quote: Quote, step: Step, *, due_on: date | None, text: str
) -> Money:
    """Note that the deposit of the accepted version was asked for; gives how much it is."""
    at = require(session, quote, Event.ASK_DEPOSIT, day=step.day)
    money = order_money(session, quote)
    _put(session, quote, deposit_due_on=due_on)
    words = several_lines(text)[:LONGEST_REASON]
    amount = money.deposit_left
    _note(
        session, quote, step, Event.ASK_DEPOSIT, at,
        amount=amount.format(), due_on=_iso(due_on), text=words,
    )  # fmt: skip
    return amount


def pay(session: Session, quote: Quote, step: Step, payment: TypedPayment) -> Ledger:
    """Note what the customer has paid; gives the money as it is then."""
    return _money(session, quote, step, payment, event=Event.PAY)


def pay_back(session: Session, quote: Quote, step: Step, payment: TypedPayment) -> Ledger:
    """Note what the customer was paid back; gives the money as it is then."""
    return _money(session, quote, step, payment, event=Event.PAY_BACK)


def _money(
    session: Session, quote: Quote, step: Step, payment: TypedPayment, *, event: Event
) -> Ledger:
    at = require(session, quote, event, day=step.day)
    amount = payment.amount if event is Event.PAY else -payment.amount
    after = order_money(session, quote).with_paid(amount)
    session.add(
        Payment(
            quote_id=row_id(quote),
            paid_on=payment.paid_on,
            minor=amount.minor,
            currency=amount.currency,
            paid_by=payment.paid_by,
            who=step.who,
            at=step.at,
        )
    )
    at = replace(at, deposit_open=after.deposit_left.minor > 0)
    _note(
        session, quote, step, event, at,
        amount=payment.amount.format(), paid_by=payment.paid_by, paid_on=_iso(payment.paid_on),
    )  # fmt: skip
    return after


def promise(session: Session, quote: Quote, step: Step, *, promised_on: date | None) -> None:
    """Note for which day the bike is promised; None takes the promise back."""
    at = require(session, quote, Event.PROMISE, day=step.day)
    _put(session, quote, promised_on=promised_on)
    _note(session, quote, step, Event.PROMISE, at, promised_on=_iso(promised_on))


def name_serials(session: Session, quote: Quote, step: Step, *, serials: Sequence[str]) -> None:
    """Reserve or give the serial numbers of the frames; those left out are free again."""
    at = require(session, quote, Event.NAME_SERIAL, day=step.day)
    before = [frame.serial for frame in frames_of_quote(session, row_id(quote))]
    kept = _take_serials(session, quote, step, serials)
    if sorted(before) == sorted(kept):
        return
    _note(session, quote, step, Event.NAME_SERIAL, at, serials=kept)


def _take_serials(session: Session, quote: Quote, step: Step, serials: Sequence[str]) -> list[str]:
    content = ordered_content(session, quote)
    ordered = frames_ordered(content)
    if len(serials) > len(ordered):
        remedy = tr("at most {most}, one for each frame ordered", most=len(ordered))
        raise Invalid("serials", ", ".join(serials)[:120], remedy)
    wanted = {each.lower() for each in serials}
    for frame in frames_of_quote(session, row_id(quote)):
        if frame.serial.lower() not in wanted:
            free_serial(session, frame)
    number, who, at = row_id(quote), step.who, step.at
    known = [frame_of_serial(session, as_stamped(each), locked=True) for each in serials]
    taken = [
        take_serial(session, each, ordered[place], quote_id=number, who=who, at=at)
        for each, place in zip(serials, places_of(known, ordered), strict=True)
    ]
    return [frame.serial for frame in taken]


def start_build(session: Session, quote: Quote, step: Step) -> None:
    """Note that the workshop has begun, or has it back."""
    at = require(session, quote, Event.BUILD, day=step.day)
    _note(session, quote, step, Event.BUILD, at)


def set_up(session: Session, quote: Quote, step: Step, built: BuiltBike) -> None:
    """Keep the bike as built."""
    at = require(session, quote, Event.SET_UP, day=step.day)
    _put(session, quote, built=built.model_dump(mode="json"))
    _note(session, quote, step, Event.SET_UP, at)


def finish(session: Session, quote: Quote, step: Step) -> None:
    """Note that the bike is ready to be handed over."""
    at = require(session, quote, Event.FINISH, day=step.day)
    _note(session, quote, step, Event.FINISH, at)


def hand_over(session: Session, quote: Quote, step: Step, *, name: str) -> None:
    """Note that the bike was handed over, and who took it."""
    at = require(session, quote, Event.HAND_OVER, day=step.day)
    taker = one_line(name)
    if not 0 < len(taker) <= LONGEST_NAME:
        remedy = tr("the name of who took the bike, at most {most} characters", most=LONGEST_NAME)
        raise Invalid("name", taker[:LONGEST_NAME], remedy)
    serials = [frame.serial for frame in frames_of_quote(session, row_id(quote))]
    _note(session, quote, step, Event.HAND_OVER, at, name=taker, serials=serials)


def close(session: Session, quote: Quote, step: Step) -> None:
    """Note that nothing is left to do: handed over and paid."""
    at = require(session, quote, Event.CLOSE, day=step.day)
    _note(session, quote, step, Event.CLOSE, at)


def cancel(session: Session, quote: Quote, step: Step, *, reason: str, kept: Money) -> Ledger:
    """End the order, with what the shop keeps of what was paid; its frames are free again.

    A change that was offered lapses with it.
    """
    at = require(session, quote, Event.CANCEL, day=step.day)
    words = _reason(reason)
    money = replace(order_money(session, quote), kept=kept)
    _put(session, quote, kept_minor=kept.minor)
    for frame in frames_of_quote(session, row_id(quote)):
        free_serial(session, frame)
    quote.sent_version = accepted_of(quote)
    if step.who == CUSTOMER:
        wait_for_shop(session, quote, CANCELLED, at=step.at)
    else:
        quote.waiting_since, quote.waiting_for = None, ""
    _note(
        session, quote, step, Event.CANCEL, at,
        text=words, kept=kept.format(), to_pay_back=money.to_pay_back.format(),
    )  # fmt: skip
    return money


def cancels_at_once(at: Situation) -> bool:
    """Whether a customer can cancel by themselves: nothing is paid, and nothing is begun."""
    begun = (State.DEPOSIT_PAID, State.IN_BUILD, State.READY)
    return at.order in OPEN_ORDERS and at.order not in begun and not at.money_paid


def ask_to_cancel(session: Session, quote: Quote, step: Step, *, reason: str) -> None:
    """Note that the customer wants to cancel; the shop says what becomes of what was paid."""
    at = require(session, quote, Event.ASK_TO_CANCEL, day=step.day)
    words = _reason(reason)
    wait_for_shop(session, quote, CANCELLING, at=step.at)
    _note(session, quote, step, Event.ASK_TO_CANCEL, at, text=words)


def _reason(typed: str) -> str:
    reason = several_lines(typed)
    if not 0 < len(reason) <= LONGEST_REASON:
        remedy = tr("the reason, 1 to {most} characters", most=LONGEST_REASON)
        raise Invalid("reason", reason[:LONGEST_REASON], remedy)
    return reason


def ordered_content(session: Session, quote: Quote) -> QuoteContent:
    """What the accepted version says."""
    return view_of(session, quote, accepted_of(quote)).content


def order_money(session: Session, quote: Quote) -> Ledger:
    """The money of an order."""
    return ledger_of(session, quote, ordered_content(session, quote))


def _put(session: Session, quote: Quote, **values: Any) -> QuoteOrder:
    row = order_row(session, quote)
    for name, value in values.items():
        setattr(row, name, value)
    session.add(row)
    session.flush()
    return row


def _iso(day: date | None) -> str:
    return day.isoformat() if day else ""


def _note(
    session: Session, quote: Quote, step: Step, event: Event, at: Situation, **detail: Any
) -> None:
    quote.state = state_after(event, at).value
    session.add(quote)
    session.flush()
    note_event(
        session,
        quote,
        who=step.who,
        what=event,
        at=step.at,
        version=accepted_of(quote),
        form_hash=step.form_hash,
        **{name: value for name, value in detail.items() if value},
    )
