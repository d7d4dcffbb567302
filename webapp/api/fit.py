"""`POST /api/v1/fit`: what a rider knows, and the sizes that suit, each with its chance."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from functools import partial
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
from webapp.fit.advice import every_model, fit
from webapp.fit.answer import FitAnswer, SizeFit
from webapp.fit.changes import Change
from webapp.fit.other_ways import Way
from webapp.fit.saddle import SaddleAdvice
from webapp.fit.words.advice_text import (
    change_words,
    headline,
    reason_words,
    way_words,
    which,
)
from webapp.fit.words.difference_text import differences
from webapp.fit.words.doubt_text import cautions
from webapp.rider.rider_input import Rider, read_rider

router = APIRouter(prefix="/api/v1")

MOST_FIELDS = 60


class FitBody(Body):
    """What a rider knows; lengths in millimetres, barefoot, weight in kilograms."""

    model: Annotated[str, Field(max_length=60, description="the frame model's slug")]
    stature: Annotated[Number | None, Field(description="height [mm]")] = None
    stature_by: Annotated[
        Literal["memory", "wall"],
        Field(description="from memory, which flatters, or measured against a wall"),
    ] = "memory"
    inseam: Annotated[Number | None, Field(description="inseam, as `inseam_by` says [mm]")] = None
    inseam_by: Annotated[
        Literal["floor", "trousers"],
        Field(description="measured from floor to crotch, or the shorter one trousers are sold by"),
    ] = "floor"
    arm_span: Annotated[Number | None, Field(description="arm span, tip to tip [mm]")] = None
    weight: Annotated[Number | None, Field(description="weight [kg]")] = None
    sex: Annotated[
        Literal["man", "woman"] | None, Field(description="sharpens what is not measured")
    ] = None
    style: Annotated[str | None, Field(max_length=60, description="riding style's slug")] = None
    taste: Annotated[
        Literal["much-shorter", "shorter", "", "longer", "much-longer"],
        Field(description="shorter and livelier, or longer and steadier, than usual"),
    ] = ""
    flexibility: Annotated[
        str | None, Field(max_length=60, description="slug of one of the shop's answers")
    ] = None
    discomfort: Annotated[
        str | None, Field(max_length=60, description="slug of one of the shop's answers")
    ] = None
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
    others = partial(every_model, session)
    return fit_answer(catalogue, fit(catalogue, rider, choice, others=others))


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
    said = ("stature_by", "inseam_by", "sex", "style", "taste", "flexibility", "discomfort")
    query |= {name: [getattr(body, name) or ""] for name in said}
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
        ``sizes`` the likeliest first.
    """
    ranked = sorted(answer.sizes, key=lambda size: -size.best)
    return {
        "model": catalogue.model.slug,
        "revision": catalogue.revision.number,
        "style": answer.style.slug,
        "verdict": answer.verdict,
        "leading": [size.slug for size in answer.leading],
        "named": answer.named.slug if answer.named else None,
        "by_chart": answer.by_chart or None,
        "summary": headline(answer),
        "which": list(which(answer)),
        "none_of_these": answer.none,
        "spreads": asdict(answer.spreads) if answer.spreads else None,
        "sizes": [_size(size) for size in ranked],
        "differences": [
            {"about": code, "text": text, "value": value, "unit": _unit(unit), "outcome": "clear"}
            for code, text, value, unit in differences(answer)
        ],
        "saddle_height": _saddle(answer.saddle),
        "next_measurement": [
            {
                "measurement": _NAMES[each.landmark],
                "right_once_known": each.probability,
                "gain": each.gain,
            }
            for each in answer.measure_next
        ],
        "help": [_way(way) for way in answer.help],
        "cautions": [*cautions(answer), catalogue.settings.fit_notice],
    }


_NAMES = {
    "stature": "stature",
    "crotch_height": "inseam",
    "span": "arm_span",
    "weight": "weight",
}


def _size(size: SizeFit) -> dict[str, Any]:
    room = size.reason("straddle_room")
    return {
        "size": size.slug,
        "name": size.name,
        "fits": size.fits,
        "fits_chance": size.sized.fits_chance,
        "best": size.best,
        "acceptable": size.sized.possible_chance,
        "too_long": size.too_long,
        "reasons": [_reason(reason, size.name) for reason in size.sized.reasons],
        "changes": [_change(change) for change in size.changes],
        "help": [_way(way) for way in size.help],
        "saddle_height": size.saddle_height,
        "cockpit": {
            "stem": size.fitting.stem.slug,
            "spacers": size.fitting.spacers,
            "handlebar": size.fitting.handlebar.slug,
            "post": size.post.post.slug,
        },
        "posture": dict(size.posture),
        "straddle_room": room.value if room else None,
        "build": {name: value for name, value in pairs_of(size.choice) if name != "extra"},
        "address": address_of(size.choice),
    }


def _reason(reason: Reason, size: str) -> dict[str, Any]:
    return {
        "about": reason.code,
        "text": reason_words(reason, size),
        "value": reason.value,
        "unit": "mm",
        "outcome": reason.outcome,
    }


def _change(change: Change) -> dict[str, Any]:
    """One change from how a size is sold; its price is what it costs more, in minor units."""
    return {
        "place": change.place,
        "part": change.part.slug if change.part else None,
        "spacers": None if change.part else change.spacers,
        "text": change_words(change),
        "price": {"minor": change.price.minor, "currency": change.price.currency}
        if change.price
        else None,
    }


def _way(way: Way) -> dict[str, Any]:
    return {
        "change": way.kind,
        "name": way.name,
        "sizes": list(way.sizes),
        "text": way_words(way),
        "address": way.address,
    }


def _unit(unit: str) -> str:
    return "deg" if unit == "°" else unit


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
