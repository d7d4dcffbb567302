"""The one function that says what may happen to a quote, held against the rules written out."""

from __future__ import annotations

import itertools
from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from webapp.quote.states import (
    NEXT,
    QUOTE_STATES,
    Because,
    Event,
    Refusal,
    Situation,
    State,
    may_happen,
    on_day,
    state_after,
    to_be_confirmed,
)

NAMES = st.sampled_from([(), ("Toe",), ("Toe", "Post")])
SITUATIONS = st.builds(
    Situation,
    offered=st.sampled_from(QUOTE_STATES),
    newer=st.booleans(),
    ordered=st.booleans(),
    over=st.booleans(),
    failed=NAMES,
    failed_offered=NAMES,
    gone=NAMES,
    gone_offered=NAMES,
    waiting=st.booleans(),
    erased=st.booleans(),
    unapproved=st.booleans(),
)


@given(SITUATIONS)
def test_what_fails_or_has_gone_is_neither_sent_nor_accepted(at: Situation) -> None:
    may = may_happen(at)
    if at.failed or at.gone or at.over:
        assert may[Event.SEND] is not None
    if at.failed_offered or at.gone_offered or at.erased or at.offered is not State.SENT:
        assert may[Event.ACCEPT] is not None
        assert may[Event.APPROVE] is not None
    elif not at.erased:
        assert (may[Event.ACCEPT] is None) is not at.unapproved
        assert (may[Event.APPROVE] is None) is at.unapproved


@given(SITUATIONS)
def test_every_event_is_answered_and_a_refusal_says_why(at: Situation) -> None:
    may = may_happen(at)
    assert set(may) == set(Event)
    for refused in may.values():
        assert refused is None or isinstance(refused.because, Because)


@given(SITUATIONS)
def test_an_order_stays_an_order(at: Situation) -> None:
    for event, refused in may_happen(at).items():
        if at.ordered and refused is None and event in NEXT[at.offered]:
            assert state_after(event, at) is State.ACCEPTED


def test_the_roads_of_a_quote_without_anything_in_the_way() -> None:
    """The drawing at the head of the module, line by line."""
    roads = {
        (state, event): state_after(event, at)
        for state, newer in itertools.product(QUOTE_STATES, (False, True))
        for at in [Situation(offered=state, newer=newer, ordered=False, over=False)]
        for event, refused in may_happen(at).items()
        if refused is None and event in NEXT[state]
    }
    assert roads == {
        (State.DRAFT, Event.SEND): State.SENT,
        (State.DRAFT, Event.WITHDRAW): State.WITHDRAWN,
        (State.SENT, Event.SEND): State.SENT,
        (State.SENT, Event.ACCEPT): State.ACCEPTED,
        (State.SENT, Event.DECLINE): State.DECLINED,
        (State.SENT, Event.WITHDRAW): State.WITHDRAWN,
        (State.EXPIRED, Event.SEND): State.SENT,
        (State.EXPIRED, Event.DECLINE): State.DECLINED,
        (State.EXPIRED, Event.WITHDRAW): State.WITHDRAWN,
        (State.ACCEPTED, Event.SEND): State.ACCEPTED,
        (State.DECLINED, Event.SEND): State.SENT,
        (State.WITHDRAWN, Event.SEND): State.SENT,
    }


def test_an_answered_version_is_not_sent_again() -> None:
    for state in (State.ACCEPTED, State.DECLINED, State.WITHDRAWN):
        at = Situation(offered=state, newer=False, ordered=False, over=False)
        refused = may_happen(at)[Event.SEND]
        assert refused is not None
        assert refused.because is Because.ANSWERED


OPEN_FOR: dict[Event, set[State]] = {
    Event.ACCEPT: {State.SENT},
    Event.DECLINE: {State.SENT, State.EXPIRED},
    Event.WITHDRAW: {State.DRAFT, State.SENT, State.EXPIRED},
}
"""What the customer must have for an answer, or for taking it back."""


