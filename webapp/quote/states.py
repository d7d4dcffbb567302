"""The states of a quote, what can happen to it, and what may happen next.

    draft ──send──▶ sent ──accept──▶ accepted
      │              │ ├──decline──▶ declined
      └──withdraw──┬─┘ └──(time)───▶ expired
                   ▼
               withdrawn

A quote that was declined, has expired or was withdrawn goes back to *sent* by
sending a newer version, and in no other way; a draft withdrawn before anybody
saw it can still be sent. *Expired* is never written: it is what a sent
quote is after its last day, so that a clock put right puts the quote right too.

What is accepted is an order:

    accepted ──▶ confirmed ──▶ deposit asked ──▶ deposit paid ──▶ in build ──▶ ready
       │             │               │                │              │          │
       └─────────────┴────cancel─────┴───────┬────────┴──────────────┴──────────┤
                                             ▼                                  ▼
                                         cancelled            handed over ──▶ closed

A deposit may be paid before it is asked for, and without one the build begins once the order is
confirmed. A payment taken back asks for the deposit again, and what was ready may go back into
the build. An order never becomes a quote again: a newer version sent is a change offered, which
is accepted in its turn, or declined, withdrawn or left to expire while the order stays as it was.

A quote that a rider has asked for on the web waits for the shop: it is sent, but can
be accepted only after the shop has approved it, which a sending does too.

`may_happen` is the one function that decides. Pages show what it allows, services
refuse what it refuses. A later state is one more line in `State`, in
`NEXT` and, where more than the state decides, a guard in `_GUARDS`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from types import MappingProxyType


class State(StrEnum):
    """The state of a quote, or of one of its versions.

    `EXPIRED` is never kept, and `REPLACED` is said of versions alone: of one followed
    by another that the customer has.
    """

    DRAFT = "draft"
    SENT = "sent"
    ACCEPTED = "accepted"
    CONFIRMED = "confirmed"
    DEPOSIT_ASKED = "deposit asked"
    DEPOSIT_PAID = "deposit paid"
    IN_BUILD = "in build"
    READY = "ready"
    HANDED_OVER = "handed over"
    CLOSED = "closed"
    CANCELLED = "cancelled"
    DECLINED = "declined"
    EXPIRED = "expired"
    WITHDRAWN = "withdrawn"
    REPLACED = "replaced"


QUOTE_STATES = tuple(state for state in State if state is not State.REPLACED)
_BEFORE_DEPOSIT = (State.CONFIRMED, State.DEPOSIT_ASKED)
TO_BUILD = (State.ACCEPTED, *_BEFORE_DEPOSIT, State.DEPOSIT_PAID, State.IN_BUILD)
"""Orders with work left to do."""
OPEN_ORDERS = (*TO_BUILD, State.READY)
"""Orders that can still be changed and cancelled."""
ORDERS = (*OPEN_ORDERS, State.HANDED_OVER, State.CLOSED, State.CANCELLED)


class Event(StrEnum):
    """An event in a quote's life; the value is the word in its history."""

    SEND = "sent"
    ACCEPT = "accepted"
    DECLINE = "declined"
    WITHDRAW = "withdrawn"
    APPROVE = "confirmed"
    CONFIRM = "still offered"
    ASK = "question"
    ANSWER = "answer"
    SETTLE = "taken out of the inbox"
    CONFIRM_ORDER = "order confirmed"
    ASK_DEPOSIT = "deposit asked"
    PAY = "paid"
    PAY_BACK = "paid back"
    PROMISE = "promised"
    NAME_SERIAL = "serial number"
    BUILD = "in build"
    SET_UP = "set up"
    FINISH = "ready"
    HAND_OVER = "handed over"
    CLOSE = "closed"
    ASK_TO_CANCEL = "asks to cancel"
    CANCEL = "cancelled"
    THROW_AWAY = "thrown away"
    REMIND = "reminded"


