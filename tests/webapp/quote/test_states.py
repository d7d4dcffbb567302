"""The one function that says what may happen to a quote, held against the rules written out."""

from __future__ import annotations

import itertools
from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from webapp.quote.states import (
    NEXT,
    OPEN_ORDERS,
    ORDER_STEPS,
    ORDERS,
    QUOTE_STATES,
    TO_BUILD,
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
    offered=st.sampled_from(tuple(NEXT)),
    newer=st.booleans(),
    order=st.sampled_from([None, *ORDERS]),
    over=st.booleans(),
    failed=NAMES,
    failed_offered=NAMES,
    gone=NAMES,
    gone_offered=NAMES,
    waiting=st.booleans(),
    erased=st.booleans(),
    unapproved=st.booleans(),
    deposit_open=st.booleans(),
    money_left=st.booleans(),
    money_paid=st.booleans(),
    failed_ordered=NAMES,
    not_set_up=NAMES,
    earlier=st.booleans(),
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
def test_only_what_the_customer_never_had_is_thrown_away(at: Situation) -> None:
    assert (may_happen(at)[Event.THROW_AWAY] is None) is (at.newer and at.earlier)


@given(SITUATIONS)
def test_an_order_stays_an_order(at: Situation) -> None:
    for event, refused in may_happen(at).items():
        if at.order is not None and refused is None:
            assert state_after(event, at) in ORDERS
            if event not in ORDER_STEPS:
                assert state_after(event, at) is at.order


def test_the_roads_of_a_quote_without_anything_in_the_way() -> None:
    """The drawing at the head of the module, line by line."""
    roads = {
        (state, event): state_after(event, at)
        for state, newer in itertools.product(set(NEXT) - {State.REPLACED}, (False, True))
        for at in [Situation(offered=state, newer=newer, over=False)]
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
    for state in (State.ACCEPTED, State.CANCELLED, State.DECLINED, State.WITHDRAWN):
        at = Situation(offered=state, newer=False, over=False)
        refused = may_happen(at)[Event.SEND]
        assert refused is not None
        assert refused.because is Because.ANSWERED


STEPS_BY_STATE = """
accepted: CONFIRM_ORDER PROMISE NAME_SERIAL ASK_TO_CANCEL CANCEL
confirmed: ASK_DEPOSIT PAY PAY_BACK PROMISE NAME_SERIAL BUILD ASK_TO_CANCEL CANCEL
deposit asked: PAY PAY_BACK PROMISE NAME_SERIAL BUILD ASK_TO_CANCEL CANCEL
deposit paid: PAY PAY_BACK PROMISE NAME_SERIAL BUILD ASK_TO_CANCEL CANCEL
in build: PAY PAY_BACK PROMISE NAME_SERIAL SET_UP FINISH ASK_TO_CANCEL CANCEL
ready: PAY PAY_BACK PROMISE NAME_SERIAL BUILD SET_UP HAND_OVER ASK_TO_CANCEL CANCEL
handed over: PAY PAY_BACK CLOSE
closed:
cancelled: PAY_BACK
"""
"""What the shop does to an order in each of its states when nothing is in the way."""

STEPS = {
    State(name): {Event[step] for step in steps.split()}
    for name, _, steps in (line.partition(":") for line in STEPS_BY_STATE.strip().splitlines())
}
OPEN_ORDER = {state for state, steps in STEPS.items() if Event.CANCEL in steps}
SAFE = {Event.CONFIRM_ORDER, Event.BUILD, Event.FINISH, Event.HAND_OVER}

OPEN_FOR: dict[Event, set[State]] = {
    Event.ACCEPT: {State.SENT},
    Event.DECLINE: {State.SENT, State.EXPIRED},
    Event.WITHDRAW: {State.DRAFT, State.SENT, State.EXPIRED},
}
"""What the customer must have for an answer, or for taking it back."""


def because(at: Situation, event: Event) -> tuple[Because | None, tuple[str, ...]]:
    refused = may_happen(at)[event]
    return (None, ()) if refused is None else (refused.because, refused.named)


Reasons = list[tuple[bool, Because, tuple[str, ...]]]


def reasons_of_a_quote(at: Situation) -> dict[Event, Reasons]:
    """Every rule as a list of reasons, in the order in which people are told them."""
    here: tuple[str, ...] = (at.offered,)
    answered = at.offered in {State.ACCEPTED, State.CANCELLED, State.DECLINED, State.WITHDRAWN}
    over = at.order is not None and at.order not in OPEN_ORDER
    return {
        Event.SEND: [
            (over, Because.NOT_OPEN, (str(at.order),)),
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
        Event.THROW_AWAY: [(not (at.newer and at.earlier), Because.NOTHING_TO_DO, ())],
        Event.REMIND: [
            (at.erased, Because.NOTHING_TO_DO, ()),
            (
                at.offered is not State.SENT and at.order is not State.DEPOSIT_ASKED,
                Because.NOTHING_TO_DO,
                (),
            ),
        ],
    }


def reasons_of_an_order(at: Situation) -> dict[Event, Reasons]:
    """The same for what is done to an order."""
    reasons: dict[Event, Reasons] = {}
    for step in set.union(*STEPS.values()):
        closed = at.order is None or step not in STEPS[at.order]
        change = at.order is not None and at.offered is State.SENT
        unpaid = at.deposit_open and at.order is not State.READY
        reasons[step] = [
            (closed, Because.NOT_OPEN, (str(at.order or at.offered),)),
            (step in SAFE and at.failed_ordered != (), Because.CHECK_FAILED, at.failed_ordered),
            (step in SAFE - {Event.CONFIRM_ORDER} and change, Because.CHANGE_OPEN, ()),
            (step is Event.BUILD and unpaid, Because.DEPOSIT_OPEN, ()),
            (step is Event.ASK_DEPOSIT and not at.deposit_open, Because.NOTHING_TO_DO, ()),
            (step is Event.PAY_BACK and not at.money_paid, Because.NOTHING_TO_DO, ()),
            (
                step is Event.HAND_OVER and at.not_set_up != (),
                Because.NOT_SET_UP,
                at.not_set_up,
            ),
            (step is Event.CLOSE and at.money_left, Because.MONEY_LEFT, ()),
        ]
    return reasons


def first_reasons_are_told(at: Situation, reasons: dict[Event, Reasons]) -> None:
    for event, listed in reasons.items():
        holding = [(why, named) for holds, why, named in listed if holds]
        assert because(at, event) == (holding[0] if holding else (None, ())), event


@given(SITUATIONS)
def test_why_something_may_not_happen_is_the_first_reason_there_is(at: Situation) -> None:
    reasons = reasons_of_a_quote(at) | reasons_of_an_order(at)
    assert set(reasons) == set(Event)
    first_reasons_are_told(at, reasons)


def test_so_it_is_for_an_order_with_anything_in_the_way() -> None:
    either = (False, True)
    for at in (
        Situation(
            offered=offered, newer=False, over=False, order=state, failed_ordered=failed,
            not_set_up=missing, deposit_open=due, money_left=left, money_paid=paid,
        )
        for offered, state in itertools.product((State.SENT, State.ACCEPTED), (None, *STEPS))
        for failed, missing in itertools.product(((), ("Toe",)), ((), ("Serial",)))
        for due, left, paid in itertools.product(either, either, either)
    ):  # fmt: skip
        first_reasons_are_told(at, reasons_of_an_order(at))


@given(SITUATIONS)
def test_who_is_awaited_and_whether_a_change_is_open(at: Situation) -> None:
    to_answer, to_pay = at.offered is State.SENT, at.order is State.DEPOSIT_ASKED
    assert at.awaited is (to_answer or to_pay)
    assert at.change_open is (to_answer and at.order is not None)


def test_the_steps_of_an_order_are_those_of_the_table() -> None:
    for state, steps in STEPS.items():
        allowed = {
            event
            for due in (True, False)
            for event, refused in may_happen(
                order(state, deposit_open=due, money_paid=True)
            ).items()
            if refused is None
        }
        assert allowed & set(ORDER_STEPS) == steps
    assert (set(STEPS), OPEN_ORDER) == (set(ORDERS), set(OPEN_ORDERS))
    assert set(TO_BUILD) == OPEN_ORDER - {State.READY}


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
        for order in OPEN_ORDERS:
            at = Situation(offered=State.SENT, newer=False, order=order, over=False)
            assert state_after(event, at) is order


def test_the_states_of_a_quote_are_all_but_replaced() -> None:
    assert set(State) - set(QUOTE_STATES) == {State.REPLACED}
    assert not NEXT[State.REPLACED]


ROADS = {
    (State.ACCEPTED, Event.CONFIRM_ORDER): State.CONFIRMED,
    (State.CONFIRMED, Event.ASK_DEPOSIT): State.DEPOSIT_ASKED,
    (State.CONFIRMED, Event.BUILD): State.IN_BUILD,
    (State.DEPOSIT_ASKED, Event.BUILD): State.IN_BUILD,
    (State.DEPOSIT_PAID, Event.BUILD): State.IN_BUILD,
    (State.IN_BUILD, Event.FINISH): State.READY,
    (State.READY, Event.BUILD): State.IN_BUILD,
    (State.READY, Event.HAND_OVER): State.HANDED_OVER,
    (State.HANDED_OVER, Event.CLOSE): State.CLOSED,
    **{(state, Event.CANCEL): State.CANCELLED for state in OPEN_ORDERS},
}
"""The roads of an order that change its state, but for those that money takes."""


def order(state: State, **more: object) -> Situation:
    return Situation(offered=State.ACCEPTED, newer=False, over=False, order=state, **more)  # type: ignore[arg-type]


def test_the_roads_of_an_order_without_anything_in_the_way() -> None:
    found = {}
    for state in ORDERS:
        at = order(state, deposit_open=False, money_paid=True)
        for event, refused in may_happen(at).items():
            after = state_after(event, at) if refused is None else state
            if event in ORDER_STEPS and after is not state and event is not Event.PAY:
                found[state, event] = after
    asked = order(State.CONFIRMED, deposit_open=True)
    assert may_happen(asked)[Event.ASK_DEPOSIT] is None
    assert state_after(Event.ASK_DEPOSIT, asked) is State.DEPOSIT_ASKED
    paid_back = {(state, Event.PAY_BACK): State.DEPOSIT_PAID for state in OPEN_ORDERS[1:3]}
    assert found | {(State.CONFIRMED, Event.ASK_DEPOSIT): State.DEPOSIT_ASKED} == ROADS | paid_back


def test_money_asks_for_the_deposit_and_takes_it_as_paid() -> None:
    """Whether the deposit is covered decides, not who pressed what."""
    for before, still_open, after in [
        (State.CONFIRMED, True, State.CONFIRMED),
        (State.CONFIRMED, False, State.DEPOSIT_PAID),
        (State.DEPOSIT_ASKED, True, State.DEPOSIT_ASKED),
        (State.DEPOSIT_ASKED, False, State.DEPOSIT_PAID),
        (State.DEPOSIT_PAID, True, State.DEPOSIT_ASKED),
        (State.IN_BUILD, True, State.IN_BUILD),
        (State.CANCELLED, True, State.CANCELLED),
    ]:
        for event in (Event.PAY, Event.PAY_BACK):
            assert state_after(event, order(before, deposit_open=still_open)) is after


@given(SITUATIONS)
def test_nothing_unsafe_or_unpaid_is_built_or_handed_over(at: Situation) -> None:
    may = may_happen(at)
    if at.failed_ordered:
        for event in (Event.CONFIRM_ORDER, Event.BUILD, Event.FINISH, Event.HAND_OVER):
            assert may[event] is not None
    if at.offered is State.SENT:
        for event in (Event.BUILD, Event.FINISH, Event.HAND_OVER):
            assert may[event] is not None
    if at.not_set_up:
        assert may[Event.HAND_OVER] is not None
    if at.money_left:
        assert may[Event.CLOSE] is not None
    if at.deposit_open and at.order is not State.READY:
        assert may[Event.BUILD] is not None
    for event, (states, _) in ORDER_STEPS.items():
        assert may[event] is not None or at.order in states


def test_an_order_of_which_nothing_more_is_said_has_nothing_in_the_way() -> None:
    """Nor is there anything in it to be paid back, confirmed, thrown away or taken off a list."""
    for state, steps in STEPS.items():
        may = {event for event, refused in may_happen(order(state)).items() if refused is None}
        to_remind = {Event.REMIND} if state is State.DEPOSIT_ASKED else set()
        left = steps - {Event.PAY_BACK, Event.ASK_DEPOSIT}
        assert may == left | {Event.ASK, Event.ANSWER} | to_remind
    first = Situation(offered=State.DRAFT, newer=True, over=False)
    assert because(first, Event.THROW_AWAY) == (Because.NOTHING_TO_DO, ())


def test_what_is_missing_is_named() -> None:
    for event, at, why in [
        (Event.BUILD, order(State.DEPOSIT_ASKED, deposit_open=True), Because.DEPOSIT_OPEN),
        (Event.CLOSE, order(State.HANDED_OVER, money_left=True), Because.MONEY_LEFT),
        (Event.HAND_OVER, order(State.READY, not_set_up=("Serial",)), Because.NOT_SET_UP),
        (Event.ASK_DEPOSIT, order(State.CONFIRMED), Because.NOTHING_TO_DO),
        (Event.PAY_BACK, order(State.CONFIRMED), Because.NOTHING_TO_DO),
        (Event.FINISH, order(State.IN_BUILD, failed_ordered=("Toe",)), Because.CHECK_FAILED),
        (Event.CANCEL, order(State.HANDED_OVER), Because.NOT_OPEN),
    ]:
        refused = may_happen(at)[event]
        assert refused is not None
        assert refused.because is why
