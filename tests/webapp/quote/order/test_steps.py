"""An order from its acceptance to the hand-over, and out of it, on both databases."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction

import pytest
from sqlalchemy import Engine
from sqlmodel import Session, select

from tests.webapp.quote.order.an_order import AT, TODAY, Shop
from webapp.common.errors import Conflict, Forbidden, Invalid
from webapp.common.storage.database import reading, writing
from webapp.common.text.money import Money
from webapp.counter.changing import change_quote
from webapp.quote.freezing.assembly_settings import FIRST_RIDE
from webapp.quote.lifecycle import order_steps as steps
from webapp.quote.lifecycle import transitions
from webapp.quote.order.built_bike import field_of_check, read_built
from webapp.quote.order.due import Due, orders_due
from webapp.quote.order.read import order_row
from webapp.quote.storage import privacy
from webapp.quote.storage.export import whole_quote
from webapp.quote.storage.read import quote_by_number, view_of
from webapp.quote.tables import Quote
from webapp.serials.register import frames_of_quote
from webapp.serials.tables import SerialNumber


def test_from_the_acceptance_to_closed(engine: Engine) -> None:
    shop = Shop(engine)
    _, price, _ = shop.money()
    # The shop's share for a deposit is 30 in 100, half a cent upwards.
    deposit = int(Fraction(price * 30, 100) + Fraction(1, 2))
    assert shop.money() == (deposit, price, 0)
    promised = TODAY + timedelta(days=60)
    shop.step("confirm_order", promised_on=promised)
    with pytest.raises(Conflict, match="deposit as paid"):
        shop.step("start_build")
    shop.step("ask_deposit", due_on=TODAY + timedelta(days=14), text="To our account.")
    shop.pay(deposit - 1)
    assert (shop.state, shop.money()) == ("deposit asked", (1, price - deposit + 1, 0))
    shop.pay(1)
    assert (shop.state, shop.money()) == ("deposit paid", (0, price - deposit, 0))
    shop.pay(500, "pay_back")
    assert shop.state == "deposit asked"
    shop.pay(500)
    shop.step("start_build")
    shop.step("name_serials", serials=("KN 26-014",))
    with pytest.raises(Conflict, match="look at the order"):
        shop.step("hand_over", name="Ada Marl")
    shop.step("finish")
    shop.built(ticked=False)
    with pytest.raises(Conflict, match="Post insertion"):
        shop.step("hand_over", name="Ada Marl")
    shop.built()
    with pytest.raises(Invalid, match="who took the bike"):
        shop.step("hand_over", name=" ")
    shop.step("hand_over", name="Ada Marl")
    with pytest.raises(Conflict, match="left to pay"):
        shop.step("close")
    shop.pay(price - deposit)
    shop.step("close")
    assert (shop.state, shop.money()) == ("closed", (0, 0, 0))
    assert [what for _, what in shop.history()][2:] == [
        "order confirmed", "deposit asked", "paid", "paid", "paid back", "paid", "in build",
        "serial number", "ready", "set up", "set up", "handed over", "paid", "closed",
    ]  # fmt: skip
    with reading(engine) as session:
        whole = whole_quote(session, quote_by_number(session, shop.number))
    assert whole["order"]["promised_on"] == promised.isoformat()
    assert sum(each["minor"] for each in whole["order"]["payments"]) == price
    assert whole["order"]["serials"] == ["KN 26-014"]


def test_a_cancelled_order_keeps_what_was_agreed_and_frees_its_frame(engine: Engine) -> None:
    shop = Shop(engine)
    shop.step("confirm_order", promised_on=None)
    shop.pay(50_000)
    shop.step("name_serials", serials=("KN 26-014",))
    shop.step("ask_to_cancel", who="customer", reason="A new child, no time to ride.")
    with reading(engine) as session:
        assert quote_by_number(session, shop.number).waiting_for == "asks to cancel"
    with pytest.raises(Invalid, match="the reason"):
        shop.step("cancel", reason=" ", kept=Money(0, "EUR"))
    shop.step("cancel", reason="As the customer wishes.", kept=Money(12_000, "EUR"))
    assert (shop.state, shop.money()) == ("cancelled", (0, 0, 38_000))
    shop.pay(38_000, "pay_back")
    assert shop.money() == (0, 0, 0)
    with pytest.raises(Conflict, match="look at the quote"):
        shop.pay(1, "pay_back")
    for name in ("start_build", "finish", "close"):
        with pytest.raises(Conflict):
            shop.step(name)
    with reading(engine) as session:
        assert [f.quote_id for f in session.exec(select(SerialNumber)).all()] == [None]
        assert quote_by_number(session, shop.number).waiting_since is None
        view = view_of(session, quote_by_number(session, shop.number), 1)
        assert view.standing.mark() == "This order is cancelled."


def test_a_change_waits_for_the_customer_and_the_order_goes_on(engine: Engine) -> None:
    shop = Shop(engine)
    shop.step("confirm_order", promised_on=None)
    shop.pay(200_000)
    shop.step("start_build")
    change_quote(
        engine, shop.number, seen=1, typed={"delivery": "80"}, who="Edda", at=AT, form_key=""
    )

    def send(session: Session, quote: Quote, step: steps.Step) -> None:
        content = view_of(session, quote).content
        transitions.send(session, quote, content, who=step.who, at=step.at)

    shop.do(send)
    assert shop.state == "in build"
    with pytest.raises(Conflict, match="a change is offered"):
        shop.step("finish")
    before = shop.money()[1]
    shop.do(
        lambda s, q, step: transitions.accept(
            s, q, view_of(s, q).content, version=2, name="Ada Marl", who="customer", at=step.at
        )
    )
    assert shop.state == "in build"
    assert shop.money()[1] == before + 8_000
    shop.step("name_serials", serials=("KN 26-014",))
    shop.step("finish")
    shop.built(version=1)
    with pytest.raises(Conflict, match="set-up as built"):
        shop.step("hand_over", name="Ada Marl")
    shop.built(version=2)
    shop.step("hand_over", name="Ada Marl")
    shop.at = AT + timedelta(days=1)
    with pytest.raises((Conflict, Forbidden), match="copy it as a new draft"):
        shop.do(send)


def test_what_is_late_and_what_is_due(engine: Engine) -> None:
    late, week, asked, ready = (Shop(engine) for _ in range(4))
    late.step("confirm_order", promised_on=TODAY)
    week.step("confirm_order", promised_on=TODAY + timedelta(days=7))
    asked.step("confirm_order", promised_on=None)
    asked.step("ask_deposit", due_on=TODAY, text="")
    ready.step("confirm_order", promised_on=TODAY)
    ready.pay(10**6 // 2)
    ready.step("start_build")
    ready.step("finish")

    def due(day: date) -> list[tuple[str, tuple[Due, ...]]]:
        with reading(engine) as session:
            return [(each.number, each.due) for each in orders_due(session, today=day)]

    assert due(TODAY) == [(late.number, (Due.THIS_WEEK,)), (asked.number, (Due.DEPOSIT_OPEN,))]
    assert due(TODAY + timedelta(days=1)) == [
        (late.number, (Due.LATE,)),
        (week.number, (Due.THIS_WEEK,)),
        (asked.number, (Due.DEPOSIT_LATE,)),
    ]


def test_nothing_of_the_person_is_left_in_an_order(engine: Engine) -> None:
    shop = Shop(engine)
    shop.step("confirm_order", promised_on=TODAY)
    shop.step("ask_deposit", due_on=None, text="As agreed with Quillfeather.")
    shop.pay(200_000)
    shop.step("start_build")
    shop.step("name_serials", serials=("KN 26-014",))
    shop.step("finish")

    def noted(session: Session, quote: Quote, step: steps.Step) -> None:
        fields = {field_of_check(at): "yes" for at in range(len(FIRST_RIDE))}
        fields |= {"note": "Quillfeather asks for a bell.", "set_0": "Quillfeather 3 mm"}
        content = view_of(session, quote).content
        built = read_built(fields, content, version=1, who="Edda", on=TODAY)
        steps.set_up(session, quote, step, built)

    shop.do(noted)
    shop.step("hand_over", name="Ada Quillfeather")
    with writing(engine) as session:
        privacy.erase(session, [quote_by_number(session, shop.number)], who="t", at=AT)
    with reading(engine) as session:
        quote = quote_by_number(session, shop.number)
        assert "Quillfeather" not in str(whole_quote(session, quote))
        assert "Quillfeather" not in str(order_row(session, quote).built)
        assert len(frames_of_quote(session, quote.id or 0)) == 1
    assert shop.money()[1] > 0