def because(at: Situation, event: Event) -> tuple[Because | None, tuple[str, ...]]:
    refused = may_happen(at)[event]
    return (None, ()) if refused is None else (refused.because, refused.named)


@given(SITUATIONS)
def test_why_something_may_not_happen_is_the_first_reason_there_is(at: Situation) -> None:
    """Every rule as a list of reasons, in the order in which people are told them."""
    here: tuple[str, ...] = (at.offered,)
    answered = at.offered in {State.ACCEPTED, State.DECLINED, State.WITHDRAWN}
    reasons: dict[Event, list[tuple[bool, Because, tuple[str, ...]]]] = {
        Event.SEND: [
            (at.failed != (), Because.CHECK_FAILED, at.failed),
            (at.over, Because.LAST_DAY_OVER, ()),
            (answered and not at.newer, Because.ANSWERED, here),
            (at.gone != (), Because.NOT_OFFERED, at.gone),
        ],
        Event.ACCEPT: [
            (at.erased or at.offered not in OPEN_FOR[Event.ACCEPT], Because.NOT_OPEN, here),
            (at.failed_offered != (), Because.CHECK_FAILED, at.failed_offered),
            (at.gone_offered != (), Because.NOT_OFFERED, at.gone_offered),
            (at.unapproved, Because.NOT_APPROVED, ()),
        ],
        Event.APPROVE: [
            (not at.unapproved, Because.NOTHING_TO_DO, ()),
            (at.erased or at.offered not in OPEN_FOR[Event.ACCEPT], Because.NOT_OPEN, here),
            (at.failed_offered != (), Because.CHECK_FAILED, at.failed_offered),
            (at.gone_offered != (), Because.NOT_OFFERED, at.gone_offered),
        ],
        Event.DECLINE: [(at.offered not in OPEN_FOR[Event.DECLINE], Because.NOT_OPEN, here)],
        Event.WITHDRAW: [(at.offered not in OPEN_FOR[Event.WITHDRAW], Because.NOT_OPEN, here)],
        Event.CONFIRM: [(at.gone == () == at.gone_offered, Because.NOTHING_TO_DO, ())],
        Event.ASK: [(at.erased, Because.NOT_OPEN, here)],
        Event.ANSWER: [],
        Event.SETTLE: [(not at.waiting, Because.NOTHING_TO_DO, ())],
    }
    for event, listed in reasons.items():
        holding = [(why, named) for holds, why, named in listed if holds]
        assert because(at, event) == (holding[0] if holding else (None, ()))


def test_a_quote_expires_on_the_day_after_its_last() -> None:
    last = date(2026, 3, 1)
    for day, state in [
        (date(2026, 2, 28), State.SENT),
        (last, State.SENT),
        (date(2026, 3, 2), State.EXPIRED),
    ]:
        assert on_day("sent", last, day) is state
    assert on_day("sent", None, date(2999, 1, 1)) is State.SENT
    for kept in ("draft", "accepted", "declined", "withdrawn"):
        assert on_day(kept, last, date(2026, 3, 2)) is State(kept)


def test_only_what_has_gone_can_be_mended_by_confirming() -> None:
    for why in Because:
        refused = Refusal(because=why)
        assert to_be_confirmed(refused) == (why is Because.NOT_OFFERED)
    assert not to_be_confirmed(None)


def test_a_change_offered_leaves_the_order_an_order() -> None:
    for event in (Event.DECLINE, Event.WITHDRAW, Event.SEND):
        at = Situation(offered=State.SENT, newer=False, ordered=True, over=False)
        assert state_after(event, at) is State.ACCEPTED


def test_the_states_of_a_quote_are_all_but_replaced() -> None:
    assert set(State) - set(QUOTE_STATES) == {State.REPLACED}
    assert not NEXT[State.REPLACED]
