"""The states of a quote, what can happen to it, and what may happen next.

    draft ──send──▶ sent ──accept──▶ accepted
      │              │ ├──decline──▶ declined
      └──withdraw──┬─┘ └──(time)───▶ expired
                   ▼
               withdrawn

A quote that was declined, has expired or was withdrawn goes back to *sent* by
sending a newer version, and in no other way; a draft withdrawn before anybody
saw it can still be sent. *Accepted* stays: a newer version sent then is a change
offered, which is accepted in its turn, or declined, withdrawn or left to expire
while the order stays as it was. *Expired* is never written: it is what a sent
quote is after its last day, so that a clock put right puts the quote right too.

A quote that a rider has asked for on the web waits for the shop: it is sent, but can
be accepted only after the shop has approved it, which a sending does too.

`may_happen` is the one function that decides. Pages show what it allows, services
refuse what it refuses. A later state of an order is one more line in `State`, in
`NEXT` and, where more than the state decides, a guard in `_GUARDS`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from types import MappingProxyType


class State(StrEnum):
    """What has become of a quote, or of one of its versions.

    `EXPIRED` is never kept, and `REPLACED` is said of versions alone: of one followed
    by another that the customer has.
    """

    DRAFT = "draft"
    SENT = "sent"
    ACCEPTED = "accepted"
    DECLINED = "declined"
    EXPIRED = "expired"
    WITHDRAWN = "withdrawn"
    REPLACED = "replaced"


QUOTE_STATES = tuple(state for state in State if state is not State.REPLACED)


class Event(StrEnum):
    """What somebody does to a quote; the value is the word in its history."""

    SEND = "sent"
    ACCEPT = "accepted"
    DECLINE = "declined"
    WITHDRAW = "withdrawn"
    APPROVE = "confirmed"
    CONFIRM = "still offered"
    ASK = "question"
    ANSWER = "answer"
    SETTLE = "taken out of the inbox"


class Because(StrEnum):
    """Why something may not happen."""

    CHECK_FAILED = "a check of the build says no"
    LAST_DAY_OVER = "the last day of the version is over"
    ANSWERED = "the customer has answered this version"
    NOT_OPEN = "it is not in a state for that"
    NOT_OFFERED = "something in it is no longer offered, and the shop has not confirmed it"
    NOT_APPROVED = "the shop has not confirmed it yet"
    NOTHING_TO_DO = "there is nothing to be done"


@dataclass(frozen=True, kw_only=True)
class Refusal:
    """Why an event may not happen, and what it is about: names of checks or parts, a state."""

    because: Because
    named: tuple[str, ...] = ()


def to_be_confirmed(refused: Refusal | None) -> bool:
    """Whether nothing but the shop's confirmation is missing."""
    return refused is not None and refused.because is Because.NOT_OFFERED


NEXT: Mapping[State, Mapping[Event, State]] = MappingProxyType(
    {
        State.DRAFT: {Event.SEND: State.SENT, Event.WITHDRAW: State.WITHDRAWN},
        State.SENT: {
            Event.SEND: State.SENT,
            Event.ACCEPT: State.ACCEPTED,
            Event.DECLINE: State.DECLINED,
            Event.WITHDRAW: State.WITHDRAWN,
        },
        State.EXPIRED: {
            Event.SEND: State.SENT,
            Event.DECLINE: State.DECLINED,
            Event.WITHDRAW: State.WITHDRAWN,
        },
        State.ACCEPTED: {Event.SEND: State.ACCEPTED},
        State.DECLINED: {Event.SEND: State.SENT},
        State.WITHDRAWN: {Event.SEND: State.SENT},
        State.REPLACED: {},
    }
)
"""The state an event leads to, by the state of what the customer has."""

ANSWERED = frozenset({State.ACCEPTED, State.DECLINED, State.WITHDRAWN})
"""States from which only a newer version is sent."""


