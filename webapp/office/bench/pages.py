"""Bench check: choosing the build, typing what was read, keeping it, the list and the trend."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from markupsafe import Markup
from sqlmodel import Session

from webapp.accounts.dependencies import Staff
from webapp.accounts.people import Person
from webapp.builds.choice.build_choice import BuildChoice, address_of, query_of
from webapp.builds.evaluation import compute
from webapp.catalogue.reading.load import list_models
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import DomainError, Invalid
from webapp.common.storage.database import reading, writing
from webapp.common.text.glossary import entry
from webapp.common.text.language import tr
from webapp.common.text.units import number
from webapp.common.timestamps import day_of
from webapp.common.web.choices import Option
from webapp.common.web.dependencies import BeforeRow, CurrentEngine, Now, ReadingSession, RowNumber
from webapp.common.web.templating import page
from webapp.office.bench.build_choice import build_of_link, build_of_query, build_of_quote
from webapp.office.bench.check import (
    SPREADS,
    BenchFinding,
    check_bike,
    measurable,
    read_readings,
)
from webapp.office.bench.picture import bench_picture
from webapp.office.bench.records import (
    PAGE,
    BenchView,
    TrendRow,
    batches,
    bench_by_id,
    list_bench,
    save_bench,
    trend,
)
from webapp.office.bench.words import frozen, signed
from webapp.office.forms.submitted import PRIVATE, Texts, summary

router = APIRouter(prefix="/office/bench", include_in_schema=False)


@dataclass(frozen=True, kw_only=True)
class TrendLine:
    """One dimension of a batch, printed."""

    name: str
    unit: str
    count: int
    mean: str
    spread: str
    words: str


@dataclass(frozen=True, kw_only=True)
class BenchListPage:
    """Kept checks, and the trend of a batch."""

    person: Person
    models: tuple[Option, ...]
    checks: tuple[BenchView, ...]
    batches: tuple[Option, ...]
    batch: str
    serial: str
    trend: tuple[TrendLine, ...]
    none_words: str
    older: str
    errors: tuple[tuple[str, str], ...] = ()
    typed: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class ReadingField:
    """One line of the form."""

    key: str
    name: str
    unit: str
    drawn: str
    value: str
    spread: str
    usual: str
    error: str


@dataclass(frozen=True, kw_only=True)
class ReportPart:
    """What the readings say; ``report`` is None before there are any."""

    report: dict[str, Any] | None
    picture: Markup | None
    problem: str


@dataclass(frozen=True, kw_only=True)
class MeasurePage:
    """The form for one bike."""

    person: Person
    words: str
    address: str
    model: str
    build: str
    quote: str
    states: tuple[Option, ...]
    typed: dict[str, str]
    readings: tuple[ReadingField, ...]
    report: dict[str, Any] | None
    picture: Markup | None
    problem: str
    errors: tuple[tuple[str, str], ...]


@dataclass(frozen=True, kw_only=True)
class KeptPage:
    """One kept check."""

    person: Person
    check: BenchView
    address: str
    report: dict[str, Any]
    picture: None = None
    problem: str = ""


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
) -> HTMLResponse:
    """The form for one bike: of a quote, of a build's link, or of a model's usual build."""
    try:
        if quote:
            catalogue, choice = build_of_quote(session, quote)
        elif link:
            catalogue, choice = build_of_link(session, link)
        else:
            catalogue, choice = build_of_query(session, model, "")
        return _form(request, person, catalogue, choice, texts={"quote": quote.strip()})
    except DomainError as error:
        typed = {"quote": quote, "link": link, "model": model}
        return _list(request, person, session, error=error, typed=typed)


@router.post("/check")
def look(
    *, request: Request, _person: Staff, session: ReadingSession, texts: Texts
) -> HTMLResponse:
    """What the readings say as they are typed, without keeping anything."""
    template = "partials/office/bench/report.html"
    try:
        finding = _finding(session, texts)
        part = ReportPart(
            report=frozen(finding.report, finding.next_words),
            picture=bench_picture(finding),
            problem="",
        )
    except Invalid as error:
        part = ReportPart(report=None, picture=None, problem=f"{error.remedy}")
    return page(request, template, part, partial=template, headers=PRIVATE)


@router.post("")
def keep(
    *, request: Request, person: Staff, at: Now, engine: CurrentEngine, texts: Texts
) -> Response:
    """Show what the readings say, or keep it with the bike's serial number."""
    with reading(engine) as session:
        catalogue, choice = build_of_query(session, texts.get("model", ""), texts.get("build", ""))
    try:
        with reading(engine) as session:
            finding = _finding(session, texts)
        if texts.get("do") != "keep":
            return _form(request, person, catalogue, choice, texts=texts, finding=finding)
        with writing(engine) as session:
            made = save_bench(
                session,
                finding,
                _readings(texts),
                who=person.name,
                serial=texts.get("serial", ""),
                batch=texts.get("batch", ""),
                note=texts.get("note", ""),
                quote_number=texts.get("quote", "")[:20],
                measured_on=_day(texts.get("measured_on", ""), day_of(at)),
            )
    except Invalid as error:
        return _form(request, person, catalogue, choice, texts=texts, error=error)
    return RedirectResponse(f"/office/bench/{made}", 303)


