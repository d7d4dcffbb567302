"""The effect of a draft on every build, before it is published."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from geometry.core import GeometryError
from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import DomainError, remedy_in_words
from webapp.common.text.language import tr
from webapp.common.timestamps import day_of
from webapp.common.web.dependencies import Now, ReadingSession, RowNumber
from webapp.common.web.templating import page
from webapp.fit.coverage import served
from webapp.office.coverage.people_rows import PeopleEffect, people_effect
from webapp.office.effect.open_quotes import TouchedQuote, touched_quotes
from webapp.office.effect.shown import ShownEffect, shown_effect
from webapp.office.effect.summary import Effect, effect_of
from webapp.office.forms.submitted import PRIVATE
from webapp.office.revisions.drafts import RevisionContent, published_before, read_revision
from webapp.office.revisions.pages import address_of_revision

router = APIRouter(prefix="/office/models/{model}/{number}", include_in_schema=False)


@dataclass(frozen=True, kw_only=True)
class StylePeople:
    """What the revision does to people in one riding style; ``problem`` says why it is unknown."""

    style: str
    effect: PeopleEffect | None
    problem: str


@dataclass(frozen=True, kw_only=True)
class EffectPage:
    """Everything the page knows; ``effect`` is None when there is nothing to compare with."""

    person: Person
    revision: RevisionContent
    address: str
    lead: str
    before: str
    effect: ShownEffect | None
    people: tuple[StylePeople, ...]
    coverage_address: str
    quotes: tuple[TouchedQuote, ...]
    untouched: int
    problem: str


@router.get("/effect")
def effect(
    model: str,
    number: RowNumber,
    *,
    request: Request,
    person: Builder,
    at: Now,
    session: ReadingSession,
) -> HTMLResponse:
    """What the revision changes of every build that can be ordered."""
    revision = read_revision(session, model, number)
    earlier = published_before(session, model, number)
    found: Effect | None = None
    quotes: tuple[TouchedQuote, ...] = ()
    people: tuple[StylePeople, ...] = ()
    problem = ""
    if earlier is not None:
        try:
            before, after = _both(session, revision, earlier)
            people = _people(before, after)
            found = effect_of(before, after)
            quotes = touched_quotes(session, before, after, today=day_of(at))
        except GeometryError as error:
            problem = f"{error.field}: {remedy_in_words(error)}"
    touched = tuple(quote for quote in quotes if quote.is_touched)
    context = EffectPage(
        person=person,
        revision=revision,
        address=address_of_revision(model, number),
        lead=revision.full_name
        if earlier is None
        else tr("{revision} beside {earlier}", revision=revision.full_name, earlier=earlier.label),
        before="" if earlier is None else earlier.label,
        effect=shown_effect(found) if found else None,
        people=people,
        coverage_address=f"/office/coverage/{model}",
        quotes=touched,
        untouched=len(quotes) - len(touched),
        problem=problem,
    )
    return page(request, "pages/office/effect/effect.html", context, headers=PRIVATE)


def _both(
    session: Session, revision: RevisionContent, earlier: RevisionContent
) -> tuple[Catalogue, Catalogue]:
    """The revision before and this one."""
    before = load_catalogue(session, revision.model, earlier.number)
    return before, load_catalogue(session, revision.model, revision.number, drafts=True)


def _people(before: Catalogue, after: Catalogue) -> tuple[StylePeople, ...]:
    """What the revision does to people, style by style."""
    return tuple(_style_people(before, after, style.slug) for style in after.styles)


def _style_people(before: Catalogue, after: Catalogue, style: str) -> StylePeople:
    men = after.settings.fit.men_percent / 100.0
    name = after.style(style).name
    try:
        old, new = (served(each, each.style(style), share_of_men=men) for each in (before, after))
    except DomainError as error:
        return StylePeople(style=name, effect=None, problem=error.remedy)
    return StylePeople(style=name, effect=people_effect(old, new), problem="")
