"""The hand-over sheet: which bike it is, how it was built and set, and who took it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from urllib.parse import parse_qs

from sqlmodel import Session, col, select

from webapp.catalogue.lookup import row_id
from webapp.catalogue.marks.kept import mark_on_paper
from webapp.common.errors import NotFound
from webapp.common.text.dates import day_in_words
from webapp.common.text.language import tr, trn
from webapp.common.timestamps import day_of, utc
from webapp.quote.freezing.bikes import bikes_of, joined, key_of
from webapp.quote.freezing.content import QuoteContent
from webapp.quote.order.built_bike import BuiltBike, of_bike
from webapp.quote.order.frames import frames_ordered, places_of
from webapp.quote.order.read import built_of, order_row
from webapp.quote.printing.pdf import language_of_sheets, paper_size, printed, printed_sentences
from webapp.quote.printing.sheet import bikes_in_words
from webapp.quote.states import Event
from webapp.quote.storage.read import QuoteView, view_of
from webapp.quote.tables import Quote, QuoteEvent
from webapp.serials.corrections import corrected_after
from webapp.serials.register import frames_of_quote
from webapp.serials.tables import SerialNumber


@dataclass(frozen=True, kw_only=True)
class HandoverSheet:
    """One hand-over, ready to be shown or printed.

    ``handed`` says who took the bike and when; empty while it is with the shop. ``corrected``
    says which serial numbers were put right since, and what the signed sheet said. ``mark`` heads
    a sheet that does not count; ``firm_mark`` is the shop's, as SVG.
    """

    number: str
    version: int
    customer: str
    bike: str
    revision: int
    scope: str
    finish: str
    serials: tuple[str, ...]
    corrected: tuple[str, ...]
    built: BuiltBike
    on: str
    bench: tuple[tuple[str, str, tuple[str, ...]], ...]
    cautions: tuple[str, ...]
    handed: str
    mark: str
    firm_mark: str
    content: QuoteContent
    at: datetime

    @property
    def serials_words(self) -> str:
        """Its serial numbers in a row."""
        return ", ".join(self.serials)

    @property
    def checked_words(self) -> str:
        """What was checked before the first ride, in a row."""
        return "; ".join(self.built.checked)


def handover_sheet(session: Session, quote: Quote) -> HandoverSheet:
    """The hand-over sheet of an order.

    Raises
    ------
    NotFound
        While the bike as built was not noted.
    """
    built = built_of(order_row(session, quote))
    if built is None:
        raise NotFound("hand-over", quote.number, tr("note the bike as built first"))
    view = view_of(session, quote, built.version)
    content = view.content
    frames = frames_of_quote(session, row_id(quote))
    return HandoverSheet(
        number=quote.number,
        version=built.version,
        customer=view.customer.name,
        bike=bikes_in_words(content),
        revision=content.build.revision,
        scope=content.build.scope_words,
        finish=finish_words(content),
        serials=_serials(content, frames),
        corrected=_corrected(session, quote, frames),
        built=built,
        on=day_in_words(built.on),
        bench=tuple(
            (
                tr("{serial}, {day}", serial=each.serial, day=day_in_words(each.measured_on)),
                each.verdict,
                each.stands_out,
            )
            for each in built.bench
        ),
        cautions=content.cautions,
        handed=_handed(session, quote),
        mark=_mark(view),
        firm_mark=mark_on_paper(session, content.letterhead.mark),
        content=content,
        at=_noted_at(session, quote),
    )


def _serials(content: QuoteContent, frames: Sequence[SerialNumber]) -> tuple[str, ...]:
    """Serial numbers in the order of the bikes; of several bikes, each says which it is of."""
    ordered = frames_ordered(content)
    placed = zip(places_of(frames[: len(ordered)], ordered), frames, strict=False)
    bikes = sorted((place // content.deal.quantity + 1, frame.serial) for place, frame in placed)
    return tuple(of_bike(content, bike, serial) for bike, serial in bikes)


def _corrected(session: Session, quote: Quote, frames: Sequence[SerialNumber]) -> tuple[str, ...]:
    """What the sheet says of numbers that were put right after it was signed."""
    handed = _event(session, quote, Event.HAND_OVER)
    if handed is None:
        return ()
    found = ((frame, corrected_after(session, frame, utc(handed.at))) for frame in frames)
    return tuple(
        tr(
            "Serial number corrected on {day}: {serial}. The sheet as signed said {before}.",
            day=day_in_words(day_of(at)),
            serial=frame.serial,
            before=before,
        )
        for frame, told in found
        if told
        for before, at in [told]
    )


def finish_words(content: QuoteContent) -> str:
    """The finish as listed; empty where none is sold."""
    found = [
        line.item
        for number, bike in enumerate(bikes_of(content), start=1)
        if parse_qs(bike.build.query).get("finish")
        for line in content.price.lines
        if line.key == key_of(number, "finish")
    ]
    return joined(found)


def _mark(view: QuoteView) -> str:
    return view.standing.mark() if view.version != view.accepted_version else ""


def _event(session: Session, quote: Quote, what: Event) -> QuoteEvent | None:
    query = select(QuoteEvent).where(QuoteEvent.quote_id == row_id(quote), QuoteEvent.what == what)
    return session.exec(query.order_by(col(QuoteEvent.id).desc()).limit(1)).first()


def _handed(session: Session, quote: Quote) -> str:
    found = _event(session, quote, Event.HAND_OVER)
    if found is None:
        return ""
    day, name = day_in_words(day_of(found.at)), found.detail.get("name", "")
    if not name:
        return tr("Handed over on {day} by {who}.", day=day, who=found.who)
    return tr("Handed over to {name} on {day} by {who}.", name=name, day=day, who=found.who)


def _noted_at(session: Session, quote: Quote) -> datetime:
    """The time printed on the sheet: when it was last noted, or handed over."""
    found = _event(session, quote, Event.HAND_OVER) or _event(session, quote, Event.SET_UP)
    return utc(found.at if found else quote.created_at)


def handover_pdf(sheet: HandoverSheet) -> bytes:
    """The hand-over sheet as PDF, on the paper of the version."""
    return printed(handover_data(sheet), "handover.typ", at=sheet.at)


def handover_data(sheet: HandoverSheet) -> dict[str, Any]:
    """Everything the sheet's template is given."""
    head = sheet.content.letterhead
    return {
        "sentences": printed_sentences(),
        "language": language_of_sheets(),
        "paper": paper_size(sheet.content.paper),
        "number": sheet.number,
        "version": str(sheet.version),
        "customer": sheet.customer,
        "bike": sheet.bike,
        "revision": str(sheet.revision),
        "scope": sheet.scope,
        "finish": sheet.finish,
        "corrected": sheet.corrected,
        "serials": sheet.serials_words,
        "serials_label": trn("Serial number", "Serial numbers", len(sheet.serials)),
        "on": sheet.on,
        "who": sheet.built.who,
        "set_up": [each.model_dump() for each in sheet.built.set_up],
        "torques": [each.model_dump() for each in sheet.built.torques],
        "checked": sheet.built.checked,
        "unchecked": sheet.built.unchecked,
        "note": sheet.built.note,
        "bench": [
            {"of": of, "verdict": verdict, "lines": lines} for of, verdict, lines in sheet.bench
        ],
        "cautions": sheet.cautions,
        "handed": sheet.handed,
        "mark": sheet.mark,
        "firm_mark": sheet.firm_mark,
        "head": head.model_dump(),
    }
