"""`POST /api/v1/match`: the builds of a model nearest to a position."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter
from pydantic import ConfigDict, Field

from geometry.search import Target
from webapp.api.request_bodies import Body, Number
from webapp.builds.choice.build_choice import address_of
from webapp.builds.choice.places import PLACE_OF
from webapp.builds.solving.solver_inputs import UNLOADED
from webapp.catalogue.reading.load import load_catalogue
from webapp.common.web.dependencies import PublicSession
from webapp.match.difference_words import difference_words
from webapp.match.matching import KNOWN, match
from webapp.match.page.found_words import reason_of
from webapp.match.wish import HANDLING, Answer, Point, Wish

router = APIRouter(prefix="/api/v1")

MOST_BOUNDS = 20
MOST_FIXED = 30

BOUNDED = (
    "least and most of each figure: lengths in mm, angles in degrees, mass in kg, lead_time in "
    "weeks with what the finish adds, fork_travel in mm (0 for a rigid fork), price in units of "
    f"the currency with tax. Any of: {', '.join(KNOWN)}"
)
FIXED = (
    "what stays: the slug of a part by its place, of the size as size. "
    f"Any of: size, {', '.join(PLACE_OF)}"
)
HANDLED = f"the present bike's figures, to stay near to. Any of: {', '.join(HANDLING)}"
Coordinate = Annotated[Number, Field(ge=-1500, le=1500)]
Ends = tuple[Annotated[Number, Field(ge=-1e6, le=1e7)], Annotated[Number, Field(ge=-1e6, le=1e7)]]


class TargetBody(Body):
    """Contact points ``[x, y]`` [mm] from the BB centre, x forward, y up, standing unloaded."""

    grip: tuple[Coordinate, Coordinate]
    saddle: tuple[Coordinate, Coordinate]


class MatchBody(Body):
    """A position, and what is wished beside it."""

    model_config = ConfigDict(
        extra="forbid",
        json_schema_extra={
            "examples": [
                {
                    "model": "knapweed",
                    "target": {"grip": [455, 705], "saddle": [-190, 690]},
                    "bounds": {"head_angle": [64, 68], "price": [0, 6000]},
                    "fixed": {"fork": "rigid-29"},
                }
            ]
        },
    )

    model: Annotated[str, Field(max_length=60, description="the frame model's slug")]
    target: TargetBody
    bounds: Annotated[
        dict[str, Ends],
        Field(max_length=MOST_BOUNDS, description=BOUNDED),
    ] = Field(default_factory=dict)
    fixed: Annotated[
        dict[str, Annotated[str, Field(max_length=60)]],
        Field(max_length=MOST_FIXED, description=FIXED),
    ] = Field(default_factory=dict)
    tolerance: Annotated[
        Number,
        Field(ge=0, le=200, description="how near is near enough for price to decide [mm]"),
    ] = 10.0
    handling: Annotated[
        dict[str, Number],
        Field(max_length=MOST_BOUNDS, description=HANDLED),
    ] = Field(default_factory=dict)


@router.post("/match", summary="The builds nearest to a position")
def match_position(body: MatchBody, session: PublicSession) -> dict[str, Any]:
    """Look through every build of a model: nothing answered fails a check.

    ``combinations`` is how many were judged: those with the fixed parts whose figures keep
    their bounds. ``failed`` counts how many of them fail each check. ``answers`` are of the
    kinds ``closest``, ``closest_as_sold``, ``cheapest`` and, where ``handling`` is given,
    ``nearest_handling``: the last three within the tolerance, or as near as can be.
    ``trades`` are the best trades between nearness and price. Where nothing keeps all bounds,
    ``loosen`` says which to move to what. ``distance`` is the root of the squared distances
    of grips and saddle together [mm]; prices are in minor units. A build with a part of
    unknown mass keeps no bound of mass. ``address`` opens the build; its query is that of
    ``GET /api/v1/models/{model}/checks``, which clears every answer.
    """
    catalogue = load_catalogue(session, body.model)
    target = Target(grip=body.target.grip, saddle=body.target.saddle)
    wish = Wish(
        target=target,
        bounds=body.bounds,
        fixed=body.fixed,
        tolerance=body.tolerance,
        handling=body.handling,
    )
    found = match(catalogue, wish)
    return {
        "combinations": found.combinations,
        "failed": dict(found.failed),
        "reasons": {code: reason_of(code) for code in found.failed},
        "answers": [_answer(each, target) for each in found.answers],
        "trades": [_answer(each, target) for each in found.trades],
        "loosen": [
            {"bound": each.name, "to": each.to, "distance": each.distance} for each in found.loosen
        ],
    }


def _answer(answer: Answer, target: Target) -> dict[str, Any]:
    result, gross = answer.result, answer.result.price.gross
    grip, saddle = _apart(answer.grip, target.grip), _apart(answer.saddle, target.saddle)
    return {
        "kind": answer.kind,
        "distance": answer.distance,
        "grip": answer.grip,
        "saddle": answer.saddle,
        "difference": difference_words(grip, saddle),
        "price": {"minor": gross.minor, "currency": gross.currency},
        "figures": dict(result.states[UNLOADED].figures),
        "address": address_of(result.choice),
    }


def _apart(found: Point, wished: Point) -> Point:
    return found[0] - wished[0], found[1] - wished[1]
