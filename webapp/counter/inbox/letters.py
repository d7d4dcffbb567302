"""The proposed text of a reminder to a customer; the sender may change it."""

from __future__ import annotations

from webapp.common.text.dates import day_in_words
from webapp.common.text.language import tr
from webapp.mail.outbox import Message
from webapp.quote.states import State
from webapp.quote.storage.read import QuoteView


def reminder(view: QuoteView, link: str) -> Message:
    """What the customer of a quote might be reminded of: to answer, or the deposit.

    Parameters
    ----------
    view : QuoteView
        The version the customer has.
    link : str
        Its public address.
    """
    build, shop = view.content.build, view.content.letterhead
    bike = tr("{model}, size {size}", model=build.model, size=build.size)
    whole = (
        tr("Good day {name},", name=view.customer.name),
        _said(view, bike),
        tr("Everything about it is here:\n{link}", link=link),
        tr("If something is not clear or should be different, just tell us."),
        f"{shop.name}\n{shop.email}",
    )
    return Message(
        to_name=view.customer.name,
        to_mail=view.customer.mail,
        subject=tr("About your quote {number} from {name}", number=view.number, name=shop.name),
        body="\n\n".join(whole),
    )


def _said(view: QuoteView, bike: str) -> str:
    if view.state == State.DEPOSIT_ASKED:
        return tr(
            "the deposit of {deposit} for your order {number}, {bike}, has not reached us yet. "
            "We begin when it arrives.",
            deposit=view.content.price.deposit.printed,
            number=view.number,
            bike=bike,
        )
    return tr(
        "our quote {number}, {bike}, is valid until {day}. After that its prices may change.",
        number=view.number,
        bike=bike,
        day=day_in_words(view.content.valid_until),
    )
