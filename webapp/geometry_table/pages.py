"""The geometry table's page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Path, Request
from fastapi.responses import JSONResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.builds.choice.build_choice import BuildChoice, Query, ReadChoice, read_choice
from webapp.builds.choice.carried_build import OTHERS_KEYS, carried_text, navigation_addresses
from webapp.builds.present_bike.reading import other_bikes
from webapp.builds.solving.solver_inputs import UNLOADED
from webapp.catalogue.reading.load import (
    load_catalogue,
    models_beside,
    models_on_offer,
    revisions_beside,
)
from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Invalid, Problem
from webapp.common.query_strings import HIGHEST_REVISION, revision_in
from webapp.common.text.language import tr
from webapp.common.web.choices import Link
from webapp.common.web.dependencies import BaseUrl, PublicSession, query_of_request
from webapp.common.web.templating import page
from webapp.geometry_table.drawn_numbers import drawn_csv, drawn_data
from webapp.geometry_table.geometry_table import TableColumn, table_of
from webapp.geometry_table.page_context import STATES, table_address, table_page
from webapp.geometry_table.schema_org import in_page, product_group
from webapp.rider.rider_input import rider_pairs

router = APIRouter(include_in_schema=False)

Number = Annotated[int, Path(ge=1, le=HIGHEST_REVISION)]

# Drawn numbers of a published revision never change.
FOR_EVER = {"Cache-Control": "public, max-age=31536000, immutable"}

NONE_OF_ITS_OWN: Mapping[str, str] = MappingProxyType({})

# What the embedded table may load, and who may frame it: this service and the shop's sites.
EMBED_POLICY = (
    "default-src 'none'; style-src 'self'; img-src 'self' data:; font-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors {sites}"
)


@router.get("/table")
def any_table(request: Request, session: PublicSession) -> RedirectResponse:
    """The table of the builder's first model."""
    models = models_on_offer(session)
    query = f"?{request.url.query}" if request.url.query else ""
    return RedirectResponse(f"/table/{models[0].slug}{query}", 307)


@router.get("/table/{model}")
def one_table(model: str, request: Request, session: PublicSession, base: BaseUrl) -> Response:
    """Every size of one model with a chosen fork, wheels and axle position."""
    return _table(request, session, model, base=base, template="pages/geometry_table/table.html")


@router.get("/table/{model}/embed")
def embedded(model: str, request: Request, session: PublicSession, base: BaseUrl) -> Response:
    """The table alone, to be embedded in a frame on the builder's own site.

    It sets and reads no cookie, and only that site may frame it.
    """
    sites = ("'self'", *settings_data(session).framing_sites)
    rules = EMBED_POLICY.format(sites=" ".join(sites))
    headers = {
        "Content-Security-Policy": rules,
        "Cross-Origin-Resource-Policy": "cross-origin",
        "Referrer-Policy": "no-referrer",
    }
    template = "pages/geometry_table/embed.html"
    return _table(request, session, model, base=base, template=template, headers=headers)


@router.get("/table/{model}/revision/{number}/drawn.json")
def drawn_as_json(model: str, number: Number, session: PublicSession) -> JSONResponse:
    """A revision's drawn numbers; they never change."""
    return JSONResponse(drawn_data(load_catalogue(session, model, number)), headers=FOR_EVER)


@router.get("/table/{model}/revision/{number}/drawn.csv")
def drawn_as_csv(model: str, number: Number, session: PublicSession) -> Response:
    """The same as CSV."""
    text = drawn_csv(load_catalogue(session, model, number))
    name = f"{model}-revision-{number}-drawn.csv"
    headers = {**FOR_EVER, "Content-Disposition": f'attachment; filename="{name}"'}
    return Response(text, media_type="text/csv; charset=utf-8", headers=headers)


def _table(
    request: Request,
    session: Session,
    model: str,
    *,
    base: str,
    template: str,
    headers: Mapping[str, str] = NONE_OF_ITS_OWN,
) -> Response:
    query = query_of_request(request)
    catalogue = load_catalogue(session, model, revision_in(query))
    read, state = _with_state(read_choice(catalogue, query, also=("state", *OTHERS_KEYS)), query)
    others = other_bikes(query, session)
    read, columns = _computed(catalogue, read)
    context = table_page(
        catalogue,
        read,
        columns,
        state=state,
        models=_models(session, catalogue, read.choice),
        revisions=_revisions(session, catalogue, read.choice),
        others=others,
        data=in_page(product_group(catalogue, columns, base=base)),
    )
    return page(
        request,
        template,
        context,
        partial="partials/geometry_table/table.html",
        status=422 if read.problems else 200,
        headers={"HX-Replace-Url": others.along(table_address(read.choice, state)), **headers},
        carried=navigation_addresses(carried_text(read.choice), others),
    )


def _with_state(read: ReadChoice, query: Query) -> tuple[ReadChoice, str]:
    """The state asked for; the usual one, and a problem noted, for what is none."""
    values = query.get("state", ())
    given = values[0] if len(values) == 1 else ""
    if not any(values) or given in STATES:
        return read, given or UNLOADED
    told = ", ".join(STATES.get(each, each) for each in values)
    remedy = tr("one of these: {names}", names="; ".join(STATES.values()))
    problem = Problem("state", told[:200], remedy)
    return replace(read, problems=(*read.problems, problem)), UNLOADED


def _computed(catalogue: Catalogue, read: ReadChoice) -> tuple[ReadChoice, tuple[TableColumn, ...]]:
    try:
        return read, table_of(catalogue, read.choice)
    except Invalid as error:
        return read.noting(error.problems), ()


def _models(session: Session, catalogue: Catalogue, choice: BuildChoice) -> tuple[Link, ...]:
    """Links to every model's table; they carry the rider, not the parts."""
    rider, present = _rider(choice), catalogue.model.slug
    tail = f"?{rider}" if rider else ""
    return tuple(
        Link(label=model.name, address=f"/table/{model.slug}{tail}", present=model.slug == present)
        for model in models_beside(session, catalogue)
    )


def _rider(choice: BuildChoice) -> str:
    return urlencode(rider_pairs(choice.rider)) if choice.rider else ""


def _revisions(session: Session, catalogue: Catalogue, choice: BuildChoice) -> tuple[Link, ...]:
    rider = _rider(choice)
    tail = f"&{rider}" if rider else ""
    return tuple(
        Link(
            label=tr("revision {number}", number=revision.number),
            address=f"/table/{catalogue.model.slug}?rev={revision.number}{tail}",
            present=revision.number == catalogue.revision.number,
        )
        for revision in revisions_beside(session, catalogue)
    )
