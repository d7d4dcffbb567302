"""The page of the hand-over: what the workshop notes of the built bike, and the sheet of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from sqlmodel import Session

from webapp.accounts.people import Person
from webapp.catalogue.lookup import row_id
from webapp.common.errors import Conflict, DomainError, form_errors
from webapp.common.security.tokens import new_key
from webapp.common.text.dates import day_in_words
from webapp.common.text.language import tr
from webapp.counter.lists import address_of
from webapp.counter.orders.built_fields import BikeFields, fields_of_bikes
from webapp.office.bench.records import BenchView, list_bench
from webapp.quote.freezing.content import QuoteContent
from webapp.quote.lifecycle.order_steps import ordered_content, steps_taken
from webapp.quote.order.built_bike import (
    BenchResult,
    BuiltBike,
    field_of_check,
    field_of_setting,
    first_ride_checks,
)
from webapp.quote.order.frames import frames_ordered
from webapp.quote.order.read import built_of, order_row, order_state
from webapp.quote.printing.handover import HandoverSheet, handover_sheet
from webapp.quote.printing.sheet import bikes_in_words
from webapp.quote.states import Event, Situation, may_happen
from webapp.quote.tables import Quote
from webapp.serials.register import frames_of_quote


@dataclass(frozen=True, kw_only=True)
class HandoverPage:
    """The hand-over of one order."""

    person: Person
    number: str
    summary: str
    address: str
    serials: str
    frames: int
    bench: tuple[str, ...]
    bikes: tuple[BikeFields, ...]
    note: str
    can_note: bool
    can_hand_over: bool
    keep_kind: str
    missing: tuple[str, ...]
    sheet: HandoverSheet | None
    key: str
    current: int
    state_kept: str
    steps: int
    taker: str
    errors: tuple[tuple[str, str], ...]
    field_errors: Mapping[str, str]

    @property
    def serials_hint(self) -> str:
        """How several numbers are typed."""
        if self.frames == 1:
            return ""
        return tr("One for each frame, in the order of the bikes, separated by commas.")


def handover_page(
    session: Session,
    quote: Quote,
    person: Person,
    situation: Situation,
    *,
    error: DomainError | None = None,
    typed: Mapping[str, str] | None = None,
) -> HandoverPage:
    """The page of the hand-over.

    Parameters
    ----------
    session : Session
    quote : Quote
    person : Person
        Who looks.
    situation : Situation
        Of the quote on the day.
    error : DomainError, optional
        Why something could not be done.
    typed : mapping of str to str, optional
        The texts of its form.

    Raises
    ------
    Conflict
        While nothing is ordered.
    """
    if order_state(quote) is None:
        raise Conflict("order", quote.number, tr("a quote that was accepted"))
    content = ordered_content(session, quote)
    built = built_of(order_row(session, quote))
    known = dict(typed) if typed else _fields_of(built, content)
    serials = [frame.serial for frame in frames_of_quote(session, row_id(quote))]
    may = may_happen(situation)
    errors, field_errors = form_errors(error)
    return HandoverPage(
        person=person,
        number=quote.number,
        summary=bikes_in_words(content),
        address=address_of(quote.number),
        serials=known.get("serials", ", ".join(serials)),
        frames=len(frames_ordered(content)),
        bench=tuple(_bench_line(each) for each in bench_of(session, serials)),
        bikes=tuple(fields_of_bikes(content, known)),
        note=known.get("note", ""),
        can_note=may[Event.SET_UP] is None,
        can_hand_over=may[Event.HAND_OVER] is None,
        keep_kind="main" if may[Event.HAND_OVER] else "",
        missing=situation.not_set_up,
        sheet=handover_sheet(session, quote) if built else None,
        key=new_key(),
        current=quote.current_version,
        state_kept=quote.state,
        steps=steps_taken(session, quote),
        taker=known.get("name", quote.customer_name),
        errors=errors,
        field_errors=field_errors,
    )


def _fields_of(built: BuiltBike | None, content: QuoteContent) -> dict[str, str]:
    """What was noted, as the fields of the form."""
    if built is None:
        return {}
    names = first_ride_checks(content)
    return {
        **{field_of_setting(at): each.built for at, each in enumerate(built.set_up)},
        **{each.key: each.value for each in built.torques},
        **{field_of_check(at): "yes" for at, name in enumerate(names) if name in built.checked},
        "note": built.note,
    }


def bench_of(session: Session, serials: list[str]) -> tuple[BenchResult, ...]:
    """The last bench check of each frame, where there is one."""
    found = []
    for serial in serials:
        same = (each for each in list_bench(session, serial=serial) if each.serial == serial)
        if last := next(same, None):
            found.append(_result(last))
    return tuple(found)


def _result(record: BenchView) -> BenchResult:
    words = str(record.report.get("words", ""))
    return BenchResult(serial=record.serial, measured_on=record.measured_on, verdict=words)


def _bench_line(result: BenchResult) -> str:
    return tr(
        "{serial}, measured on {day}: {verdict}",
        serial=result.serial,
        day=day_in_words(result.measured_on),
        verdict=result.verdict,
    )


def with_bench(session: Session, quote: Quote, built: BuiltBike) -> BuiltBike:
    """The bike as built with what the bench says of its frames."""
    serials = [frame.serial for frame in frames_of_quote(session, row_id(quote))]
    return built.model_copy(update={"bench": bench_of(session, serials)})
