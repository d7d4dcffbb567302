"""Addresses of the JSON interface."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request, Response
from sqlmodel import Session

from webapp.api.geometry_answer import geometry_answer
from webapp.api.geometry_body import GeometryBody
from webapp.api.models import model_answer, models_answer, table_answer, tables_of, wants_every
from webapp.builds.choice.build_choice import BuildChoice, read_choice
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.common.query_strings import revision_in
from webapp.common.web.dependencies import PublicSession, query_of_request
from webapp.geometry_table.geometry_table import as_csv

router = APIRouter(prefix="/api/v1")

Every = Annotated[
    int,
    Query(alias="all", ge=0, le=1, description="1: every fork, wheel size and end of the slot"),
]


KEPT: dict[int | str, dict[str, Any]] = {
    304: {"description": "what was kept under this ETag is still right"}
}


@router.get("/models", summary="Every model with a published revision")
def models(session: PublicSession) -> dict[str, Any]:
    """List the builder's models."""
    return models_answer(session)


@router.get("/models/{model}", summary="One model: revision, sizes, options")
def model(model: str, request: Request, session: PublicSession) -> dict[str, Any]:
    """The published revision, or with ``rev`` another, with every option and price."""
    return model_answer(session, model, revision_in(query_of_request(request)))


def _read(session: Session, model: str, request: Request) -> tuple[Catalogue, BuildChoice, bool]:
    query = query_of_request(request)
    catalogue = load_catalogue(session, model, revision_in(query))
    read = read_choice(catalogue, query, also=("all", "state"))
    return catalogue, read.strict(), wants_every(query)


@router.get("/models/{model}/table.csv", summary="Geometry table as CSV", responses=KEPT)
def table_csv(model: str, request: Request, session: PublicSession, _every: Every = 0) -> Response:
    """Every size of one build, one line a size and state; figures as printed on the page.

    The build's fields are those of its address: ``fork``, ``tyre_front``, ``slot`` and so on;
    what is left out is the builder's usual choice.
    """
    catalogue, choice, every = _read(session, model, request)
    text = as_csv(catalogue, iter(tables_of(catalogue, choice, every=every)))
    name = f"{catalogue.model.slug}-revision-{catalogue.revision.number}.csv"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(text, media_type="text/csv; charset=utf-8", headers=headers)


@router.get(
    "/models/{model}/table.json",
    summary="Geometry table as JSON",
    response_model=dict[str, Any],
    responses=KEPT,
)
@router.get(
    "/models/{model}/table",
    summary="Geometry table as JSON",
    response_model=dict[str, Any],
    responses=KEPT,
)
def table_json(model: str, request: Request, session: PublicSession, _every: Every = 0) -> Any:
    """Every size of one build, in every state, unrounded.

    The build's fields are those of its address: ``fork``, ``tyre_front``, ``slot`` and so on;
    what is left out is the builder's usual choice.
    """
    catalogue, choice, every = _read(session, model, request)
    return table_answer(catalogue, choice, every=every)


@router.post("/geometry", summary="Solve an ad-hoc frame and build")
def geometry(body: GeometryBody) -> dict[str, Any]:
    """Standing geometry of a frame of any catalogue or none.

    Lengths in millimetres, angles in degrees. ``front_centre`` and ``rear_centre`` are level,
    so that they add up to the wheelbase; ``front_centre_straight`` is to the axle.
    """
    return geometry_answer(body)
