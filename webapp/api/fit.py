"""`POST /api/v1/fit`: what a rider knows, and the sizes that suit, each with its chance."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, Any, Literal

from fastapi import APIRouter
from pydantic import Field

from geometry.sizing import Reason
from webapp.api.request_bodies import Body, Number
from webapp.builds.choice.build_choice import address_of, pairs_of, read_choice
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Invalid, Problem
from webapp.common.web.dependencies import PublicSession
from webapp.fit.advice import FitAnswer, SaddleAdvice, SizeFit, fit
from webapp.fit.advice_text import cautions
from webapp.rider.rider_input import Rider, read_rider

router = APIRouter(prefix="/api/v1")

MOST_FIELDS = 60


class FitBody(Body):
    """What a rider knows; lengths in millimetres, barefoot, weight in kilograms."""

    model: Annotated[str, Field(max_length=60, description="the frame model's slug")]
    stature: Annotated[Number | None, Field(description="stature [mm]")] = None
    stature_by: Annotated[
        Literal["memory", "wall"],
        Field(description="from memory, which flatters, or measured against a wall"),
    ] = "memory"
    inseam: Annotated[Number | None, Field(description="inseam, floor to crotch [mm]")] = None
    arm_span: Annotated[Number | None, Field(description="arm span, tip to tip [mm]")] = None
    weight: Annotated[Number | None, Field(description="weight [kg]")] = None
    sex: Annotated[
        Literal["man", "woman"] | None, Field(description="sharpens what is not measured")
    ] = None
    style: Annotated[str | None, Field(max_length=60, description="riding style's slug")] = None
    build: dict[str, str | float] = Field(
        default_factory=dict,
        max_length=MOST_FIELDS,
        description="fields of a build's address to fit on, such as fork, rims, tyres, slot",
    )


@router.post("/fit", summary="Which size suits a rider, and how sure that is")
def fit_rider(body: FitBody, session: PublicSession) -> dict[str, Any]:
    """Rank the sizes of a model for one rider; nothing sent is kept.

    The chances are counted over bodies that agree with what was given; the same
    input gives the same answer. Fit advice is not medical advice.
    """
    catalogue = load_catalogue(session, body.model)
    rider = _rider(catalogue, body)
    choice = read_choice(catalogue, _build(body.build)).strict()
    return fit_answer(catalogue, fit(catalogue, rider, choice))


def _rider(catalogue: Catalogue, body: FitBody) -> Rider:
    """The rider of a body, through the same reading and limits as a page's query.

    Raises
    ------
    Invalid
        With each field named as in the body.
    """
    given = {"stature": "mm", "inseam": "mm", "arm_span": "mm", "weight": "kg"}
    query: dict[str, list[str]] = {
        _QUERY_NAME.get(name, name): [f"{getattr(body, name):.6f} {unit}"]
        for name, unit in given.items()
        if getattr(body, name) is not None
    }
    query |= {"stature_by": [body.stature_by], "sex": [body.sex or ""], "style": [body.style or ""]}
    read = read_rider(catalogue, query)
    if read.problems:
        raise Invalid.of(_as_sent(problem, body) for problem in read.problems)
    return read.rider


_QUERY_NAME = {"arm_span": "span"}
_BODY_NAME = {query: body for body, query in _QUERY_NAME.items()}


def _as_sent(problem: Problem, body: FitBody) -> Problem:
    name = _BODY_NAME.get(problem.field, problem.field)
    return Problem(name, getattr(body, name), problem.remedy)


def _build(fields: Mapping[str, str | float]) -> dict[str, list[str]]:
    """A partial build as the query of its address."""
    return {
        name: [value if isinstance(value, str) else f"{value:g}"] for name, value in fields.items()
    }


def fit_answer(catalogue: Catalogue, answer: FitAnswer) -> dict[str, Any]:
    """A fit as data: chances from 0 to 1, lengths [mm], angles [deg].

    Parameters
    ----------
    catalogue : Catalogue
    answer : FitAnswer

    Returns
    -------
    dict
    """
    return {
        "model": catalogue.model.slug,
        "revision": catalogue.revision.number,
        "style": answer.style.slug,
        "verdict": answer.verdict,
        "leading": [size.slug for size in answer.leading],
        "summary": answer.summary,
        "none_of_these": answer.none,
        "sizes": [_size(size) for size in answer.sizes],
        "differences": [_reason(reason) for reason in answer.differences],
        "saddle_height": _saddle(answer.saddle),
        "next_measurement": [
            {
                "measurement": _NAMES[each.landmark],
                "right_once_known": each.probability,
                "gain": each.gain,
            }
            for each in answer.measure_next
        ],
        "cautions": [*cautions(answer), catalogue.settings.fit_notice],
    }


_NAMES = {
    "stature": "stature",
    "crotch_height": "inseam",
    "span": "arm_span",
    "weight": "weight",
}


def _size(size: SizeFit) -> dict[str, Any]:
    return {
        "size": size.slug,
        "name": size.name,
        "best": size.best,
        "acceptable": size.acceptable,
        "reasons": _reasons(size.reasons),
        "saddle_height": size.saddle_height,
        "cockpit": {
            "stem": size.fitting.stem.slug,
            "spacers": size.fitting.spacers,
            "handlebar": size.fitting.handlebar.slug,
            "post": size.post.slug,
        },
        "posture": dict(size.figures.posture),
        "straddle_room": size.figures.straddle_room,
        "build": {name: value for name, value in pairs_of(size.choice) if name != "extra"},
        "address": address_of(size.choice),
    }


def _reasons(reasons: Sequence[Reason]) -> list[dict[str, Any]]:
    return [_reason(reason) for reason in reasons]


def _reason(reason: Reason) -> dict[str, Any]:
    return {
        "about": reason.code,
        "text": reason.text,
        "value": reason.value,
        "unit": "deg" if reason.unit == "°" else reason.unit,
        "outcome": reason.outcome,
    }


def _saddle(saddle: SaddleAdvice | None) -> dict[str, Any] | None:
    if saddle is None:
        return None
    return {
        "size": saddle.size,
        "height": saddle.height,
        "spread": saddle.spread,
        "crank_length": saddle.crank_length,
        "inseam": saddle.inseam,
        "inseam_spread": saddle.inseam_spread,
        "hamley_thomas": float(saddle.rules.hamley_thomas),
        "inseam_share": float(saddle.rules.inseam_share),
        "gatti": float(saddle.rules.gatti),
    }
