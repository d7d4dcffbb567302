"""Why an event of a quote is not allowed, in words: for the page, and for the refusal."""

from __future__ import annotations

from webapp.common.errors import Conflict, DomainError, Forbidden
from webapp.common.text.language import tr
from webapp.quote.states import Because, Event, Refusal

_FROM = {
    Event.ACCEPT: tr("only a quote that is open can be accepted; ask the shop"),
    Event.DECLINE: tr("a quote that is sent"),
    Event.WITHDRAW: tr("a quote that is draft or sent"),
    Event.ASK: tr("a quote whose customer was not erased"),
    Event.SEND: tr("an order that is not handed over or cancelled; copy it as a new draft"),
    Event.CANCEL: tr("an order that is neither handed over nor cancelled"),
}


def error_of(event: Event, refused: Refusal) -> DomainError:
    """The error for an event that is not allowed."""
    named = ", ".join(refused.named)
    if refused.because is Because.CHECK_FAILED:
        return Forbidden("build", named, tr("change the build until no check says no"))
    if refused.because is Because.NOT_OFFERED:
        words = " ".join(refused.named)
        ask = tr("confirm that it is delivered anyway, or change the build")
        wait = tr("the shop has to confirm first that it is delivered; ask the shop")
        remedy = f"{words} {wait if event is Event.ACCEPT else ask}".replace(". ", "; ")
        return Conflict("offered", named, remedy)
    words_for = {
        Because.LAST_DAY_OVER: tr("a new version with a later last day"),
        Because.ANSWERED: tr("make a new version first; this one is answered"),
        Because.NOT_APPROVED: tr("it can be ordered once the shop has confirmed it"),
        Because.NOTHING_TO_DO: tr("look at the quote as it is now"),
        Because.DEPOSIT_OPEN: tr("note the deposit as paid first"),
        Because.MONEY_LEFT: tr("note first what is left to pay, or was paid too much"),
        Because.CHANGE_OPEN: tr("a change is offered: it is accepted, declined or withdrawn first"),
        Because.NOT_SET_UP: tr("note these first, on the page of the hand-over"),
    }
    fallback = _FROM.get(event, tr("look at the order as it is now, then decide again"))
    return Conflict("state", named, words_for.get(refused.because) or fallback)


def why_not_sent(refused: Refusal | None, version: int) -> str:
    """The counter's explanation of why the newest version cannot be sent; empty where that is
    obvious.
    """
    if refused is None:
        return ""
    named = ", ".join(refused.named)
    words = {
        Because.CHECK_FAILED: tr(
            "It cannot be sent: {named} says no in version {version}. Change the build.",
            named=named,
            version=version,
        ),
        Because.LAST_DAY_OVER: tr(
            "It cannot be sent: the last day of version {version} is over. Make a new version.",
            version=version,
        ),
    }
    return words.get(refused.because, "")
