"""`POST /api/v1/bench`: a built bike's measurements, and what they say."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter
from pydantic import Field

from geometry.core import GeometryError
from geometry.verify import Reading
from webapp.api.request_bodies import Body, Number
from webapp.builds.choice.build_choice import address_of, pairs_of, read_choice
from webapp.catalogue.reading.load import load_catalogue
from webapp.common.errors import Gathering, Problem
from webapp.common.web.dependencies import PublicSession
from webapp.office.bench.check import check_bike
from webapp.office.bench.readings import MOST_READINGS, SPREADS
from webapp.office.bench.report_words import frozen

router = APIRouter(prefix="/api/v1")


class Measurement(Body):
    """One reading off the bike; lengths in millimetres, angles in degrees."""

    figure: Annotated[
        str,
        Field(
            max_length=60,
            description="a figure (wheelbase) or a dimension that can be measured by itself "
            "(fork.axle_to_crown)",
        ),
    ]
    value: Annotated[Number, Field(description="what was read [mm or degrees]")]
    spread: Annotated[
        Number | None,
        Field(gt=0, description="its standard deviation; a good workshop's if left out"),
    ] = None


class BenchBody(Body):
    """A build and what was measured of it."""

    model: Annotated[str, Field(max_length=60, description="the frame model's slug")]
    revision: Annotated[
        int | None, Field(ge=1, le=9999, description="the newest published one if left out")
    ] = None
    build: dict[str, str | float] = Field(
        default_factory=dict,
        max_length=60,
        description="fields of the build's address: size, fork, slot",
    )
    state: Annotated[
        Literal["unloaded", "sagged"], Field(description="how it stood when it was measured")
    ] = "unloaded"
    measurements: Annotated[list[Measurement], Field(min_length=1, max_length=MOST_READINGS)]


@router.post("/bench", summary="Hold a built bike's measurements against its build")
def bench(body: BenchBody, session: PublicSession) -> dict[str, Any]:
    """Residuals, contradictions among the readings, and likely causes; nothing sent is kept.

    Each reading is compared with what that very build should read, in the spread its own
    error and the builder's tolerances allow. At most 5 clean bikes in 100 raise an alarm.
    """
    catalogue = load_catalogue(session, body.model, body.revision)
    query = {name: [_text(value)] for name, value in body.build.items()}
    choice = read_choice(catalogue, query).strict()
    readings = _readings(body.measurements)
    finding = check_bike(catalogue, choice, readings, state=body.state)
    return {
        "model": choice.model,
        "revision": choice.revision,
        "build": dict(pairs_of(choice)),
        "href": address_of(choice),
        "state": body.state,
        **frozen(finding.report, finding.next_words),
    }


def _text(value: str | float) -> str:
    return value if isinstance(value, str) else f"{value:g}"


def _readings(given: list[Measurement]) -> tuple[Reading, ...]:
    gathering, found = Gathering(), []
    for place, one in enumerate(given):
        spread = one.spread if one.spread is not None else SPREADS.get(one.figure, 1.0)
        try:
            found.append(Reading(key=one.figure, value=one.value, spread=spread))
        except GeometryError as error:
            at = f"measurements.{place}.{error.field}"
            gathering.problems.append(Problem.of(error, at))
    gathering.finish()
    return tuple(found)
