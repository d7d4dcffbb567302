"""Pages of changes: drafts with their effect, put in force, deleted, taken back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlalchemy import Engine
from sqlmodel import Session, col, select

from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.catalogue.row_changes import PART
from webapp.catalogue.tables import ACTIVE, RETIRED, Part
from webapp.catalogue.writing.change_sets import ChangedMeanwhile
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import in_service_language, tr
from webapp.common.timestamps import day_of
from webapp.common.web.choices import Option
from webapp.common.web.dependencies import CurrentEngine, Now, ReadingSession, RowNumber
from webapp.common.web.templating import page
from webapp.office.effect.shown import ShownEffect, shown_effect
from webapp.office.forms.submitted import PRIVATE
from webapp.office.part_changes.drafts import (
    Proposal,
    proposal,
    proposals,
    put_in_force,
    take_back,
    throw_away,
)
from webapp.office.part_changes.effect import ModelEffect, effects_of
from webapp.office.part_changes.retiring import what_stops
from webapp.office.part_changes.shown_changes import ShownChange, shown_changes

router = APIRouter(prefix="/office/part-changes", include_in_schema=False)

MOST_ROWS = 12
Over = Annotated[str, Form(max_length=10)]


@dataclass(frozen=True, kw_only=True)
class ShownModel:
    """What happens to one model, printed; ``builds`` is None where nothing is said of them."""

    of: ModelEffect
    builds: ShownEffect | None


@dataclass(frozen=True, kw_only=True)
class ChangesPage:
    """Drafts, and what can be taken back."""

    person: Person
    drafts: tuple[Proposal, ...]
    in_force: tuple[Proposal, ...]


@dataclass(frozen=True, kw_only=True)
class Retiring:
    """What stops with a part that is being retired, and what could take its place."""

    address: str
    stops: tuple[str, ...]
    others: tuple[Option, ...]
    replaced_by: str


@dataclass(frozen=True, kw_only=True)
class ChangePage:
    """One change with what it would do, or did."""

    person: Person
    change: Proposal
    can_be_taken_back: bool
    lead: str
    again: str
    number: str
    rows: tuple[ShownChange, ...]
    folded: tuple[ShownChange, ...]
    models: tuple[ShownModel, ...]
    untouched: str
    clashes: tuple[tuple[str, str], ...]
    retiring: Retiring | None


@router.get("")
def changes(request: Request, person: Builder, at: Now, session: ReadingSession) -> HTMLResponse:
    """Every draft, and changes put in force within a day."""
    found = proposals(session, at=at)
    context = ChangesPage(
        person=person,
        drafts=tuple(one for one in found if one.is_draft),
        in_force=tuple(one for one in found if not one.is_draft),
    )
    return page(request, "pages/office/part_changes/changes.html", context, headers=PRIVATE)


@router.get("/{number}")
def change(
    number: RowNumber, request: Request, person: Builder, at: Now, session: ReadingSession
) -> HTMLResponse:
    """One change, with what it would do."""
    return _answer(request, person, session, number, at=at)


@router.post("/{number}/put-in-force")
def keep(
    number: RowNumber,
    *,
    request: Request,
    person: Builder,
    at: Now,
    engine: CurrentEngine,
    over: Over = "",
) -> Response:
    """Put a draft in force."""
    return _step(put_in_force, number, request, person, engine, at=at, over=over)


@router.post("/{number}/take-back")
def undo(
    number: RowNumber,
    *,
    request: Request,
    person: Builder,
    at: Now,
    engine: CurrentEngine,
    over: Over = "",
) -> Response:
    """Take back a change in force."""
    return _step(take_back, number, request, person, engine, at=at, over=over)


def _step(
    take: Callable[..., Proposal],
    number: int,
    request: Request,
    person: Person,
    engine: Engine,
    *,
    at: datetime,
    over: str,
) -> Response:
    """Put a draft in force or take it back, or show what somebody else changed meanwhile."""
    try:
        with writing(engine) as session:
            take(session, number, who=person.name, at=at, over=bool(over))
    except ChangedMeanwhile as error:
        with reading(engine) as session:
            return _answer(request, person, session, number, at=at, error=error)
    return RedirectResponse(f"/office/part-changes/{number}", 303)


@router.post("/{number}/throw-away")
def drop(number: RowNumber, _person: Builder, engine: CurrentEngine) -> RedirectResponse:
    """Throw a draft away."""
    with writing(engine) as session:
        throw_away(session, number)
    return RedirectResponse("/office/part-changes", 303)


def _answer(
    request: Request,
    person: Person,
    session: Session,
    number: int,
    *,
    at: Now,
    error: ChangedMeanwhile | None = None,
) -> HTMLResponse:
    found = proposal(session, number)
    rows = shown_changes(session, found.changes)
    effects = effects_of(session, found.changes, today=day_of(at)) if found.is_draft else ()
    context = ChangePage(
        person=person,
        change=found,
        can_be_taken_back=found.can_be_taken_back(at),
        lead=tr("A draft: nothing of it is in force yet.")
        if found.is_draft
        else tr("This change is {state}.", state=in_service_language(found.state)),
        again="put-in-force" if found.is_draft else "take-back",
        number=str(found.number),
        rows=rows[:MOST_ROWS],
        folded=rows[MOST_ROWS:],
        models=tuple(_model(each) for each in effects if not each.is_none),
        untouched=", ".join(each.name for each in effects if each.is_none),
        clashes=tuple((p.field, p.remedy) for p in error.problems) if error else (),
        retiring=_retiring(session, found) if found.is_draft else None,
    )
    status = error.status if error else 200
    template = "pages/office/part_changes/change.html"
    return page(request, template, context, status=status, headers=PRIVATE)


def _retiring(session: Session, found: Proposal) -> Retiring | None:
    """Where the draft retires one part: what stops, and the others of its kind."""
    gone = [c for c in found.changes if c.table == PART and (c.after or {}).get("state") == RETIRED]
    if len(gone) != 1 or (gone[0].before or {}).get("state") == RETIRED:
        return None
    kind, _, slug = gone[0].key.partition("/")
    query = select(Part).where(Part.kind == kind, Part.state == ACTIVE, Part.slug != slug)
    others = session.exec(query.order_by(col(Part.name))).all()
    return Retiring(
        address=f"/office/parts/{kind}/{slug}/retire",
        stops=tuple(what_stops(session, kind, slug)),
        others=(
            Option(value="", label=tr("nothing")),
            *(Option(value=each.slug, label=each.name) for each in others),
        ),
        replaced_by=(gone[0].after or {}).get("replaced_by", ""),
    )


def _model(found: ModelEffect) -> ShownModel:
    return ShownModel(of=found, builds=shown_effect(found.builds) if found.builds else None)
