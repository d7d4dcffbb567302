"""The geometry table's page."""

from __future__ import annotations

from dataclasses import replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse
from sqlmodel import Session

from webapp.build.assembling import UNLOADED
from webapp.build.choice import Query, ReadChoice, read_choice
from webapp.catalogue.reading import list_models, list_revisions, load_catalogue
from webapp.catalogue.views import Catalogue
from webapp.ground.dependencies import ReadingSession, query_of_request
from webapp.ground.errors import Invalid, NotFound, Problem
from webapp.ground.queries import revision_in
from webapp.ground.templating import page
from webapp.table.context import STATES, Link, table_address, table_page
from webapp.table.service import TableColumn, table_of

router = APIRouter(include_in_schema=False)


@router.get("/table")
def any_table(session: ReadingSession) -> RedirectResponse:
    """The table of the builder's first model."""
    models = list_models(session)
    if not models:
        raise NotFound("model", "", "the builder has published no model yet")
    return RedirectResponse(f"/table/{models[0].slug}", 307)


@router.get("/table/{model}")
def one_table(model: str, request: Request, session: ReadingSession) -> HTMLResponse:
    """Every size of one model with a chosen fork, wheels and axle position."""
    query = query_of_request(request)
    catalogue = load_catalogue(session, model, revision_in(query))
    read, state = _with_state(read_choice(catalogue, query, also=("state",)), query)
    read, columns = _computed(catalogue, read)
    context = table_page(
        catalogue,
        read,
        columns,
        state=state,
        models=_models(session, model),
        revisions=_revisions(session, catalogue),
    )
    return page(
        request,
        "pages/table.html",
        context,
        status=422 if read.problems else 200,
        headers={"HX-Replace-Url": table_address(read.choice, state)},
    )


def _with_state(read: ReadChoice, query: Query) -> tuple[ReadChoice, str]:
    """The state asked for; the usual one, and a problem noted, for what is none."""
    given = ", ".join(query.get("state", ())) or UNLOADED
    if given in STATES:
        return read, given
    problem = Problem("state", given[:200], f"one of {', '.join(STATES)}")
    return replace(read, problems=(*read.problems, problem)), UNLOADED


def _computed(catalogue: Catalogue, read: ReadChoice) -> tuple[ReadChoice, tuple[TableColumn, ...]]:
    try:
        return read, table_of(catalogue, read.choice)
    except Invalid as error:
        problems = (*read.problems, *error.problems)
        return ReadChoice(choice=read.choice, problems=problems, typed=read.typed), ()


def _models(session: Session, present: str) -> tuple[Link, ...]:
    return tuple(
        Link(label=model.name, address=f"/table/{model.slug}", present=model.slug == present)
        for model in list_models(session)
    )


def _revisions(session: Session, catalogue: Catalogue) -> tuple[Link, ...]:
    return tuple(
        Link(
            label=f"revision {revision.number}",
            address=f"/table/{catalogue.model.slug}?rev={revision.number}",
            present=revision.number == catalogue.revision.number,
        )
        for revision in list_revisions(session, catalogue.model.slug)
    )
