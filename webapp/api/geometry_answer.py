"""What `POST /api/v1/geometry` answers: every figure in every state."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from geometry.bike import Bike, Build, State, closure, figures
from geometry.core import within
from geometry.glossary import entry
from geometry.uncertainty import Tolerance, Tolerances, explain_all, intervals
from geometry.verify import DrawnSize, check_table
from webapp.api.geometry_body import (
    GeometryBody,
    drawn_frame,
    fitted_build,
    fitted_cockpit,
    fitted_seat,
)
from webapp.common.errors import Invalid
from webapp.geometry_table.finding_sentences import finding_name, finding_remedy

STATES = ("unloaded", "sagged", "bottomed")


def geometry_answer(body: GeometryBody) -> dict[str, Any]:
    """Solve an ad-hoc frame and build.

    Parameters
    ----------
    body : GeometryBody

    Returns
    -------
    dict
        ``unloaded``, ``sagged``, ``bottomed`` (null where the fork has no such
        state or no sag is given), each a mapping of figure to value [mm, deg];
        ``closure`` of the drawing; ``units`` of every figure; ``intervals`` when
        tolerances were given; ``explanations`` and ``table_check`` when asked for.

    Raises
    ------
    GeometryError, Invalid
        With the request's field, the value and what would be right.
    """
    frame = drawn_frame(body)
    build = fitted_build(body, frame)
    states = _states(body, build)
    bikes = {name: _bike(body, build, state) if state else None for name, state in states.items()}
    found = {name: figures(bike) if bike else None for name, bike in bikes.items()}
    loop = closure(frame)
    answer: dict[str, Any] = {
        **found,
        "closure": {"axle": loop.axle, "head_angle": loop.head_angle},
        "units": {key: entry(key).unit for key in found["unloaded"] or {}},
    }
    if body.tolerances is not None:
        answer["intervals"] = {
            name: _half_widths(body, bike) if bike else None for name, bike in bikes.items()
        }
    if body.explain and bikes["unloaded"] is not None:
        explanations = explain_all(
            bikes["unloaded"], _tolerances(body) if body.tolerances else None
        )
        answer["explanations"] = {key: asdict(one) for key, one in explanations.items()}
        checked = check_table([DrawnSize(name="this", frame=frame)])
        answer["table_check"] = {
            "outcome": checked.outcome,
            "findings": [
                asdict(one) | {"name": finding_name(one), "remedy": finding_remedy(one)}
                for one in checked.findings
            ],
        }
    return answer


def _states(body: GeometryBody, build: Build) -> dict[str, State | None]:
    sag = body.fork.sag_fraction if body.fork else None
    springs = float(build.fork.travel) > 0
    tyres = {"front_deflection": body.front_deflection, "rear_deflection": body.rear_deflection}
    sagged = None
    if springs and sag is not None:
        pressed = State.sagged(build.fork, fraction=sag).fork_compression
        sagged = State(fork_compression=pressed, **tyres)
    elif not springs and any(tyres.values()):
        sagged = State(**tyres)  # on a rigid fork the rider's weight presses the tyres in alone
    return {
        "unloaded": State.unloaded(),
        "sagged": sagged,
        "bottomed": State(fork_compression=build.fork.travel, **tyres) if springs else None,
    }


def _bike(body: GeometryBody, build: Build, state: State) -> Bike:
    if body.standover_at is not None and body.top_tube is None:
        remedy = "give top_tube too: standover is the height over it"
        raise Invalid("standover_at", body.standover_at, remedy)
    ahead = body.standover_at
    if ahead is None and body.top_tube is not None:
        ahead = 0.0
    return Bike(
        build=build,
        state=state,
        cockpit=fitted_cockpit(body),
        seat=fitted_seat(body),
        standover_ahead=ahead,
    )


def _half_widths(body: GeometryBody, bike: Bike) -> dict[str, float]:
    return {
        key: float(found.half_width) for key, found in intervals(bike, _tolerances(body)).items()
    }


def _tolerances(body: GeometryBody) -> Tolerances:
    return {key: _tolerance(key, half_width) for key, half_width in (body.tolerances or {}).items()}


def _tolerance(key: str, half_width: float) -> Tolerance:
    with within(f"tolerances.{key}"):
        return Tolerance(half_width=half_width)
