"""What happened to a quote, as its page says it."""

from __future__ import annotations

from webapp.common.text.language import tr
from webapp.quote.states import Event
from webapp.quote.storage.write import ASKED, MADE

_IN_WORDS = {
    ASKED: tr("asked"),
    MADE: tr("made at the counter"),
    "new version": tr("new version"),
    "customer erased": tr("customer erased"),
    Event.SEND: tr("opened to the customer"),
    Event.ACCEPT: tr("accepted"),
    Event.DECLINE: tr("declined"),
    Event.WITHDRAW: tr("withdrawn"),
    Event.APPROVE: tr("confirmed, can be ordered"),
    Event.CONFIRM: tr("still offered"),
    Event.ASK: tr("question"),
    Event.ANSWER: tr("answer"),
    Event.SETTLE: tr("taken out of the inbox"),
}


def event_in_words(what: str) -> str:
    """The words for an event; what is kept of it is the same in every language.

    Examples
    --------
    >>> event_in_words("sent"), event_in_words("accepted")
    ('opened to the customer', 'accepted')
    """
    return _IN_WORDS.get(what, what)