class Because(StrEnum):
    """Why something may not happen."""

    CHECK_FAILED = "a check of the build says no"
    LAST_DAY_OVER = "the last day of the version is over"
    ANSWERED = "the customer has answered this version"
    NOT_OPEN = "it is not in a state for that"
    NOT_OFFERED = "something in it is no longer offered, and the shop has not confirmed it"
    NOT_APPROVED = "the shop has not confirmed it yet"
    NOTHING_TO_DO = "there is nothing to be done"
    DEPOSIT_OPEN = "the deposit is not paid"
    MONEY_LEFT = "something is left to pay"
    CHANGE_OPEN = "a change is offered and not answered"
    NOT_SET_UP = "something of the bike is not noted yet"


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
        State.CANCELLED: {},
        State.DECLINED: {Event.SEND: State.SENT},
        State.WITHDRAWN: {Event.SEND: State.SENT},
        State.REPLACED: {},
    }
)
"""The state an event leads to, by the state of the version that the customer has."""

_WITH_MONEY = (*OPEN_ORDERS[1:], State.HANDED_OVER)

ORDER_STEPS: Mapping[Event, tuple[tuple[State, ...], State | None]] = MappingProxyType(
    {
        Event.CONFIRM_ORDER: ((State.ACCEPTED,), State.CONFIRMED),
        Event.ASK_DEPOSIT: ((State.CONFIRMED,), State.DEPOSIT_ASKED),
        Event.PAY: (_WITH_MONEY, None),
        Event.PAY_BACK: ((*_WITH_MONEY, State.CANCELLED), None),
        Event.PROMISE: (OPEN_ORDERS, None),
        Event.NAME_SERIAL: (OPEN_ORDERS, None),
        Event.BUILD: ((*_BEFORE_DEPOSIT, State.DEPOSIT_PAID, State.READY), State.IN_BUILD),
        Event.SET_UP: ((State.IN_BUILD, State.READY), None),
        Event.FINISH: ((State.IN_BUILD,), State.READY),
        Event.HAND_OVER: ((State.READY,), State.HANDED_OVER),
        Event.CLOSE: ((State.HANDED_OVER,), State.CLOSED),
        Event.ASK_TO_CANCEL: (OPEN_ORDERS, None),
        Event.CANCEL: (OPEN_ORDERS, State.CANCELLED),
    }
)
"""Events of an order: the states that allow each, and the state it leads to, None for none."""

ANSWERED = frozenset({State.ACCEPTED, State.CANCELLED, State.DECLINED, State.WITHDRAWN})
"""States from which only a newer version is sent."""


@dataclass(frozen=True, kw_only=True)
class Situation:
    """Everything that decides what may happen to a quote on a day.

    Parameters
    ----------
    offered : State
        On the day, of the version the customer has; of the draft while there is none.
    newer : bool
        Whether there is a newer version than the one the customer has.
    order : State or None
        The state of the order, once the customer has accepted a version.
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
    deposit_open, money_left, money_paid : bool
        Whether the order's deposit is not paid in full, whether anything of its price is
        left to pay, and whether the shop has anything that it could pay back.
    failed_ordered : tuple of str
        Checks that say no in the version accepted.
    not_set_up : tuple of str
        What of the built bike is not noted yet and belongs to the hand-over.
    earlier : bool
        Whether there is a version before the current one; asked where that one is newer alone.
    """

    offered: State
    newer: bool
    over: bool
    order: State | None = None
    failed: tuple[str, ...] = ()
    failed_offered: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()
    gone_offered: tuple[str, ...] = ()
    waiting: bool = False
    erased: bool = False
    unapproved: bool = False
    deposit_open: bool = False
    money_left: bool = False
    money_paid: bool = False
    failed_ordered: tuple[str, ...] = ()
    not_set_up: tuple[str, ...] = ()
    earlier: bool = False

    @property
    def awaited(self) -> bool:
        """Whether the customer has something to do: to answer, or to pay the deposit."""
        return self.offered is State.SENT or self.order is State.DEPOSIT_ASKED

    @property
    def change_open(self) -> bool:
        """Whether a change to the order waits for the customer's answer."""
        return self.order is not None and self.offered is State.SENT


def on_day(state: str, valid_until: date | None, day: date) -> State:
    """A state as it is on a day: sent and not answered in time, it is expired.

    >>> on_day("sent", date(2026, 3, 1), date(2026, 3, 2)).value
    'expired'
    """
    late = state == State.SENT and valid_until is not None and day > valid_until
    return State.EXPIRED if late else State(state)


