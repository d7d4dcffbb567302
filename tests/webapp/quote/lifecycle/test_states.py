"""The one function that says what may happen to a quote, held against the rules written out."""

from __future__ import annotations

import itertools

from hypothesis import given
from hypothesis import strategies as st

from webapp.quote.lifecycle.states import (
    NEXT,
    QUOTE_STATES,
    Because,
    Event,
    Situation,
    State,
    may_happen,
    state_after,
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
)


@given(SITUATIONS)
def test_what_fails_or_has_gone_is_neither_sent_nor_accepted(at: Situation) -> None:
    may = may_happen(at)
    if at.failed or at.gone or at.over:
        assert may[Event.SEND] is not None
    if at.failed_offered or at.gone_offered or at.erased or at.offered is not State.SENT:
        assert may[Event.ACCEPT] is not None
    elif not at.erased:
        assert may[Event.ACCEPT] is None


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
