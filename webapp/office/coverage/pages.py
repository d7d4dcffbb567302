"""Which riders the sizes fit, before and after a draft, and how many of each size to make."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from sqlmodel import Session

from geometry.population import Served, coverage
from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.catalogue.reading.load import list_models, load_catalogue, models_on_offer
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import DomainError, Invalid
from webapp.common.text.language import in_own_signs, tr
from webapp.common.text.sentences import capitalized
from webapp.common.web.choices import Link
from webapp.common.web.dependencies import ReadingSession
from webapp.common.web.templating import page
from webapp.fit.coverage import served
from webapp.office.coverage.batch import SplitWords, seen_of, split_words
from webapp.office.coverage.people_rows import (
    BandRow,
    PeopleEffect,
    ShareRow,
    SizeRow,
    band_rows,
    people_effect,
    share_rows,
    size_rows,
)
from webapp.office.coverage.picture import (
    CoveragePicture,
    CoverageTable,
    coverage_picture,
    coverage_table,
)
from webapp.office.coverage.typed import USUAL, read_batch, read_share_of_men
from webapp.office.forms.submitted import PRIVATE, refusal
from webapp.office.revisions.drafts import all_revisions

router = APIRouter(prefix="/office/coverage", include_in_schema=False)


@dataclass(frozen=True, kw_only=True)
class CoveragePage:
    """Whom the sizes serve; ``after`` and what follows from it are empty without a draft."""

    person: Person
    model: str
    title: str
    address: str
    batch_address: str
    models: tuple[Link, ...]
    styles: tuple[Link, ...]
    style: str
    men: str
    women: str
    errors: tuple[tuple[str, str], ...]
    field_errors: dict[str, str]
    verdict: str
    before: str
    after: str
    shares: tuple[ShareRow, ...]
    sizes: tuple[SizeRow, ...]
    bands: tuple[BandRow, ...]
    picture: CoveragePicture | None
    picture_after: CoveragePicture | None
    table: CoverageTable | None
    effect: PeopleEffect | None
    problem: str

    @property
    def before_heading(self) -> str:
        """The published revision, at the head of a column."""
        return capitalized(self.before)

    @property
    def after_heading(self) -> str:
        """The draft, at the head of a column."""
        return capitalized(self.after)

    @property
    def newest(self) -> str:
        """The draft, or the published revision where there is none."""
        return self.after or self.before


@dataclass(frozen=True, kw_only=True)
class BatchPage:
    """How many of each size to make."""

    person: Person
    title: str
    address: str
    back: str
    style: str
    men: str
    women: str
    values: dict[str, str]
    currency: str
    errors: tuple[tuple[str, str], ...]
    field_errors: dict[str, str]
    split: SplitWords | None
    problem: str

    @property
    def verdict(self) -> str:
        """The split in a sentence."""
        return self.split.verdict if self.split else ""


@dataclass(frozen=True, kw_only=True)
class _Asked:
    """What a page is asked about: a model's published sizes, its draft if any, style, share."""

    catalogue: Catalogue
    draft: Catalogue | None
    style: str
    men: float
    error: Invalid | None
    problem: str

    def served(self, catalogue: Catalogue) -> Served:
        return served(catalogue, catalogue.style(self.style), share_of_men=self.men)


@router.get("")
def first(session: ReadingSession, _person: Builder) -> RedirectResponse:
    """The first model's."""
    models = models_on_offer(session)
    return RedirectResponse(f"/office/coverage/{models[0].slug}", 303)


@router.get("/{model}")
def coverage_page(
    model: str,
    *,
    request: Request,
    person: Builder,
    session: ReadingSession,
    style: str = "",
    men: str = "",
    women: str = "",
) -> HTMLResponse:
    """Whom the sizes of a model serve, and what its draft makes of it."""
    asked = _asked(session, model, style, men, women)
    context = _page(session, person, asked, men=men, women=women)
    status = refusal(asked.error).status
    return page(
        request, "pages/office/coverage/coverage.html", context, status=status, headers=PRIVATE
    )


@router.get("/{model}/batch")
def batch(
    model: str,
    *,
    request: Request,
    person: Builder,
    session: ReadingSession,
    style: str = "",
    men: str = "",
    women: str = "",
) -> HTMLResponse:
    """How many of each size to make of a batch of frames."""
    asked = _asked(session, model, style, men, women)
    values = {
        name: request.query_params.get(name, in_own_signs(usual)) for name, usual in USUAL.items()
    }
    error, problem, split = asked.error, asked.problem, None
    try:
        wanted = read_batch(values)
        seen = seen_of(session, asked.catalogue.model.name)
        split = split_words(asked.served(asked.catalogue), seen, wanted, asked.catalogue.currency)
    except Invalid as found:
        if {each.field for each in found.problems} <= set(USUAL):
            error = Invalid.of([*(error.problems if error else ()), *found.problems])
        else:
            problem = found.remedy
    address, told = f"/office/coverage/{model}", refusal(error)
    context = BatchPage(
        person=person,
        title=tr("Batch split: {model}", model=asked.catalogue.model.name),
        address=f"{address}/batch",
        back=f"{address}?{_query(asked)}",
        style=asked.style,
        men=men or in_own_signs(_percent(asked.men)),
        women=women or in_own_signs(_percent(1.0 - asked.men)),
        values=values,
        currency=asked.catalogue.currency,
        errors=told.errors,
        field_errors=told.at_field,
        split=split,
        problem=problem,
    )
    return page(
        request, "pages/office/coverage/batch.html", context, status=told.status, headers=PRIVATE
    )


