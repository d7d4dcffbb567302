"""The form for one bike on the bench: what is read, of which build, and the drawing beside it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any
from urllib.parse import parse_qs, urlencode

from fastapi import Request
from fastapi.responses import HTMLResponse
from markupsafe import Markup
from sqlmodel import Session

from geometry.verify import Reading, observed
from webapp.accounts.people import Person
from webapp.builds.choice.build_choice import BuildChoice, address_of, query_of
from webapp.builds.evaluation import BuildResult, compute
from webapp.catalogue.reading.load import list_revisions
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import DomainError, Invalid
from webapp.common.text.glossary import entry
from webapp.common.text.language import in_own_signs, tr
from webapp.common.text.units import number
from webapp.common.web.choices import Link, Option
from webapp.common.web.templating import page
from webapp.office.bench.build_choice import bikes_of_quote, build_of_link, build_of_query
from webapp.office.bench.check import BenchFinding, check_bike, measurable
from webapp.office.bench.picture import bench_picture
from webapp.office.bench.readings import NUMBERS, SPREADS, read_readings
from webapp.office.bench.report_words import frozen
from webapp.office.forms.submitted import PRIVATE, refusal

KEPT = ("serial", "batch", "note", "measured_on", "again", "why", "link")
_UNLOADED = "unloaded"


@dataclass(frozen=True, kw_only=True)
class ReadingField:
    """One line of the form."""

    key: str
    number: str
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
    numbers: Mapping[str, str]


@dataclass(frozen=True, kw_only=True)
class MeasurePage:
    """The form for one bike."""

    person: Person
    words: str
    address: str
    action: str
    heading: str
    correcting: bool
    asked_again: bool
    again: bool
    model: str
    build: str
    quote: str
    bikes: tuple[Link, ...]
    sizes: tuple[Option, ...]
    size: str
    revisions: tuple[Option, ...]
    revision: str
    states: tuple[Option, ...]
    typed: Mapping[str, str]
    readings: tuple[ReadingField, ...]
    report: dict[str, Any] | None
    picture: Markup | None
    problem: str
    numbers: Mapping[str, str]
    errors: tuple[tuple[str, str], ...]
    field_errors: Mapping[str, str]


@dataclass(frozen=True, kw_only=True)
class Form:
    """Where a form is sent, and what it is called."""

    action: str
    heading: str
    correcting: bool = False


NEW = Form(action="/office/bench", heading=tr("Measure a bike"))


def build_chosen(session: Session, texts: Mapping[str, str]) -> tuple[Catalogue, BuildChoice]:
    """The build a form names: another one's address, or its own with size and revision chosen.

    Raises
    ------
    Invalid
        For an address or a size that is none.
    NotFound
        For a model or revision nobody knows.
    """
    if texts.get("link", "").strip():
        return build_of_link(session, texts["link"])
    fields = parse_qs(texts.get("build", ""), keep_blank_values=True)
    for name, key in (("size", "size"), ("revision", "rev")):
        if texts.get(name, "").strip():
            fields[key] = [texts[name].strip()]
    return build_of_query(session, texts.get("model", ""), urlencode(fields, doseq=True))


def readings_of(texts: Mapping[str, str], result: BuildResult, state: str) -> tuple[Reading, ...]:
    """Readings of the form; several of one figure are parted by semicolons."""
    given = [
        (name.removeprefix("value."), one, texts.get(f"spread.{name.removeprefix('value.')}", ""))
        for name, value in texts.items()
        if name.startswith("value.")
        for one in value.split(";")
    ]
    known = result.states.get(state)
    drawn = {} if known is None else {k: float(v) for k, v in observed(known.bike).items()}
    return read_readings(given, field="value", drawn=drawn)


def finding_of(
    session: Session, texts: Mapping[str, str]
) -> tuple[BenchFinding, tuple[Reading, ...]]:
    """What a form's readings say of its build."""
    catalogue, choice = build_chosen(session, texts)
    state = texts.get("state", _UNLOADED)
    readings = readings_of(texts, compute(catalogue, choice), state)
    return check_bike(catalogue, choice, readings, state=state), readings


