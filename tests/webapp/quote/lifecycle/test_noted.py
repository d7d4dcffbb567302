"""What is typed with a step of a quote: how long it may be, once, and whom it waits for."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date

import pytest
from sqlalchemy import Engine
from sqlmodel import Session

from tests.webapp.counter.conftest import put
from tests.webapp.quote.order.an_order import AT, TODAY, Shop
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.writing.models import withdraw
from webapp.catalogue.writing.parts import retire_part
from webapp.common.errors import Conflict, Forbidden, Invalid
from webapp.common.storage.database import writing
from webapp.common.text.money import Money
from webapp.quote.lifecycle import order_steps as steps
from webapp.quote.lifecycle import transitions
from webapp.quote.lifecycle.action_checks import Stale, check_seen
from webapp.quote.lifecycle.once import refuse_sent_meanwhile
from webapp.quote.lifecycle.order_terms import OrderTerms
from webapp.quote.lifecycle.permissions import failing
from webapp.quote.lifecycle.refusals import error_of, why_not_sent
from webapp.quote.lifecycle.reminding import last_reminders, remind
from webapp.quote.lifecycle.still_offered_list import not_offered
from webapp.quote.states import OPEN_ORDERS, ORDERS, Because, Event, Refusal, Situation, State
from webapp.quote.storage.read import quote_by_number, version_of, view_of
from webapp.quote.tables import Quote

Told = Callable[[Session, Quote, str], object]


@pytest.fixture
def at_hand(shop: Engine) -> Iterator[tuple[Session, Quote]]:
    """A quote that is sent, in a writing session whose changes are thrown away."""
    number = put(shop, at=AT).number
    with writing(shop) as session:
        yield session, quote_by_number(session, number, locked=True)
        session.rollback()


def accepted(session: Session, quote: Quote, name: str = "Ada Marl", **more: object) -> None:
    transitions.accept(
        session, quote, view_of(session, quote).content, version=1, name=name,
        who="customer", at=AT, **more,  # type: ignore[arg-type]
    )  # fmt: skip


def say(session: Session, quote: Quote, text: str) -> None:
    transitions.say(session, quote, text=text, who="customer", at=AT)


def reminded(session: Session, quote: Quote, text: str) -> None:
    remind(session, quote, text=text, who="Edda", at=AT)


def cancelling(session: Session, quote: Quote, text: str) -> None:
    steps.ask_to_cancel(session, quote, steps.Step(who="customer", at=AT), reason=text)


@pytest.mark.parametrize(
    ("told", "field", "longest", "ordered"),
    [
        (accepted, "accepted_by", 120, False),
        (say, "text", 2000, False),
        (reminded, "text", 2000, False),
        (cancelling, "reason", 2000, True),
    ],
)
def test_a_text_has_one_character_at_least_and_so_many_at_most(
    at_hand: tuple[Session, Quote], told: Told, field: str, longest: int, ordered: bool
) -> None:
    session, quote = at_hand
    if ordered:
        accepted(session, quote)
    for text in ("", " \n ", "x" * (longest + 1)):
        with pytest.raises(Invalid) as refused:
            told(session, quote, text)
        assert refused.value.problems[0].field == field
        assert len(str(refused.value.problems[0].value)) <= longest
    kept = session.begin_nested()
    told(session, quote, "x" * longest)
    kept.rollback()
    session.refresh(quote)
    told(session, quote, "x")


def test_whoever_takes_the_bike_has_a_name(shop: Engine) -> None:
    order = Shop(shop)
    order.step("confirm_order", promised_on=None)
    order.pay(400_000)
    order.step("start_build")
    order.step("finish")
    order.step("name_serials", serials=("KN 26-014",))
    order.built()
    for name in ("", "x" * 121):
        with pytest.raises(Invalid, match="who took the bike"):
            order.step("hand_over", name=name)
    with writing(shop) as session:
        quote = quote_by_number(session, order.number, locked=True)
        steps.hand_over(session, quote, steps.Step(who="Edda", at=AT), name="x" * 120)
        assert quote.state == "handed over"
        session.rollback()
    order.step("hand_over", name="x")


def test_a_cent_that_is_open_counts_and_so_does_one_that_was_paid(shop: Engine) -> None:
    order = Shop(shop)
    order.step("confirm_order", promised_on=None)
    order.pay(1)
    order.pay(1, "pay_back")
    with pytest.raises(Conflict, match="look at the quote"):
        order.pay(1, "pay_back")
    deposit, _, _ = order.money()
    order.pay(deposit - 1)
    with pytest.raises(Conflict, match="deposit as paid"):
        order.step("start_build")
    order.pay(1)
    order.step("start_build")
    for serials in (("A 1", "A 2"), tuple(f"serial number {n}" for n in range(20))):
        with pytest.raises(Invalid, match="at most 1, one for each") as refused:
            order.step("name_serials", serials=serials)
        assert refused.value.problems[0].value == ", ".join(serials)[:120]
    order.step("name_serials", serials=("A 1",))
    order.step("name_serials", serials=("a 1",))
    assert order.history()[-1] == ("Edda", "serial number"), "the same again is no step"
    assert [what for _, what in order.history()].count("serial number") == 1


def test_the_same_answer_twice_comes_from_two_windows(at_hand: tuple[Session, Quote]) -> None:
    session, quote = at_hand

    def answer(text: str) -> None:
        transitions.say(session, quote, text=text, who="Edda", at=AT)

    say(session, quote, "May it be red?")
    assert quote.waiting_for == "request", "what has waited longest"
    answer("It may.")
    assert (quote.waiting_since, quote.waiting_for) == (None, "")
    with pytest.raises(Conflict, match="given already"):
        answer("It may.")
    answer("And green.")
    answer("It may.")
    say(session, quote, "It may.")
    answer("It may.")
    answer("long " * 100)
    with pytest.raises(Conflict) as refused:
        answer("long " * 100)
    assert len(str(refused.value.value)) == 200


def test_a_question_asked_before_the_approval_waits_on(at_hand: tuple[Session, Quote]) -> None:
    session, quote = at_hand
    for asked, answered, waits in [
        (False, False, ""), (True, False, "question"), (True, True, ""),
    ]:  # fmt: skip
        inner = session.begin_nested()
        quote.unapproved = True
        if asked:
            say(session, quote, "May it be red?")
        if answered:
            transitions.say(session, quote, text="It may.", who="Edda", at=AT)
        transitions.approve(session, quote, who="Edda", at=AT)
        assert (quote.unapproved, quote.waiting_for) == (False, waits)
        inner.rollback()
        session.refresh(quote)


def test_a_page_from_before_is_refused(at_hand: tuple[Session, Quote]) -> None:
    session, quote = at_hand
    check_seen(quote, version=1, state="sent")
    for version, state in ((2, "sent"), (1, "draft"), (2, "draft")):
        with pytest.raises(Stale):
            check_seen(quote, version=version, state=state)
    refuse_sent_meanwhile(session, quote, seen=0)
    transitions.send(session, quote, view_of(session, quote).content, who="Edda", at=AT)
    refuse_sent_meanwhile(session, quote, seen=1)
    with pytest.raises(Conflict, match="sent meanwhile"):
        refuse_sent_meanwhile(session, quote, seen=0)


def test_the_last_reminder_is_told_and_of_others_nothing(at_hand: tuple[Session, Quote]) -> None:
    session, quote = at_hand
    number = quote.id or 0
    say(session, quote, "May it be red?")
    assert last_reminders(session, [number]) == {}
    for day in (3, 5, 4):
        moment = AT.replace(day=day)
        remind(session, quote, text="It ends soon.", who="Edda", at=moment)
    assert last_reminders(session, [number]) == {number: AT.replace(day=5)}
    assert last_reminders(session, [number + 1]) == {}


def test_an_order_ends_for_the_customer_or_the_shop_to_look_at(shop: Engine) -> None:
    for who, waits in (("customer", "cancelled"), ("Edda", "")):
        order = Shop(shop)
        order.step("cancel", who=who, reason="No time to ride.", kept=Money(0, "EUR"))
        with writing(shop) as session:
            quote = quote_by_number(session, order.number)
            assert (quote.waiting_for, quote.sent_version) == (waits, 1)


@pytest.mark.parametrize("state", ORDERS)
@pytest.mark.parametrize("paid", [False, True])
def test_a_customer_cancels_alone_before_money_and_work(state: State, paid: bool) -> None:
    begun = {State.DEPOSIT_PAID, State.IN_BUILD, State.READY}
    at = Situation(offered=State.ACCEPTED, newer=False, over=False, order=state, money_paid=paid)
    assert steps.cancels_at_once(at) is (state in set(OPEN_ORDERS) - begun and not paid)


def test_an_order_needs_an_address_of_two_lines_and_agreement() -> None:
    exactly = "Mill Lane 3\n" + "x" * 488
    assert len(exactly) == 500
    for address in ("Mill Lane 3\n4051 Reedham", exactly, "a\nb\nc"):
        OrderTerms(address=address, agreed=True).check()
    for address, agreed, fields in [
        ("Mill Lane 3, 4051 Reedham", True, ["address"]),
        (exactly + "x", True, ["address"]),
        ("", True, ["address"]),
        ("a\nb", False, ["agreed"]),
        ("", False, ["address", "agreed"]),
    ]:
        with pytest.raises(Invalid) as refused:
            OrderTerms(address=address, agreed=agreed).check()
        assert [problem.field for problem in refused.value.problems] == fields


def test_a_refusal_names_its_own_reason() -> None:
    def words(event: Event, because: Because, *named: str) -> str:
        return str(error_of(event, Refusal(because=because, named=named)))

    failed = error_of(Event.SEND, Refusal(because=Because.CHECK_FAILED, named=("Toe", "Post")))
    assert isinstance(failed, Forbidden)
    assert "Toe, Post" in str(failed)
    assert "the shop has to confirm first" in words(Event.ACCEPT, Because.NOT_OFFERED, "Gone.")
    assert "confirm that it is delivered" in words(Event.SEND, Because.NOT_OFFERED, "Gone.")
    assert "later last day" in words(Event.SEND, Because.LAST_DAY_OVER)
    assert "only a quote that is open" in words(Event.ACCEPT, Because.NOT_OPEN, "draft")
    assert "then decide again" in words(Event.FINISH, Because.NOT_OPEN, "ready")
    assert why_not_sent(None, 3) == ""
    refused = Refusal(because=Because.CHECK_FAILED, named=("Toe",))
    assert why_not_sent(refused, 3).startswith("It cannot be sent: Toe says no in version 3.")
    assert why_not_sent(Refusal(because=Because.ANSWERED), 3) == ""


SOLD = [
    ("rev=2&fork=suspension-130", True),
    ("rev=2&fork=suspension-150", False),
    ("rev=2&scope=bike&fork=suspension-130", True),
    ("rev=2&scope=frame&fork=suspension-130", False),
    ("rev=2&scope=frame&extra=rear-rack", True),
    ("rev=2&scope=boat&fork=suspension-130", True),
    ("rev=2&saddle=suspension-130", False),
    ("rev=1", True),
    ("rev=one", False),
    ("fork=suspension-150&fork=suspension-130", True),
    ("rev=2&fork=suspension-150\nburdock?rev=1&extra=rear-rack", True),
    ("rev=2&fork=suspension-150\nburdock?rev=1", False),
    ("rev=2&fork=suspension-150\nburdock?rev=2\nknapweed?rev=1", True),
    ("", False),
]


def test_a_list_marks_what_sells_a_thing_no_longer_offered(shop: Engine) -> None:
    """Each build stands for a quote; what only carries a frame's figures is not sold."""
    number = put(shop, at=AT).number
    with writing(shop) as session:
        quote = quote_by_number(session, number)
        said, key = version_of(session, quote, 1), quote.id or 0
        for build, _ in SOLD:
            said.build = build
            session.flush()
            assert not_offered(session, [(key, 1)]) == frozenset(), build
        retire_part(session, who="t", kind="fork", slug="suspension-130")
        retire_part(session, who="t", kind="extra", slug="rear-rack")
        withdraw(session, who="t", model="knapweed", revision=1, reason="Old", on=TODAY)
        for build, gone in SOLD:
            said.build = build
            session.flush()
            assert not_offered(session, [(key, 1)]) == ({key} if gone else set()), build
            assert not_offered(session, [(key, 2)]) == frozenset()
        assert not_offered(session, []) == frozenset()
        assert load_catalogue(session, "knapweed").revision.number == 2
        session.rollback()


