"""`POST /api/v1/slot`: where the axle lands for a ring, a sprocket and a chain or belt.

Beside it the checks of one build of the catalogue, as its page tells them.
"""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated, Any, Literal

import numpy as np
from fastapi import APIRouter, Request
from pydantic import ConfigDict, Field
from sqlmodel import Session

from geometry.clearance import slot_of
from geometry.core import NoSolution, within
from geometry.drive import (
    CHAIN,
    WEAR_LIMIT,
    AxlePositions,
    Fitting,
    Slot,
    agreement,
    closing_positions,
    slot_check,
)
from webapp.api.request_bodies import Body, Number
from webapp.builds.assembly_notes import assembly_notes
from webapp.builds.choice.build_choice import address_of, read_choice
from webapp.builds.evaluation import compute
from webapp.builds.fitting.sentences import WordedCheck, worded
from webapp.builds.page.check_view import check_lists
from webapp.catalogue.reading.load import load_catalogue
from webapp.common.errors import (
    Invalid,
    Problem,
)
from webapp.common.query_strings import revision_in
from webapp.common.web.dependencies import PublicSession, query_of_request

router = APIRouter(prefix="/api/v1")

Teeth = Annotated[int, Field(ge=5, le=200)]
Count = Annotated[int, Field(ge=20, le=1000)]
MOST_COUNTS = 200


class SlotBody(Body):
    """An axle slot as drawn."""

    chainstay_length: Annotated[
        Number, Field(gt=0, le=2000, description="BB to axle at slot position 0 [mm]")
    ]
    bb_drop: Annotated[Number, Field(ge=-500, le=500, description="at slot position 0 [mm]")]
    slot_length: Annotated[
        Number, Field(ge=0, le=200, description="0 for an axle that does not slide [mm]")
    ] = 0.0
    slot_angle: Annotated[
        Number, Field(ge=-90, le=90, description="0 level, positive rises to the rear [degrees]")
    ] = 0.0


class LoopBody(Body):
    """Ring, sprocket, chain or belt, and the frame: its own slot, or a model and a size."""

    model_config = ConfigDict(
        extra="forbid",
        json_schema_extra={
            "examples": [
                {"ring": 32, "sprocket": 20, "model": "knapweed", "size": "m"},
                {
                    "ring": 44,
                    "sprocket": 24,
                    "drive": "belt",
                    "pitch": 9,
                    "sold": [126, 129, 132],
                    "slot": {"chainstay_length": 427, "bb_drop": 68, "slot_length": 24},
                },
            ]
        },
    )

    ring: Annotated[Teeth, Field(description="teeth of the ring")]
    sprocket: Annotated[Teeth, Field(description="teeth of the sprocket")]
    drive: Literal["chain", "belt"] = "chain"
    pitch: Annotated[
        Number | None, Field(ge=5, le=50, description="[mm]; a chain's 12.7 when left out")
    ] = None
    wear: Annotated[
        Number, Field(ge=0, le=0.05, description="lengthening at which a chain is replaced")
    ] = WEAR_LIMIT
    half_link: Annotated[bool, Field(description="odd counts too")] = False
    sold: Annotated[
        list[Count] | None,
        Field(max_length=MOST_COUNTS, description="counts to be had; a belt needs them"),
    ] = None
    slot_position: Annotated[
        Number | None, Field(ge=0, le=200, description="axle position to hold against it [mm]")
    ] = None
    slot: SlotBody | None = None
    model: Annotated[str | None, Field(max_length=60, description="the model's slug")] = None
    size: Annotated[str | None, Field(max_length=60, description="the size's slug")] = None


