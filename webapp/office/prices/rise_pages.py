"""The page on which prices rise by a percentage, with a preview of old and new prices."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.catalogue.lookup import price_list_row
from webapp.catalogue.reading.prices import FRAMES
from webapp.catalogue.schema.part_kinds import PART_KINDS
from webapp.catalogue.writing.change_sets import apply
from webapp.common.errors import Invalid
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.common.web.choices import Option
from webapp.common.web.dependencies import CurrentEngine, Now, ReadingSession
from webapp.common.web.templating import page
from webapp.office.forms.submitted import PRIVATE, Texts, refusal
from webapp.office.part_changes.drafts import next_page, propose
from webapp.office.parts.pages import label_of_kind
from webapp.office.prices.rises import ALL, as_changes, read_rise, rise_lines, steps_of
from webapp.pricing.totals import signed_money

router = APIRouter(prefix="/office/prices/{slug}/rise", include_in_schema=False)

Short = Annotated[str, Query(max_length=40)]


@dataclass(frozen=True, kw_only=True)
class ShownLine:
    """One price, printed."""

    label: str
    before: str
    after: str
    change: str


@dataclass(frozen=True, kw_only=True)
class RisePage:
    """The form of a rise, and what every price would be."""

    person: Person
    slug: str
    name: str
    percent: str
    step: str
    kind: str
    steps: tuple[Option, ...]
    kinds: tuple[Option, ...]
    changes_none: bool
    lines: tuple[ShownLine, ...]
    field_errors: dict[str, str]
    errors: tuple[tuple[str, str], ...]


@router.get("")
def rise_preview(
    slug: str,
    request: Request,
    person: Builder,
    session: ReadingSession,
    *,
    percent: Short = "",
    step: Short = "",
    kind: Short = ALL,
) -> HTMLResponse:
    """What every price would be; nothing is kept."""
    texts = {"percent": percent, "step": step, "kind": kind}
    error: Invalid | None = None
    if percent:
        currency = price_list_row(session, slug).currency
        try:
            rise_lines(session, slug, read_rise(percent, step, kind, currency=currency))
        except Invalid as found:
            error = found
    return _answer(request, person, session, slug, texts=texts, error=error)


@router.post("")
def keep(
    slug: str,
    *,
    request: Request,
    person: Builder,
    at: Now,
    engine: CurrentEngine,
    texts: Texts,
) -> Response:
    """Make one change of it."""
    try:
        with writing(engine) as session:
            listed = price_list_row(session, slug)
            rise = read_rise(
                texts.get("percent", ""),
                texts.get("step", ""),
                texts.get("kind", ""),
                currency=listed.currency,
            )
            changes = as_changes(slug, rise_lines(session, slug, rise))
            made = propose(
                session,
                lambda: apply(session, changes, who=person.name, at=at),
                who=person.name,
                at=at,
                title=tr("{name}: {percent} %", name=listed.name, percent=f"{rise.percent:+f}"),
                address=f"/office/prices/{slug}",
            )
    except Invalid as error:
        with reading(engine) as session:
            return _answer(request, person, session, slug, texts=texts, error=error)
    return RedirectResponse(next_page(made, f"/office/prices/{slug}"), 303)


def _answer(
    request: Request,
    person: Person,
    session: Session,
    slug: str,
    *,
    texts: dict[str, str],
    error: Invalid | None,
) -> HTMLResponse:
    listed = price_list_row(session, slug)
    percent, step, kind = (texts.get(name, "") for name in ("percent", "step", "kind"))
    steps = steps_of(listed.currency)
    asked = bool(percent) and error is None
    lines: tuple[ShownLine, ...] = ()
    if asked:
        rise = read_rise(percent, step, kind, currency=listed.currency)
        lines = tuple(
            ShownLine(
                label=line.label,
                before=was.format(),
                after=now.format(),
                change=signed_money(now - was),
            )
            for line in rise_lines(session, slug, rise)
            for was, now in [
                (Money(line.before, listed.currency), Money(line.after, listed.currency))
            ]
        )
    told = refusal(error)
    context = RisePage(
        person=person,
        slug=slug,
        name=listed.name,
        percent=percent,
        step=step or str(steps[0]),
        kind=kind or ALL,
        steps=tuple(
            Option(value=str(each), label=Money(each, listed.currency).format()) for each in steps
        ),
        kinds=(
            Option(value=ALL, label=tr("everything in the list")),
            Option(value=FRAMES, label=tr("Frames")),
            *(Option(value=each, label=label_of_kind(each)) for each in PART_KINDS),
        ),
        changes_none=asked and not lines,
        lines=lines,
        field_errors=told.at_field,
        errors=told.errors,
    )
    template = "pages/office/prices/rise.html"
    return page(request, template, context, status=told.status, headers=PRIVATE)