def report_part(session: Session, texts: Mapping[str, str]) -> ReportPart:
    """What the readings say as they are typed; the drawing stays when they say nothing yet."""
    try:
        finding, _ = finding_of(session, texts)
    except Invalid as error:
        return ReportPart(
            report=None,
            picture=_picture_alone(session, texts),
            problem=f"{error.remedy}",
            numbers=NUMBERS,
        )
    report = frozen(finding.report, finding.next_words)
    picture = bench_picture(finding.result, finding.state, report)
    return ReportPart(report=report, picture=picture, problem="", numbers=NUMBERS)


def _picture_alone(session: Session, texts: Mapping[str, str]) -> Markup | None:
    try:
        result = compute(*build_chosen(session, texts))
    except DomainError:
        return None
    return bench_picture(result, _state(result, texts))


def _state(result: BuildResult, texts: Mapping[str, str]) -> str:
    state = texts.get("state", _UNLOADED)
    return state if state in result.states else _UNLOADED


def day_typed(text: str, today: date) -> date:
    """The day a bike was measured; today where none was typed."""
    if not text.strip():
        return today
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise Invalid("measured_on", text[:40], tr("a day such as 2026-03-01")) from None


def measure_page(
    request: Request,
    person: Person,
    session: Session,
    built: tuple[Catalogue, BuildChoice],
    *,
    texts: Mapping[str, str],
    finding: BenchFinding | None = None,
    error: DomainError | None = None,
    form: Form = NEW,
) -> HTMLResponse:
    """The form with everything that was typed, and what it says where that was asked."""
    catalogue, choice = built
    result = compute(catalogue, choice)
    told = refusal(error)
    shown = _state(result, texts)
    report = frozen(finding.report, finding.next_words) if finding else None
    typed = {name: texts.get(name, "") for name in KEPT} | {"state": shown}
    context = MeasurePage(
        person=person,
        words=_words(catalogue, result),
        address=address_of(choice),
        action=form.action,
        heading=form.heading,
        correcting=form.correcting,
        asked_again=bool("again" in told.at_field or texts.get("again")),
        again=texts.get("again") == "yes",
        model=choice.model,
        build=query_of(choice),
        quote=texts.get("quote", ""),
        bikes=bikes_of_quote(session, texts.get("quote", "").strip(), choice),
        sizes=tuple(Option(value=one.slug, label=one.name) for one in catalogue.sizes),
        size=choice.size,
        revisions=_revisions(session, choice.model),
        revision=str(choice.revision),
        states=tuple(Option(value=name, label=name) for name in result.states),
        typed=typed,
        readings=_fields(result, shown, texts, told.at_field),
        report=report,
        picture=bench_picture(result, shown, report),
        problem="",
        numbers=NUMBERS,
        errors=told.errors,
        field_errors=told.at_field,
    )
    template = "pages/office/bench/measure.html"
    return page(request, template, context, status=told.status, headers=PRIVATE)


def _words(catalogue: Catalogue, result: BuildResult) -> str:
    return tr(
        "{model}, size {size}, revision {revision}",
        model=catalogue.model.name,
        size=result.assembly.size.name,
        revision=catalogue.revision.number,
    )


def _revisions(session: Session, model: str) -> tuple[Option, ...]:
    found = list_revisions(session, model)
    return tuple(Option(value=str(one.number), label=str(one.number)) for one in found)


def _fields(
    result: BuildResult, state: str, texts: Mapping[str, str], errors: Mapping[str, str]
) -> tuple[ReadingField, ...]:
    known = result.states[state].figures
    return tuple(
        ReadingField(
            key=key,
            number=NUMBERS[key],
            name=entry(key).name,
            unit=entry(key).unit,
            drawn=number(known[key], entry(key).decimals) if key in known else "",
            value=texts.get(f"value.{key}", ""),
            spread=texts.get(f"spread.{key}", ""),
            usual=in_own_signs(f"{SPREADS[key]:g}"),
            error=errors.get(f"value.{key}", "") or errors.get(f"spread.{key}", ""),
        )
        for key in measurable(result, state)
    )