@dataclass(frozen=True, kw_only=True)
class Situation:
    """Everything that decides what may happen to a quote on a day.

    Parameters
    ----------
    offered : State
        On the day, of the version before the customer; of the draft while there is none.
    newer : bool
        Whether the current version is not the one before the customer.
    ordered : bool
        Whether the customer has accepted a version.
    over : bool
        Whether the last day of the current version is over.
    failed, failed_offered : tuple of str
        Checks that say no in the current version, and in the one before the customer.
    gone, gone_offered : tuple of str
        What these two hold that is no longer offered and was not confirmed by the shop.
    waiting : bool
        Whether the customer waits for the shop.
    erased : bool
        Whether the customer was erased.
    unapproved : bool
        Whether it was asked for on the web and the shop has not confirmed it yet.
    """

    offered: State
    newer: bool
    ordered: bool
    over: bool
    failed: tuple[str, ...] = ()
    failed_offered: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()
    gone_offered: tuple[str, ...] = ()
    waiting: bool = False
    erased: bool = False
    unapproved: bool = False


def on_day(state: str, valid_until: date | None, day: date) -> State:
    """A state as it is on a day: sent and not answered in time, it is expired.

    >>> on_day("sent", date(2026, 3, 1), date(2026, 3, 2)).value
    'expired'
    """
    late = state == State.SENT and valid_until is not None and day > valid_until
    return State.EXPIRED if late else State(state)


def may_happen(at: Situation) -> Mapping[Event, Refusal | None]:
    """What may happen to a quote next.

    Parameters
    ----------
    at : Situation

    Returns
    -------
    mapping of Event to Refusal or None
        Every event; None where it may happen.

    Examples
    --------
    >>> sent = Situation(offered=State.SENT, newer=False, ordered=False, over=False)
    >>> [event.name for event, refused in may_happen(sent).items() if refused is None]
    ['SEND', 'ACCEPT', 'DECLINE', 'WITHDRAW', 'ASK', 'ANSWER']
    """
    return MappingProxyType({event: guard(at) for event, guard in _GUARDS.items()})


def state_after(event: Event, at: Situation) -> State:
    """The state that is kept after an event that may happen.

    An order stays an order, whatever becomes of a change offered.
    """
    return State.ACCEPTED if at.ordered else NEXT[at.offered][event]


def _send(at: Situation) -> Refusal | None:
    if at.failed:
        return Refusal(because=Because.CHECK_FAILED, named=at.failed)
    if at.over:
        return Refusal(because=Because.LAST_DAY_OVER)
    if at.offered in ANSWERED and not at.newer:
        return Refusal(because=Because.ANSWERED, named=(at.offered,))
    if at.gone:
        return Refusal(because=Because.NOT_OFFERED, named=at.gone)
    return None


def _accept(at: Situation) -> Refusal | None:
    if at.erased or Event.ACCEPT not in NEXT[at.offered]:
        return Refusal(because=Because.NOT_OPEN, named=(at.offered,))
    if at.failed_offered:
        return Refusal(because=Because.CHECK_FAILED, named=at.failed_offered)
    if at.gone_offered:
        return Refusal(because=Because.NOT_OFFERED, named=at.gone_offered)
    return Refusal(because=Because.NOT_APPROVED) if at.unapproved else None


def _approve(at: Situation) -> Refusal | None:
    """Nothing but the shop's word may be missing."""
    if not at.unapproved:
        return Refusal(because=Because.NOTHING_TO_DO)
    missing = _accept(at)
    return None if missing == Refusal(because=Because.NOT_APPROVED) else missing


def _from_state(event: Event) -> Callable[[Situation], Refusal | None]:
    """A guard by the state alone."""

    def guard(at: Situation) -> Refusal | None:
        if event in NEXT[at.offered]:
            return None
        return Refusal(because=Because.NOT_OPEN, named=(at.offered,))

    return guard


def _confirm(at: Situation) -> Refusal | None:
    asked = at.gone or at.gone_offered
    return None if asked else Refusal(because=Because.NOTHING_TO_DO)


def _ask(at: Situation) -> Refusal | None:
    return Refusal(because=Because.NOT_OPEN, named=(at.offered,)) if at.erased else None


def _settle(at: Situation) -> Refusal | None:
    return None if at.waiting else Refusal(because=Because.NOTHING_TO_DO)


def _always(_at: Situation) -> Refusal | None:
    return None


_GUARDS: Mapping[Event, Callable[[Situation], Refusal | None]] = MappingProxyType(
    {
        Event.SEND: _send,
        Event.ACCEPT: _accept,
        Event.DECLINE: _from_state(Event.DECLINE),
        Event.WITHDRAW: _from_state(Event.WITHDRAW),
        Event.APPROVE: _approve,
        Event.CONFIRM: _confirm,
        Event.ASK: _ask,
        Event.ANSWER: _always,
        Event.SETTLE: _settle,
    }
)
