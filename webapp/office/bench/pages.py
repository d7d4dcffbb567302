"""Bench check: choosing the build, typing what was read, keeping it, and the list."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.accounts.dependencies import Staff
from webapp.accounts.people import Person
from webapp.catalogue.reading.load import list_models
from webapp.common.errors import DomainError, Invalid
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.common.timestamps import day_of
from webapp.common.web.choices import Option
from webapp.common.web.dependencies import BeforeRow, CurrentEngine, Now, ReadingSession
from webapp.common.web.templating import page
from webapp.office.bench.batch import Line, dimensions_of, printed
from webapp.office.bench.build_choice import build_of_link, build_of_query, build_of_quote
from webapp.office.bench.measure_pages import (
    build_chosen,
    day_typed,
    finding_of,
    measure_page,
    report_part,
)
from webapp.office.bench.records import PAGE, BenchView, batches, list_bench, save_bench
from webapp.office.forms.submitted import PRIVATE, Texts, refusal

router = APIRouter(prefix="/office/bench", include_in_schema=False)


@dataclass(frozen=True, kw_only=True)
class BenchListPage:
    """Kept checks, and the trend of a batch."""

    person: Person
    models: tuple[Option, ...]
    checks: tuple[BenchView, ...]
    batches: tuple[Option, ...]
    batch: str
    serial: str
    trend: tuple[Line, ...]
    none_words: str
    older: str
    errors: tuple[tuple[str, str], ...] = ()
    typed: dict[str, str] = field(default_factory=dict)


@router.get("")
def checks(
    request: Request,
    person: Staff,
    session: ReadingSession,
    *,
    batch: Annotated[str, Query(max_length=60)] = "",
    serial: Annotated[str, Query(max_length=60)] = "",
    before: BeforeRow = 0,
) -> HTMLResponse:
    """Kept checks, newest first; of one batch with its trend."""
    return _list(request, person, session, batch=batch, serial=serial, before=before)


@router.get("/measure")
def measure(
    request: Request,
    person: Staff,
    session: ReadingSession,
    *,
    quote: Annotated[str, Query(max_length=40)] = "",
    link: Annotated[str, Query(max_length=4000)] = "",
    model: Annotated[str, Query(max_length=60)] = "",
    bike: Annotated[int, Query(ge=1, le=99)] = 1,
) -> HTMLResponse:
    """The form for one bike: of a quote, of a build's link, or of a model's usual build."""
    try:
        if quote:
            built = build_of_quote(session, quote, bike)
        elif link:
            built = build_of_link(session, link)
        else:
            built = build_of_query(session, model, "")
        return measure_page(request, person, session, built, texts={"quote": quote.strip()})
    except DomainError as error:
        typed = {"quote": quote, "link": link, "model": model}
        return _list(request, person, session, error=error, typed=typed)


@router.post("/check")
def check_as_typed(
    *, request: Request, _person: Staff, session: ReadingSession, texts: Texts
) -> HTMLResponse:
    """What the readings say as they are typed, without keeping anything."""
    template = "partials/office/bench/report.html"
    part = report_part(session, texts)
    return page(request, template, part, partial=template, headers=PRIVATE)


@router.post("")
def keep(
    *, request: Request, person: Staff, at: Now, engine: CurrentEngine, texts: Texts
) -> Response:
    """Take another build, show what the readings say, or keep it with the serial number."""
    try:
        with reading(engine) as session:
            if texts.get("do") == "build":
                built = build_chosen(session, texts)
                kept = {**texts, "link": ""}
                return measure_page(request, person, session, built, texts=kept)
            finding, readings = finding_of(session, texts)
            if texts.get("do") != "keep":
                built = build_chosen(session, texts)
                return measure_page(request, person, session, built, texts=texts, finding=finding)
        with writing(engine) as session:
            made = save_bench(
                session,
                finding,
                readings,
                who=person.name,
                serial=texts.get("serial", ""),
                batch=texts.get("batch", ""),
                note=texts.get("note", ""),
                quote_number=texts.get("quote", "")[:20],
                measured_on=day_typed(texts.get("measured_on", ""), day_of(at)),
                again=texts.get("again") == "yes",
            )
    except Invalid as error:
        with reading(engine) as session:
            built = build_of_query(session, texts.get("model", ""), texts.get("build", ""))
            return measure_page(request, person, session, built, texts=texts, error=error)
    return RedirectResponse(f"/office/bench/{made}", 303)


def _list(
    request: Request,
    person: Person,
    session: Session,
    *,
    batch: str = "",
    serial: str = "",
    before: int = 0,
    error: DomainError | None = None,
    typed: dict[str, str] | None = None,
) -> HTMLResponse:
    found = list_bench(session, batch=batch, serial=serial, before=before)
    more = {"batch": batch, "serial": serial, "before": found[-1].id if found else 0}
    told = refusal(error)
    context = BenchListPage(
        person=person,
        models=tuple(Option(value=m.slug, label=m.name) for m in list_models(session)),
        checks=found,
        batches=(
            Option(value="", label=tr("all")),
            *(Option(value=name, label=name) for name in batches(session)),
        ),
        batch=batch,
        serial=serial,
        trend=tuple(printed(one) for one in dimensions_of(session, batch)) if batch else (),
        none_words=tr("No measured bike matches.")
        if batch or serial
        else tr("No bike has been measured yet."),
        older=f"/office/bench?{urlencode(more)}" if len(found) == PAGE else "",
        errors=told.errors,
        typed=typed or {"quote": "", "link": "", "model": ""},
    )
    template = "pages/office/bench/bench.html"
    return page(request, template, context, status=told.status, headers=PRIVATE)