def may_happen(at: Situation) -> Mapping[Event, Refusal | None]:
    """What may happen to a quote next.

    Returns
    -------
    mapping of Event to Refusal or None
        Every event; None where it may happen.

    Examples
    --------
    >>> sent = Situation(offered=State.SENT, newer=False, over=False)
    >>> [event.name for event, refused in may_happen(sent).items() if refused is None]
    ['SEND', 'ACCEPT', 'DECLINE', 'WITHDRAW', 'ASK', 'ANSWER', 'REMIND']
    """
    return MappingProxyType({event: guard(at) for event, guard in _GUARDS.items()})


def state_after(event: Event, at: Situation) -> State:
    """The state that is kept after an event that may happen.

    ``at`` is before it; for what is paid and paid back, with the money as it is afterwards.

    Examples
    --------
    >>> asked = Situation(
    ...     offered=State.ACCEPTED, newer=False, over=False, order=State.DEPOSIT_ASKED
    ... )
    >>> state_after(Event.PAY, asked).value
    'deposit paid'
    """
    if at.order is None:
        return NEXT[at.offered][event]
    if event in (Event.PAY, Event.PAY_BACK):
        return _after_money(at.order, deposit_open=at.deposit_open)
    _, leads = ORDER_STEPS.get(event, ((), None))
    return leads or at.order


def _after_money(order: State, *, deposit_open: bool) -> State:
    if order in _BEFORE_DEPOSIT and not deposit_open:
        return State.DEPOSIT_PAID
    return State.DEPOSIT_ASKED if order is State.DEPOSIT_PAID and deposit_open else order


def _send(at: Situation) -> Refusal | None:
    if at.order is not None and at.order not in OPEN_ORDERS:
        return Refusal(because=Because.NOT_OPEN, named=(at.order,))
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
    """A guard: only the shop's confirmation may be missing."""
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


def _wanted(there: object) -> Refusal | None:
    """A guard: refused where there is nothing to do."""
    return None if there else Refusal(because=Because.NOTHING_TO_DO)


def _ask(at: Situation) -> Refusal | None:
    return Refusal(because=Because.NOT_OPEN, named=(at.offered,)) if at.erased else None


def _step(event: Event) -> Callable[[Situation], Refusal | None]:
    """A guard of an order: its state first, then anything else that prevents the step."""

    def guard(at: Situation) -> Refusal | None:
        states, _ = ORDER_STEPS[event]
        if at.order not in states:
            return Refusal(because=Because.NOT_OPEN, named=(at.order or at.offered,))
        return next((refused for refused in _stops(event, at) if refused), None)

    return guard


def _stops(event: Event, at: Situation) -> Iterator[Refusal | None]:
    """What prevents a step that the state would allow."""
    if event in (Event.CONFIRM_ORDER, Event.BUILD, Event.FINISH, Event.HAND_OVER):
        if at.failed_ordered:
            yield Refusal(because=Because.CHECK_FAILED, named=at.failed_ordered)
        if at.change_open and event is not Event.CONFIRM_ORDER:
            yield Refusal(because=Because.CHANGE_OPEN)
    if event is Event.BUILD and at.order is not State.READY and at.deposit_open:
        yield Refusal(because=Because.DEPOSIT_OPEN)
    if event is Event.ASK_DEPOSIT and not at.deposit_open:
        yield Refusal(because=Because.NOTHING_TO_DO)
    if event is Event.PAY_BACK and not at.money_paid:
        yield Refusal(because=Because.NOTHING_TO_DO)
    if event is Event.HAND_OVER and at.not_set_up:
        yield Refusal(because=Because.NOT_SET_UP, named=at.not_set_up)
    if event is Event.CLOSE and at.money_left:
        yield Refusal(because=Because.MONEY_LEFT)


_GUARDS: Mapping[Event, Callable[[Situation], Refusal | None]] = MappingProxyType(
    {
        Event.SEND: _send,
        Event.ACCEPT: _accept,
        Event.DECLINE: _from_state(Event.DECLINE),
        Event.WITHDRAW: _from_state(Event.WITHDRAW),
        Event.APPROVE: _approve,
        Event.CONFIRM: lambda at: _wanted(at.gone or at.gone_offered),
        Event.ASK: _ask,
        Event.ANSWER: lambda _at: None,
        Event.SETTLE: lambda at: _wanted(at.waiting),
        **{event: _step(event) for event in ORDER_STEPS},
        Event.THROW_AWAY: lambda at: _wanted(at.newer and at.earlier),
        Event.REMIND: lambda at: _wanted(not at.erased and at.awaited),
    }
)
