"""What the shop writes to a customer about an order: receipts, and what comes next."""

from __future__ import annotations

from datetime import date

from webapp.common.text.dates import day_in_words
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.mail.outbox import Message
from webapp.quote.freezing.bikes import names_of
from webapp.quote.order.ledger import Ledger
from webapp.quote.storage.read import QuoteView


def _letter(
    view: QuoteView, subject: str, paragraphs: tuple[str, ...], *, link: str, attached: str = ""
) -> Message:
    """A letter about an order: greeting, what is said, the link, the shop."""
    shop = view.content.letterhead
    whole = (
        tr("Good day {name},", name=view.customer.name),
        *paragraphs,
        tr("Everything about it is here:\n{link}", link=link),
        f"{shop.name}\n{shop.email}",
    )
    return Message(
        to_name=view.customer.name,
        to_mail=view.customer.mail,
        subject=subject,
        body="\n\n".join(filter(None, whole)),
        attached=attached,
    )


def _bike(view: QuoteView) -> str:
    model, size = names_of(view.content)
    return tr("{model}, size {size}", model=model, size=size)


def accepted_message(view: QuoteView, link: str, *, attached: str) -> Message:
    """The receipt of an order, or of a change to it; the sheet goes with it."""
    said = tr(
        "we have your order {number}, version {version}: {bike}, {total} in all. The sheet you "
        "have accepted is attached.",
        number=view.number,
        version=view.version,
        bike=_bike(view),
        total=view.content.price.gross.printed,
    )
    next_step = tr("We look at it, confirm it by mail and say then how the deposit is paid.")
    subject = tr("Your order {number} has arrived", number=view.number)
    return _letter(view, subject, (said, next_step), link=link, attached=attached)


def confirmed_message(
    view: QuoteView, link: str, *, promised_on: date | None, how_to_pay: str = ""
) -> Message:
    """The shop confirms the order, and says how a deposit is paid where one is due."""
    said = tr("we confirm your order {number}: {bike}.", number=view.number, bike=_bike(view))
    subject = tr("We confirm your order {number}", number=view.number)
    deposit = view.content.price.deposit
    due = tr("The deposit is {amount}. It is paid like this:", amount=deposit.printed)
    then = (due, how_to_pay) if how_to_pay and deposit.minor else ()
    return _letter(view, subject, (said, _promised(promised_on), *then), link=link)


def promised_message(view: QuoteView, link: str, *, promised_on: date) -> Message:
    """The day that the bike is promised for, or a new one."""
    subject = tr("The date of your order {number}", number=view.number)
    said = tr("about your order {number}, {bike}:", number=view.number, bike=_bike(view))
    return _letter(view, subject, (said, _promised(promised_on)), link=link)


def _promised(day: date | None) -> str:
    return tr("We promise it for {day}.", day=day_in_words(day)) if day else ""


def deposit_message(
    view: QuoteView, link: str, *, amount: Money, due_on: date | None, text: str
) -> Message:
    """How much the deposit is, by when, and how it is paid."""
    said = (
        tr(
            "for your order {number} we ask for the deposit of {amount} by {day}.",
            number=view.number,
            amount=amount.format(),
            day=day_in_words(due_on),
        )
        if due_on
        else tr(
            "for your order {number} we ask for the deposit of {amount}.",
            number=view.number,
            amount=amount.format(),
        )
    )
    then = tr(
        "Give {number} as the reference. We begin when the deposit arrives.", number=view.number
    )
    subject = tr("The deposit for your order {number}", number=view.number)
    return _letter(view, subject, (said, text, then), link=link)


def paid_message(view: QuoteView, link: str, *, amount: Money, money: Ledger) -> Message:
    """The receipt of a payment."""
    said = tr(
        "we have received {amount} for your order {number}, thank you.",
        amount=amount.format(),
        number=view.number,
    )
    subject = tr("{amount} received for order {number}", amount=amount.format(), number=view.number)
    return _letter(view, subject, (said, left_words(money)), link=link)


def paid_back_message(view: QuoteView, link: str, *, amount: Money) -> Message:
    """What was paid back."""
    said = tr(
        "we have paid {amount} back to you, for your order {number}.",
        amount=amount.format(),
        number=view.number,
    )
    subject = tr("{amount} paid back for order {number}", amount=amount.format(),
                 number=view.number)  # fmt: skip
    return _letter(view, subject, (said,), link=link)


def left_words(money: Ledger) -> str:
    """What was paid and what is left, in a sentence."""
    if money.left.minor:
        return tr(
            "{paid} of {price} is paid, {left} is left.",
            paid=money.paid.format(),
            price=money.due.format(),
            left=money.left.format(),
        )
    return tr("All of it is paid: {price}.", price=money.due.format())


def ready_message(view: QuoteView, link: str, *, money: Ledger) -> Message:
    """The bike can be fetched, or is sent off."""
    said = tr("your order {number} is ready: {bike}.", number=view.number, bike=_bike(view))
    subject = tr("Your order {number} is ready", number=view.number)
    when = tr("Tell us when you come, or ask us by answering this mail.")
    return _letter(view, subject, (said, left_words(money), when), link=link)


def handed_over_message(view: QuoteView, link: str, *, attached: str) -> Message:
    """The receipt of the hand-over; its sheet goes with it."""
    said = tr(
        "your order {number}, {bike}, is handed over. The sheet with its serial number, how it "
        "is set up and what to watch is attached: keep it.",
        number=view.number,
        bike=_bike(view),
    )
    watch = "\n".join(view.content.cautions)
    subject = tr("Your order {number} is handed over", number=view.number)
    return _letter(view, subject, (said, watch), link=link, attached=attached)


def cancelled_message(view: QuoteView, link: str, *, reason: str, money: Ledger) -> Message:
    """The order is at its end, and what becomes of what was paid."""
    said = tr("your order {number}, {bike}, is cancelled.", number=view.number, bike=_bike(view))
    why = tr("The reason: {reason}", reason=reason)
    subject = tr("Your order {number} is cancelled", number=view.number)
    return _letter(view, subject, (said, why, end_words(money)), link=link)


def end_words(money: Ledger) -> str:
    """What becomes of what was paid for an order that is cancelled, in a sentence."""
    kept = money.kept or Money(0, money.paid.currency)
    if not money.paid.minor and not kept.minor:
        return tr("Nothing was paid, and nothing is due.")
    if money.to_pay_back.minor and kept.minor:
        return tr(
            "Of {paid} paid we keep {kept}; {back} is paid back.",
            paid=money.paid.format(),
            kept=kept.format(),
            back=money.to_pay_back.format(),
        )
    if money.to_pay_back.minor:
        return tr("{back} is paid back.", back=money.to_pay_back.format())
    return tr("We keep {kept} of what was paid.", kept=kept.format())
