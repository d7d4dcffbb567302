"""The page of findings from outcomes. No change is made automatically."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.catalogue.lookup import one
from webapp.catalogue.reading.load import list_models, load_catalogue, models_on_offer
from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.schema.shop import PostureWindows, ShopSettings
from webapp.catalogue.tables import RidingStyle
from webapp.common.errors import DomainError, Invalid
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import in_own_signs, tr
from webapp.common.two_edits import edit_form
from webapp.common.web.choices import Link
from webapp.common.web.dependencies import CurrentEngine, ReadingSession, WritingSession
from webapp.common.web.templating import page
from webapp.office.forms.data_form import texts_of
from webapp.office.forms.submitted import PRIVATE, Texts, refusal
from webapp.office.outcome_findings.chart import ChartRow, offered_chart, put_chart
from webapp.office.outcome_findings.page_rows import (
    ForecastRow,
    NumberRow,
    SurpriseRow,
    VerdictRow,
    forecast_rows,
    lead,
    line_rows,
    surprise_rows,
    too_few,
    verdict_rows,
    window_rows,
)
from webapp.office.revisions.pages import address_of_revision
from webapp.office.settings.sections import section_named
from webapp.outcomes.findings import Findings, Number, StyleFinding, findings
from webapp.outcomes.store import outcomes_of_model, take_out_invented

router = APIRouter(prefix="/office/learned", include_in_schema=False)


@dataclass(frozen=True, kw_only=True)
class Offer:
    """A form of the office filled with what was learnt: kept only when it is sent from there."""

    address: str
    fields: tuple[tuple[str, str], ...]


@dataclass(frozen=True, kw_only=True)
class StylePart:
    """One riding style: what its riders teach of its windows; ``offer`` is None for nothing."""

    slug: str
    name: str
    count: int
    missing: str
    windows: tuple[NumberRow, ...]
    offer: Offer | None


@dataclass(frozen=True, kw_only=True)
class LearnedPage:
    """Forecasts beside what happened, and what is offered."""

    person: Person
    model: str
    title: str
    address: str
    models: tuple[Link, ...]
    lead: str
    missing: str
    invented: int
    sizes: tuple[ForecastRow, ...]
    verdicts: tuple[VerdictRow, ...]
    line: tuple[NumberRow, ...]
    chart: tuple[ChartRow, ...]
    share_offer: Offer | None
    styles: tuple[StylePart, ...]
    surprises: tuple[SurpriseRow, ...]
    errors: tuple[tuple[str, str], ...]
    field_errors: dict[str, str]
    problem: str


@router.get("")
def first(session: ReadingSession, _person: Builder) -> RedirectResponse:
    """The first model's."""
    models = models_on_offer(session)
    return RedirectResponse(f"/office/learned/{models[0].slug}", 303)


@router.get("/{model}")
def findings_page(
    model: str, request: Request, person: Builder, session: ReadingSession
) -> HTMLResponse:
    """What the outcomes of a model say."""
    return _answer(request, person, session, model)


@router.post("/{model}/chart")
def take_chart(
    model: str, *, request: Request, person: Builder, engine: CurrentEngine, texts: Texts
) -> Response:
    """Put the chart that is offered into the model's draft, once it is confirmed."""
    if not texts.get("agreed"):
        remedy = tr("tick that you have looked at the statures, then put them into the draft")
        error = Invalid("agreed", "", remedy)
        with reading(engine) as session:
            return _answer(request, person, session, model, error=error)
    with writing(engine) as session:
        today, found = _found(session, model)
        if found.missing:
            raise Invalid("outcomes", found.with_body, too_few(found.missing))
        number = put_chart(session, offered_chart(today, found), who=person.name, model=model)
    return RedirectResponse(address_of_revision(model, number), 303)


@router.post("/{model}/take-out")
def take_out(model: str, _person: Builder, session: WritingSession) -> RedirectResponse:
    """Take out the demo's invented outcomes."""
    take_out_invented(session)
    return RedirectResponse(f"/office/learned/{model}", 303)


def _found(session: Session, model: str) -> tuple[Catalogue, Findings]:
    today = load_catalogue(session, model)

    def then(number: int) -> Catalogue:
        return load_catalogue(session, model, number)

    return today, findings(today, outcomes_of_model(session, model), then)


def _answer(
    request: Request,
    person: Person,
    session: Session,
    model: str,
    *,
    error: DomainError | None = None,
) -> HTMLResponse:
    (today, found), told = _found(session, model), refusal(error)
    context = LearnedPage(
        person=person,
        model=model,
        title=tr("What we learned: {model}", model=today.model.name),
        address=f"/office/learned/{model}",
        models=tuple(
            Link(
                label=each.name, address=f"/office/learned/{each.slug}", present=each.slug == model
            )
            for each in list_models(session)
        ),
        lead=lead(found),
        missing=too_few(found.missing),
        invented=found.invented,
        sizes=forecast_rows(found),
        verdicts=verdict_rows(found) if found.with_body else (),
        line=line_rows(found) if found.with_body else (),
        chart=_chart(today, found),
        share_offer=_share_offer(today, found),
        styles=tuple(_style(session, each) for each in found.styles),
        surprises=surprise_rows(today, found),
        errors=told.errors,
        field_errors=told.at_field,
        problem="",
    )
    return page(
        request,
        "pages/office/outcome_findings/outcome_findings.html",
        context,
        status=told.status,
        headers=PRIVATE,
    )


def _chart(today: Catalogue, found: Findings) -> tuple[ChartRow, ...]:
    """The chart as offered; nothing where there are too few outcomes or nothing moves."""
    if found.missing:
        return ()
    rows = offered_chart(today, found)
    return rows if any(row.moves for row in rows) else ()


def _share_offer(today: Catalogue, found: Findings) -> Offer | None:
    share = found.number("share")
    if found.missing or not share.says_something:
        return None
    kept = texts_of(ShopSettings, today.settings.model_dump(mode="json"))
    sizes = section_named("sizes")
    now = {name: text for name, text in kept.items() if sizes.holds(name)}
    return _offer(sizes.address, now, {"fit.posture_share": in_own_signs(f"{share.learnt:.2f}")})


def _style(session: Session, found: StyleFinding) -> StylePart:
    moved = [each for each in found.windows if each.says_something]
    offered = bool(moved) and not found.missing
    return StylePart(
        slug=found.style.slug,
        name=found.style.name,
        count=found.count,
        missing=too_few(found.missing),
        windows=window_rows(found.windows),
        offer=_windows_offer(session, found, moved) if offered else None,
    )


def _windows_offer(session: Session, found: StyleFinding, moved: list[Number]) -> Offer | None:
    row = one(session, RidingStyle, slug=found.style.slug)
    if row is None:
        return None
    now = {"style_name": row.name, **texts_of(PostureWindows, row.data)}
    kept = texts_of(PostureWindows, row.data, str)
    changed: dict[str, str] = {}
    for each in moved:
        by = round(each.learnt - each.present, 1)
        for edge in ("low", "high"):
            name = f"{each.name}.{edge}"
            changed[name] = in_own_signs(f"{round(float(kept[name]) + by, 1):g}")
    return _offer(f"/office/settings/styles/{found.style.slug}", now, changed)


def _offer(address: str, now: dict[str, str], changed: dict[str, str]) -> Offer:
    """A form opened with what is kept, and filled with what is offered."""
    edit = edit_form(now)
    opened = {"stamp": edit.stamp, "base": edit.base, "do": "preview"}
    return Offer(address=address, fields=tuple({**now, **changed, **opened}.items()))