@router.post("/slot", summary="Where the axle lands for a ring, a sprocket, a chain or belt")
def slot(body: LoopBody, session: PublicSession) -> dict[str, Any]:
    """Every count that closes with the axle inside the slot.

    Lengths in millimetres. ``new`` is where the axle is set with a new chain, with its
    free play; ``worn`` the same at the wear limit; ``forward_at_most`` how far forward of
    ``new`` it may sit; ``lasts`` whether the slot takes up all wear.
    """
    frame, fitting = _slot(session, body), _fitting(body)
    terms: Any = {"fitting": fitting, "half_link": body.half_link, "sold": body.sold}
    try:
        axles = closing_positions(frame, ring=body.ring, sprocket=body.sprocket, **terms)
        check = slot_check(frame, ring=body.ring, sprocket=body.sprocket, **terms)
    except NoSolution as error:  # the centre distance of the loop is the request's chainstay
        raise Invalid.of([Problem.of(error, "slot.chainstay_length")]) from error
    answer = {
        "slot": {name: getattr(frame, name) for name in SlotBody.model_fields},
        "closes": _rows(axles, fitting),
        "check": _check(worded(check)),
    }
    if body.slot_position is not None:
        answer["agreement"] = _check(worded(agreement(body.slot_position, axles)))
    return answer


def _slot(session: Session, body: LoopBody) -> Slot:
    """The slot asked about.

    Raises
    ------
    Invalid
        Both a slot and a model, or neither.
    """
    if body.slot is not None and body.model is None and body.size is None:
        with within("slot"):
            return Slot(**body.slot.model_dump())
    if body.slot is not None:
        raise Invalid("slot", "beside a model or size", "give a slot, or a model and a size")
    if body.model is None or body.size is None:
        raise Invalid("slot", None, "give a slot, or a model and a size")
    return slot_of(load_catalogue(session, body.model).size(body.size).frame)


def _fitting(body: LoopBody) -> Fitting:
    """The chain or belt asked about.

    Raises
    ------
    Invalid
        A belt without its pitch or the counts it is sold in.
    """
    if body.drive == "chain":
        return Fitting(pitch=body.pitch or CHAIN.pitch, wear=body.wear)
    if body.pitch is None:
        raise Invalid("pitch", None, "give the belt's pitch in mm")
    if not body.sold:
        raise Invalid("sold", body.sold, "list the counts the belt is to be had in")
    return Fitting.belt(pitch=body.pitch)


def _rows(axles: AxlePositions, fitting: Fitting) -> list[dict[str, Any]]:
    names = {
        "count": "pitches", "new": "new", "worn": "worn", "left": "left",
        "forward_at_most": "allowance", "chainstay_length": "chainstay", "wear_room": "wear_room",
    }  # fmt: skip
    columns = {said: np.atleast_1d(getattr(axles, name)) for said, name in names.items()}
    codes = np.atleast_1d(axles.code)
    return [
        {
            **{said: float(column[at]) for said, column in columns.items()},
            "count": int(columns["count"][at]),
            "half_link": fitting.drive == "chain" and int(columns["count"][at]) % 2 == 1,
            "lasts": int(codes[at]) == 2,  # noqa: PLR2004  # as in AxlePositions.code
        }
        for at in np.argsort(columns["new"])
    ]


def _check(check: WordedCheck) -> dict[str, Any]:
    return {"outcome": check.outcome or "unknown", **{
        name: getattr(check, name)
        for name in ("figure", "limit", "margin", "unit", "reason", "remedy", "source")
    }}  # fmt: skip


@router.get("/models/{model}/checks", summary="Whether one build goes together")
def checks(model: str, request: Request, session: PublicSession) -> dict[str, Any]:
    """Every check of one build, as its page tells it, and its assembly notes.

    The build's fields are those of its address; what is left out is the builder's usual
    choice. Each check that is not clear names the builds in which it is.
    """
    query = query_of_request(request)
    catalogue = load_catalogue(session, model, revision_in(query))
    choice = read_choice(catalogue, query).strict()
    result = compute(catalogue, choice)
    lists = check_lists(result)
    return {
        "build": address_of(choice),
        "can_be_ordered": result.can_be_ordered,
        "checks": [asdict(each) for each in (*lists.failing, *lists.open, *lists.passing)],
        "assembly_notes": [asdict(note) for note in assembly_notes(result)],
    }
