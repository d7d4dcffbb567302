"""The steps of an order at the counter, each with one form."""

from __future__ import annotations

from collections.abc import Callable

from fastapi import APIRouter
from fastapi.responses import Response
from sqlmodel import Session

from webapp.catalogue.reading.settings import settings_data
from webapp.counter.pages.doing import Doing, OneDeed, Refused
from webapp.counter.pages.forms import number_in
from webapp.mail.outbox import Message
from webapp.quote.letters import orders as letters
from webapp.quote.lifecycle import order_steps as steps
from webapp.quote.lifecycle.order_steps import Step
from webapp.quote.order.typed import coming_day, read_kept, read_payment, read_serials
from webapp.quote.storage.current_version import accepted_of
from webapp.quote.storage.read import QuoteView, view_of
from webapp.quote.tables import Quote

router = APIRouter()

ORDER = "/counter/quotes/{number}/order"

Write = Callable[[QuoteView, str], Message]
"""Makes the message to the customer from the accepted version and their link."""

StepOf = Callable[[Session, Quote, Step], Write | None]


def take_step(
    number: str,
    doing: OneDeed,
    what: str,
    step_of: StepOf,
    *,
    then: str = "#order",
    refused: Refused | None = None,
) -> Response:
    """Take one step, and write the mail that belongs to it, in one transaction."""

    def deed(session: Session, quote: Quote, _view: QuoteView, form_hash: str | None) -> None:
        steps.refuse_other_steps(session, quote, seen=number_in(doing.fields, "steps"))
        step = Step(who=doing.person.name, at=doing.at, form_hash=form_hash)
        if write := step_of(session, quote, step):
            accepted = view_of(session, quote, accepted_of(quote))
            message = write(accepted, doing.letters.link(quote))
            key = f"{what}-{quote.number}-{steps.steps_taken(session, quote)}"
            doing.letters.to_customer(session, quote, message, key=key, at=doing.at)

    return doing.do(number, what, deed, then=then, refused=refused)


@router.post(ORDER + "/confirm")
def confirm(number: str, doing: Doing) -> Response:
    """Take the order, and promise a day."""

    def step(session: Session, quote: Quote, step: Step) -> Write:
        day = coming_day("promised_on", doing.fields.get("promised_on", ""), today=step.day)
        steps.confirm_order(session, quote, step, promised_on=day)
        pay = settings_data(session).how_to_pay
        return lambda view, link: letters.confirmed_message(
            view, link, promised_on=day, how_to_pay=pay
        )

    return take_step(number, doing, "confirm", step)


@router.post(ORDER + "/deposit")
def ask_deposit(number: str, doing: Doing) -> Response:
    """Ask for the deposit."""

    def step(session: Session, quote: Quote, step: Step) -> Write:
        day = coming_day("due_on", doing.fields.get("due_on", ""), today=step.day)
        text = doing.fields.get("how_to_pay", "")
        amount = steps.ask_deposit(session, quote, step, due_on=day, text=text)
        return lambda view, link: letters.deposit_message(
            view, link, amount=amount, due_on=day, text=text.strip()
        )

    return take_step(number, doing, "deposit", step)


@router.post(ORDER + "/paid")
def paid(number: str, doing: Doing) -> Response:
    """Note a payment."""

    def step(session: Session, quote: Quote, step: Step) -> Write:
        left = steps.order_money(session, quote).left
        payment = read_payment(doing.fields, most=left, today=step.day)
        after = steps.pay(session, quote, step, payment)
        return lambda view, link: letters.paid_message(
            view, link, amount=payment.amount, money=after
        )

    return take_step(number, doing, "paid", step)


@router.post(ORDER + "/paid-back")
def paid_back(number: str, doing: Doing) -> Response:
    """Note what was paid back."""

    def step(session: Session, quote: Quote, step: Step) -> Write:
        money = steps.order_money(session, quote)
        most = money.paid if money.kept is None else money.to_pay_back
        payment = read_payment(doing.fields, most=most, today=step.day)
        steps.pay_back(session, quote, step, payment)
        return lambda view, link: letters.paid_back_message(view, link, amount=payment.amount)

    return take_step(number, doing, "paid-back", step)


@router.post(ORDER + "/promise")
def promise(number: str, doing: Doing) -> Response:
    """Promise another day, and tell the customer."""

    def step(session: Session, quote: Quote, step: Step) -> Write | None:
        day = coming_day("promised_on", doing.fields.get("promised_on", ""), today=step.day)
        steps.promise(session, quote, step, promised_on=day)
        if day is None:
            return None
        return lambda view, link: letters.promised_message(view, link, promised_on=day)

    return take_step(number, doing, "promise", step)


@router.post(ORDER + "/serials")
def name_serials(number: str, doing: Doing) -> Response:
    """Reserve or give serial numbers."""

    def step(session: Session, quote: Quote, step: Step) -> None:
        given = read_serials(doing.fields.get("serials", ""))
        steps.name_serials(session, quote, step, serials=given)

    return take_step(number, doing, "serials", step)


@router.post(ORDER + "/build")
def build(number: str, doing: Doing) -> Response:
    """Begin the build, or take it up again."""
    return take_step(number, doing, "build", steps.start_build)


@router.post(ORDER + "/ready")
def ready(number: str, doing: Doing) -> Response:
    """Note that the bike is ready, and tell the customer."""

    def step(session: Session, quote: Quote, step: Step) -> Write:
        steps.finish(session, quote, step)
        money = steps.order_money(session, quote)
        return lambda view, link: letters.ready_message(view, link, money=money)

    return take_step(number, doing, "ready", step)


@router.post(ORDER + "/close")
def close(number: str, doing: Doing) -> Response:
    """Close the order."""
    return take_step(number, doing, "close", steps.close)


@router.post(ORDER + "/cancel")
def cancel(number: str, doing: Doing) -> Response:
    """Cancel the order, with its reason and what becomes of what was paid."""

    def step(session: Session, quote: Quote, step: Step) -> Write:
        kept = read_kept(doing.fields.get("kept", ""), steps.order_money(session, quote).paid)
        reason = doing.fields.get("reason", "")
        money = steps.cancel(session, quote, step, reason=reason, kept=kept)
        return lambda view, link: letters.cancelled_message(
            view, link, reason=reason.strip(), money=money
        )

    return take_step(number, doing, "cancel", step)
