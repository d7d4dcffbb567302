"""`POST /api/v1/position`: a bike's points from measurements with a tape."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Annotated, Any

from fastapi import APIRouter
from pydantic import ConfigDict, Field

from geometry.core import GeometryError, within
from geometry.position import KINDS, LONGEST, Fixed, Measured, fix_points, most_telling
from webapp.api.request_bodies import Body, Number
from webapp.common.errors import (
    Invalid,
    Problem,
)

router = APIRouter(prefix="/api/v1")

MOST_MEASUREMENTS = 40
POINTS = ("saddle", "grip", "rear_axle", "front_axle")
LENGTHS = ("bb_height", "rear_radius", "front_radius")


class MeasuredBody(Body):
    """One measurement."""

    kind: Annotated[str, Field(max_length=40, description=f"what was measured: {', '.join(KINDS)}")]
    value: Annotated[Number, Field(ge=-LONGEST, le=LONGEST, description="[mm]")]
    spread: Annotated[
        Number | None,
        Field(
            ge=0.1, le=100, description="standard deviation [mm]; a careful reading's if left out"
        ),
    ] = None


class PositionBody(Body):
    """What a tape was held to on a standing bike, in any order and number."""

    model_config = ConfigDict(
        extra="forbid",
        json_schema_extra={
            "examples": [
                {
                    "measured": [
                        {"kind": "bb_to_saddle", "value": 727},
                        {"kind": "bb_above_floor", "value": 310},
                        {"kind": "saddle_above_floor", "value": 1010, "spread": 4},
                    ]
                }
            ]
        },
    )

    measured: Annotated[list[MeasuredBody], Field(min_length=1, max_length=MOST_MEASUREMENTS)]


@router.post("/position", summary="Where grips, saddle and axles are, from tape measurements")
def position(body: PositionBody) -> dict[str, Any]:
    """The bike that fits all measurements best, each weighed by its spread.

    Points are ``[x, y]`` in mm from the BB centre, x forward and y up, the bike standing
    unloaded; ``covariance`` is in mm². What the measurements leave open is ``null``.
    ``contradictions`` names the measurements that the others disagree with, several where
    they cannot be told apart; ``measure_next`` the one that would make saddle and grips surest.
    """
    measured = _measured(body.measured)
    try:
        found = fix_points(measured)
    except GeometryError as error:
        kinds = [each.kind for each in measured]
        field = f"measured.{kinds.index(error.field)}.value"
        raise Invalid.of([Problem.of(error, field)]) from error
    return {
        "points": {name: _point(found, name) for name in POINTS},
        "lengths": {
            name: {"value": _number(found.value(name)), "spread": _number(found.spread(name))}
            for name in LENGTHS
        },
        "checked": found.checked,
        "contradictions": [
            {
                "measured": suspect.place,
                "kind": suspect.kind,
                "residual": suspect.residual,
                "size": suspect.size,
                "expected": suspect.expected,
            }
            for suspect in found.suspects
        ],
        "measure_next": most_telling(measured),
    }


def _measured(given: Sequence[MeasuredBody]) -> list[Measured]:
    """The measurements, an error naming the place in the list.

    Raises
    ------
    InvalidInput
        A kind that is not known, a length that is none.
    """
    found = []
    for place, each in enumerate(given):
        with within(f"measured.{place}"):
            found.append(Measured(kind=each.kind, value=each.value, spread=each.spread or 0.0))
    return found


def _point(found: Fixed, name: str) -> dict[str, Any]:
    at, covariance = found.point(name)
    return {
        "at": [_number(value) for value in at],
        "covariance": [[_number(float(value)) for value in row] for row in covariance],
    }


def _number(value: float) -> float | None:
    """A number as JSON has it: what is open is null."""
    return None if math.isnan(value) else value
