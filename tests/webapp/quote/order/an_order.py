"""An order taken through its steps by the services alone."""

from __future__ import annotations

from datetime import UTC, datetime

from sqlalchemy import Engine
from sqlmodel import Session

from tests.webapp.counter.conftest import put
from webapp.common.storage.database import reading, writing
from webapp.common.text.money import Money
from webapp.quote.freezing.assembly_settings import FIRST_RIDE
from webapp.quote.lifecycle import order_steps as steps
from webapp.quote.lifecycle import transitions
from webapp.quote.lifecycle.once import events_of
from webapp.quote.order.built_bike import field_of_check, read_built
from webapp.quote.order.typed import TypedPayment
from webapp.quote.storage.read import quote_by_number, view_of
from webapp.quote.tables import Quote

AT = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
TODAY = AT.date()


class Shop:
    """Somebody of the shop who takes one order through its steps."""

    def __init__(self, engine: Engine) -> None:
        self.engine, self.at = engine, AT
        self.number = put(engine, at=AT).number
        self.do(
            lambda session, quote, _step: transitions.accept(
                session, quote, view_of(session, quote).content, version=1, name="Ada Marl",
                who="customer", at=self.at,
            )
        )  # fmt: skip

    def do(self, deed: object, who: str = "Edda") -> None:
        with writing(self.engine) as session:
            quote = quote_by_number(session, self.number, locked=True)
            deed(session, quote, steps.Step(who=who, at=self.at))  # type: ignore[operator]

    def step(self, name: str, /, *, who: str = "Edda", **values: object) -> None:
        self.do(lambda s, q, step: getattr(steps, name)(s, q, step, **values), who)

    def pay(self, minor: int, name: str = "pay") -> None:
        paid = TypedPayment(amount=Money(minor, "EUR"), paid_by="card", paid_on=TODAY)
        self.do(lambda s, q, step: getattr(steps, name)(s, q, step, paid))

    def built(self, *, ticked: bool = True, version: int = 1) -> None:
        def deed(session: Session, quote: Quote, step: steps.Step) -> None:
            content = view_of(session, quote, version).content
            ticks = {field_of_check(at): "yes" for at in range(len(FIRST_RIDE))} if ticked else {}
            fields = {"set_0": "3 mm", "cranks": "40", **ticks}
            built = read_built(fields, content, version=version, who="Edda", on=TODAY)
            steps.set_up(session, quote, step, built)

        self.do(deed)

    @property
    def state(self) -> str:
        with reading(self.engine) as session:
            return quote_by_number(session, self.number).state

    def money(self) -> tuple[int, int, int]:
        with reading(self.engine) as session:
            found = steps.order_money(session, quote_by_number(session, self.number))
        return found.deposit_left.minor, found.left.minor, found.to_pay_back.minor

    def history(self) -> list[tuple[str, str]]:
        with reading(self.engine) as session:
            events = events_of(session, quote_by_number(session, self.number))
            return [(e.who, e.what) for e in reversed(events)]