@router.get("/{number}")
def kept(
    number: RowNumber, request: Request, person: Staff, session: ReadingSession
) -> HTMLResponse:
    """One kept check, as it was found."""
    found = bench_by_id(session, number)
    context = KeptPage(
        person=person,
        check=found,
        address=f"/build/{found.model}?{found.build}",
        report=found.report,
    )
    return page(request, "pages/office/bench/records.html", context, headers=PRIVATE)


def _day(text: str, today: date) -> date:
    if not text.strip():
        return today
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise Invalid("measured_on", text[:40], tr("a day such as 2026-03-01")) from None


def _readings(texts: dict[str, str]) -> tuple[Any, ...]:
    """Readings of the form; several of one figure are parted by semicolons."""
    given = [
        (name.removeprefix("value."), one, texts.get(f"spread.{name.removeprefix('value.')}", ""))
        for name, value in texts.items()
        if name.startswith("value.")
        for one in value.split(";")
    ]
    return read_readings(given, field="value")


def _finding(session: Session, texts: dict[str, str]) -> BenchFinding:
    catalogue, choice = build_of_query(session, texts.get("model", ""), texts.get("build", ""))
    return check_bike(catalogue, choice, _readings(texts), state=texts.get("state", "unloaded"))


def _form(
    request: Request,
    person: Person,
    catalogue: Catalogue,
    choice: BuildChoice,
    *,
    texts: dict[str, str],
    finding: BenchFinding | None = None,
    error: DomainError | None = None,
) -> HTMLResponse:
    result = compute(catalogue, choice)
    errors = {p.field: p.remedy for p in error.problems} if error else {}
    state = texts.get("state", "unloaded")
    shown = state if state in result.states else "unloaded"
    known = {**result.states[shown].figures}
    context = MeasurePage(
        person=person,
        words=tr(
            "{model}, size {size}, revision {revision}",
            model=catalogue.model.name,
            size=result.assembly.size.name,
            revision=catalogue.revision.number,
        ),
        address=address_of(choice),
        model=choice.model,
        build=query_of(choice),
        quote=texts.get("quote", ""),
        states=tuple(Option(value=name, label=name) for name in result.states),
        typed={name: texts.get(name, "") for name in ("serial", "batch", "note", "measured_on")}
        | {"state": shown},
        readings=tuple(
            ReadingField(
                key=key,
                name=entry(key).name,
                unit=entry(key).unit,
                drawn=number(known[key], entry(key).decimals) if key in known else "",
                value=texts.get(f"value.{key}", ""),
                spread=texts.get(f"spread.{key}", ""),
                usual=f"{SPREADS[key]:g}",
                error=errors.get(f"value.{key}", "") or errors.get(f"spread.{key}", ""),
            )
            for key in measurable(result, shown)
        ),
        report=frozen(finding.report, finding.next_words) if finding else None,
        picture=bench_picture(finding) if finding else None,
        problem="",
        errors=summary(error),
    )
    status = error.status if error else 200
    return page(request, "pages/office/bench/measure.html", context, status=status, headers=PRIVATE)


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
        trend=tuple(_trend_line(row) for row in trend(session, batch)) if batch else (),
        none_words=tr("No bike has been measured that matches yet.")
        if batch or serial
        else tr("No bike has been measured yet."),
        older=f"/office/bench?{urlencode(more)}" if len(found) == PAGE else "",
        errors=summary(error),
        typed=typed or {"quote": "", "link": "", "model": ""},
    )
    status = error.status if error else 200
    return page(request, "pages/office/bench/bench.html", context, status=status, headers=PRIVATE)


def _trend_line(row: TrendRow) -> TrendLine:
    return TrendLine(
        name=row.name,
        unit=row.unit,
        count=row.count,
        mean=signed(row.key, row.mean),
        spread="–" if row.spread is None else number(row.spread, 2 if row.unit == "°" else 1),
        words=row.words or tr("within chance"),
    )
