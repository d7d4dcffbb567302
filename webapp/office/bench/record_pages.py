"""Kept bench checks: one as it was found, its correction with history, and a batch's report."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any
from urllib.parse import quote as in_address

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from markupsafe import Markup

from webapp.accounts.dependencies import Staff
from webapp.accounts.people import Person
from webapp.catalogue.marks.kept import mark_on_paper
from webapp.catalogue.reading.load import list_models
from webapp.catalogue.reading.settings import settings_data
from webapp.common.errors import Invalid, NotFound
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import in_own_signs, tr
from webapp.common.timestamps import day_of
from webapp.common.web.dependencies import CurrentEngine, Now, ReadingSession, RowNumber
from webapp.common.web.templating import page
from webapp.office.bench.batch import Line, batch_csv, dimensions_of, printed
from webapp.office.bench.batch_paper import batch_pdf
from webapp.office.bench.build_choice import build_of_query
from webapp.office.bench.measure_pages import Form, day_typed, finding_of, measure_page
from webapp.office.bench.picture import picture_of_record
from webapp.office.bench.readings import NUMBERS
from webapp.office.bench.records import BenchView, bench_by_id, correct_bench
from webapp.office.forms.submitted import PRIVATE, Texts
from webapp.serials.register import frame_of_serial

router = APIRouter(prefix="/office/bench", include_in_schema=False)

BatchName = Annotated[str, Query(max_length=60)]


@dataclass(frozen=True, kw_only=True)
class KeptPage:
    """One kept check."""

    person: Person
    check: BenchView
    address: str
    frame: int
    report: dict[str, Any]
    picture: Markup | None
    numbers: Mapping[str, str]
    problem: str = ""


@dataclass(frozen=True, kw_only=True)
class BatchPage:
    """What a batch says of whoever made the frames."""

    person: Person
    batch: str
    csv: str
    pdf: str
    back: str
    lines: tuple[Line, ...]


@router.get("/batch")
def batch_report(
    request: Request, person: Staff, session: ReadingSession, *, batch: BatchName = ""
) -> HTMLResponse:
    """The report of a batch for whoever made the frames."""
    name = in_address(batch)
    context = BatchPage(
        person=person,
        batch=batch,
        csv=f"/office/bench/batch.csv?batch={name}",
        pdf=f"/office/bench/batch.pdf?batch={name}",
        back=f"/office/bench?batch={name}",
        lines=tuple(printed(one) for one in dimensions_of(session, batch)),
    )
    return page(request, "pages/office/bench/batch.html", context, headers=PRIVATE)


@router.get("/batch.csv")
def batch_as_csv(_person: Staff, session: ReadingSession, *, batch: BatchName = "") -> Response:
    """The same as a file for a spreadsheet."""
    text = batch_csv(dimensions_of(session, batch))
    return _file(text, "text/csv; charset=utf-8", "csv")


@router.get("/batch.pdf")
def batch_as_pdf(
    _person: Staff, session: ReadingSession, at: Now, *, batch: BatchName = ""
) -> Response:
    """The same on paper."""
    found = dimensions_of(session, batch)
    if not found:
        raise NotFound("batch", batch, tr("a batch of which bikes were measured"))
    names = {one.slug: one.name for one in list_models(session)}
    models = dict.fromkeys(bike.model for one in found for bike in one.bikes)
    shop = settings_data(session)
    made = batch_pdf(
        [printed(one) for one in found],
        batch=batch,
        bikes=", ".join(names.get(model, model) for model in models),
        shop=shop,
        mark=mark_on_paper(session, shop.look.mark),
        at=at,
    )
    return _file(made, "application/pdf", "pdf")


def _file(content: str | bytes, kind: str, ending: str) -> Response:
    headers = {**PRIVATE, "Content-Disposition": f'attachment; filename="batch.{ending}"'}
    return Response(content, media_type=kind, headers=headers)


@router.get("/{number}")
def kept(
    number: RowNumber, request: Request, person: Staff, session: ReadingSession
) -> HTMLResponse:
    """One kept check, as it was found."""
    found = bench_by_id(session, number)
    frame = frame_of_serial(session, found.serial)
    context = KeptPage(
        person=person,
        check=found,
        address=f"/build/{found.model}?{found.build}",
        frame=int(frame.id or 0) if frame else 0,
        report=found.report,
        picture=picture_of_record(session, found.model, found.build, found.state, found.report),
        numbers=NUMBERS,
    )
    return page(request, "pages/office/bench/records.html", context, headers=PRIVATE)


@router.get("/{number}/correct")
def correcting(
    number: RowNumber, request: Request, person: Staff, session: ReadingSession
) -> HTMLResponse:
    """The form with what was kept, to put it right."""
    found = bench_by_id(session, number)
    built = build_of_query(session, found.model, found.build)
    return measure_page(
        request, person, session, built, texts=_typed_of(found), form=_form(number, found)
    )


@router.post("/{number}/correct")
def correct(
    number: RowNumber,
    *,
    request: Request,
    person: Staff,
    at: Now,
    engine: CurrentEngine,
    texts: Texts,
) -> Response:
    """Save a correction, with the former content."""
    with reading(engine) as session:
        found = bench_by_id(session, number)
        form = _form(number, found)
    try:
        with reading(engine) as session:
            finding, readings = finding_of(session, texts)
            if texts.get("do") != "keep":
                built = (finding.result.catalogue, finding.result.choice)
                return measure_page(
                    request, person, session, built, texts=texts, finding=finding, form=form
                )
        with writing(engine) as session:
            correct_bench(
                session,
                number,
                finding,
                readings,
                who=person.name,
                why=texts.get("why", ""),
                serial=texts.get("serial", ""),
                batch=texts.get("batch", ""),
                note=texts.get("note", ""),
                measured_on=day_typed(texts.get("measured_on", ""), day_of(at)),
                again=texts.get("again") == "yes",
            )
    except Invalid as error:
        with reading(engine) as session:
            built = build_of_query(session, texts.get("model", ""), texts.get("build", ""))
            return measure_page(
                request, person, session, built, texts=texts, error=error, form=form
            )
    return RedirectResponse(f"/office/bench/{number}", 303)


def _form(number: int, found: BenchView) -> Form:
    return Form(
        action=f"/office/bench/{number}/correct",
        heading=tr("Correct the check of {serial}", serial=found.serial),
        correcting=True,
    )


def _typed_of(found: BenchView) -> dict[str, str]:
    """A kept check as texts of the form."""
    texts = {
        "serial": found.serial,
        "batch": found.batch,
        "note": found.note,
        "measured_on": found.measured_on.isoformat(),
        "state": found.state,
        "quote": found.quote_number,
    }
    for one in found.readings:
        name = f"value.{one['key']}"
        value = in_own_signs(f"{one['value']:.10g}")
        texts[name] = f"{texts[name]}; {value}" if name in texts else value
        texts[f"spread.{one['key']}"] = in_own_signs(f"{one['spread']:g}")
    return texts
