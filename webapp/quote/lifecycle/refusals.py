"""Why something may not happen to a quote, in words: for the page, and for who tries it anyway."""

from __future__ import annotations

from webapp.common.errors import Conflict, DomainError, Forbidden
from webapp.quote.lifecycle.states import Because, Event, Refusal

_FROM = {
    Event.ACCEPT: "only a quote that is open can be accepted; ask the shop",
    Event.DECLINE: "a quote that is sent",
    Event.WITHDRAW: "a quote that is draft or sent",
    Event.ASK: "a quote whose customer was not erased",
}


def error_of(event: Event, refused: Refusal) -> DomainError:
    """What is raised where an event is tried that may not happen."""
    named = ", ".join(refused.named)
    if refused.because is Because.CHECK_FAILED:
        return Forbidden("build", named, "change the build until no check says no")
    if refused.because is Because.NOT_OFFERED:
        words = " ".join(refused.named)
        ask = "confirm that it is delivered all the same, or change the build"
        wait = "the shop has to confirm first that it is delivered; ask the shop"
        remedy = f"{words} {wait if event is Event.ACCEPT else ask}".replace(". ", "; ")
        return Conflict("offered", named, remedy)
    words_for = {
        Because.LAST_DAY_OVER: "a new version with a later last day",
        Because.ANSWERED: "make a new version first; this one is answered",
        Because.NOTHING_TO_DO: "look at the quote as it is now",
    }
    return Conflict("state", named, words_for.get(refused.because) or _FROM[event])


def why_not_sent(refused: Refusal | None, version: int) -> str:
    """Said at the counter where the newest version cannot be sent; empty where that is plain."""
    if refused is None:
        return ""
    named = ", ".join(refused.named)
    words = {
        Because.CHECK_FAILED: f"It cannot be sent: {named} says no in version {version}. "
        "Change the build.",
        Because.LAST_DAY_OVER: f"It cannot be sent: the last day of version {version} is over. "
        "Make a new version.",
    }
    return words.get(refused.because, "")