def test_a_change_offered_can_be_declined_and_the_order_goes_on(shop: Engine) -> None:
    """Nothing of the change is left before the customer but in the history."""
    from webapp.counter.changing import change_quote

    order = Shop(shop)
    order.step("confirm_order", promised_on=date(2026, 5, 4))
    change_quote(
        shop, order.number, seen=1, typed={"delivery": "80"}, who="Edda", at=AT, form_key=""
    )
    order.do(
        lambda s, q, step: transitions.send(s, q, view_of(s, q).content, who=step.who, at=step.at)
    )
    with writing(shop) as session:
        quote = quote_by_number(session, order.number, locked=True)
        assert (quote.sent_version, quote.accepted_version, quote.state) == (2, 1, "confirmed")
        transitions.decline(session, quote, reason="Too dear.", who="customer", at=AT)
        assert (quote.sent_version, quote.accepted_version, quote.state) == (1, 1, "confirmed")


def test_a_rider_who_is_too_heavy_today_holds_back_what_was_frozen_before(shop: Engine) -> None:
    """Versions frozen before riders were judged have no check of theirs: it is made anew."""
    number = put(shop, at=AT, size="m", weight="82 kg").number
    with writing(shop) as session:
        view = view_of(session, quote_by_number(session, number))
        permitted = load_catalogue(session, "knapweed").revision.data.masses.rider_and_luggage
        for more, failed in ((-20.0, ()), (10.0, ("Rider and luggage", "Bike, rider and luggage"))):
            rider = (("weight", f"{permitted + more:g} kg"),)
            told = replace(view, customer=replace(view.customer, rider=rider, checks=()))
            assert failing(session, told) == failed
