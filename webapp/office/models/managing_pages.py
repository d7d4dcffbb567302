"""Renaming a model, moving, hiding and retiring it; a draft thrown away, a withdrawal undone."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form
from fastapi.responses import RedirectResponse

from webapp.accounts.dependencies import Builder
from webapp.catalogue.writing.models import publish_again, throw_away
from webapp.common.web.dependencies import RowNumber, WritingSession
from webapp.office.models.managing import move, rename, set_state
from webapp.office.save import one_save

router = APIRouter(prefix="/office/models/{model}", include_in_schema=False)

Typed = Annotated[str, Form(max_length=4000)]


def _back(model: str) -> RedirectResponse:
    return RedirectResponse(f"/office/models/{model}", 303)


@router.post("/name")
def give_name(
    *, model: str, person: Builder, session: WritingSession, name: Typed = "", summary: Typed = ""
) -> RedirectResponse:
    """Keep another name and sentence."""
    rename(session, who=person.name, slug=model, name=name, summary=summary)
    return _back(model)


@router.post("/place")
def place(
    *, model: str, person: Builder, session: WritingSession, to: Typed = ""
) -> RedirectResponse:
    """One place up or down."""
    move(session, who=person.name, slug=model, up=to == "up")
    return RedirectResponse("/office", 303)


@router.post("/state")
def state(
    *, model: str, person: Builder, session: WritingSession, state: Typed = ""
) -> RedirectResponse:
    """Shown, hidden or retired from now on."""
    set_state(session, who=person.name, slug=model, state=state)
    return _back(model)


@router.post("/{number}/throw-away")
def drop_draft(
    model: str, number: RowNumber, person: Builder, session: WritingSession
) -> RedirectResponse:
    """Take a draft away."""
    with one_save(session):
        throw_away(session, who=person.name, model=model, revision=number)
    return _back(model)


@router.post("/{number}/publish-again")
def undo_withdrawal(
    model: str, number: RowNumber, person: Builder, session: WritingSession
) -> RedirectResponse:
    """A withdrawn revision stands again."""
    publish_again(session, who=person.name, model=model, revision=number)
    return RedirectResponse(f"/office/models/{model}/{number}", 303)