def _asked(session: Session, model: str, style: str, men: str, women: str) -> _Asked:
    catalogue = load_catalogue(session, model)
    known = [each.slug for each in catalogue.styles]
    usual = catalogue.settings.fit.men_percent / 100.0
    error: Invalid | None = None
    share = usual
    try:
        share = read_share_of_men(men, women) if men or women else usual
    except Invalid as found:
        error = found
    draft, problem = _draft(session, model)
    return _Asked(
        catalogue=catalogue,
        draft=draft,
        style=style if style in known else known[0],
        men=share,
        error=error,
        problem=problem,
    )


def _draft(session: Session, model: str) -> tuple[Catalogue | None, str]:
    """The model's draft, or why it cannot be looked at."""
    drafts = [each for each in all_revisions(session, model) if each.is_draft]
    if not drafts:
        return None, ""
    try:
        return load_catalogue(session, model, drafts[0].number, drafts=True), ""
    except DomainError as error:
        return None, tr("The draft cannot be shown: {remedy}", remedy=error.remedy)


def _page(session: Session, person: Person, asked: _Asked, *, men: str, women: str) -> CoveragePage:
    model, problem = asked.catalogue.model, asked.problem
    old: Served | None = None
    new: Served | None = None
    try:
        old = asked.served(asked.catalogue)
        new = asked.served(asked.draft) if asked.draft else None
    except Invalid as error:
        problem = tr("The sizes cannot be compared with people: {remedy}", remedy=error.remedy)
    was, now = (coverage(each) if each else None for each in (old, new))
    address = f"/office/coverage/{model.slug}"
    return CoveragePage(
        person=person,
        model=model.slug,
        title=tr("Who the sizes fit: {model}", model=model.name),
        address=address,
        batch_address=f"{address}/batch?{_query(asked)}",
        models=tuple(
            Link(
                label=each.name,
                address=f"/office/coverage/{each.slug}?{_query(asked)}",
                present=each.slug == model.slug,
            )
            for each in list_models(session)
        ),
        styles=tuple(
            Link(
                label=each.name,
                address=f"{address}?{_query(asked, each.slug)}",
                present=each.slug == asked.style,
            )
            for each in asked.catalogue.styles
        ),
        style=asked.style,
        men=men or in_own_signs(_percent(asked.men)),
        women=women or in_own_signs(_percent(1.0 - asked.men)),
        errors=refusal(asked.error).errors,
        field_errors=refusal(asked.error).at_field,
        verdict=_verdict(old, asked) if old else "",
        before=tr("revision {number}", number=asked.catalogue.revision.number),
        after=tr("draft {number}", number=asked.draft.revision.number)
        if asked.draft and new
        else "",
        shares=share_rows(was, now) if was else (),
        sizes=size_rows(was, now) if was else (),
        bands=band_rows(new or old) if old else (),
        picture=_picture(asked.catalogue, old, "before"),
        picture_after=_picture(asked.draft, new, "after"),
        table=coverage_table(new or old) if old else None,
        effect=people_effect(old, new) if old and new else None,
        problem=problem,
    )


def _picture(
    catalogue: Catalogue | None, found: Served | None, name: str
) -> CoveragePicture | None:
    if catalogue is None or found is None:
        return None
    title = tr(
        "{model}, revision {number}: heights and leg lengths against sizes",
        model=catalogue.model.name,
        number=catalogue.revision.number,
    )
    return coverage_picture(found, title=title, name=name)


def _verdict(found: Served, asked: _Asked) -> str:
    whole = coverage(found)
    return tr(
        "{style}: of 100 people, {men:.0f} of them men, some size fits {as_sold:.1f} as sold "
        "(two sizes fit {several:.1f}), {changes:.1f} with changes only, and {nobody:.1f} not "
        "at all.",
        style=asked.catalogue.style(asked.style).name,
        men=100.0 * asked.men,
        as_sold=100.0 * whole.as_sold,
        several=100.0 * whole.several,
        changes=100.0 * whole.with_changes,
        nobody=100.0 * whole.nobody,
    )


def _query(asked: _Asked, style: str = "") -> str:
    men, women = _percent(asked.men), _percent(1.0 - asked.men)
    return f"style={style or asked.style}&men={men}&women={women}"


def _percent(share: float) -> str:
    return f"{round(100.0 * share, 1):g}"
