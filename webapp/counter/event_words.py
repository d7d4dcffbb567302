"""What happened to a quote, as its page says it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from webapp.common.text.language import tr
from webapp.counter.orders.section import WAYS
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
    Event.CONFIRM_ORDER: tr("order confirmed"),
    Event.ASK_DEPOSIT: tr("deposit asked for"),
    Event.PAY: tr("payment noted"),
    Event.PAY_BACK: tr("payment back noted"),
    Event.PROMISE: tr("date promised"),
    Event.NAME_SERIAL: tr("serial number"),
    Event.BUILD: tr("in build"),
    Event.SET_UP: tr("noted as built"),
    Event.FINISH: tr("ready"),
    Event.HAND_OVER: tr("handed over"),
    Event.CLOSE: tr("closed"),
    Event.ASK_TO_CANCEL: tr("asks to cancel"),
    Event.CANCEL: tr("order cancelled"),
    Event.THROW_AWAY: tr("thrown away"),
    Event.REMIND: tr("reminded the customer"),
}


def values_in_words(detail: Mapping[str, Any]) -> str:
    """What was noted with a step of an order: amounts, days, numbers; empty where nothing was.

    Examples
    --------
    >>> values_in_words({"amount": "1,375.20 EUR", "paid_by": "card", "text": "x"})
    '1,375.20 EUR, card'
    """
    said = [
        detail.get("amount"),
        WAYS.get(detail.get("paid_by", "")),
        detail.get("paid_on"),
        ", ".join(detail.get("serials", ())),
    ]
    if day := detail.get("promised_on"):
        said.append(tr("promised for {day}", day=day))
    if day := detail.get("due_on"):
        said.append(tr("due on {day}", day=day))
    if kept := detail.get("kept"):
        said.append(tr("{amount} kept", amount=kept))
    if back := detail.get("to_pay_back"):
        said.append(tr("{amount} to be paid back", amount=back))
    return ", ".join(str(each) for each in said if each)


def event_in_words(what: str) -> str:
    """The words for an event; what is kept of it is the same in every language.

    Examples
    --------
    >>> event_in_words("sent"), event_in_words("accepted")
    ('opened to the customer', 'accepted')
    """
    return _IN_WORDS.get(what, what)
