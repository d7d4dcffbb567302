"""What `POST /api/v1/geometry` takes: a frame of any catalogue or none, and what is fitted."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

from pydantic import ConfigDict, Field

from geometry.bike import (
    Build,
    Cockpit,
    DrawnWith,
    Fork,
    Frame,
    Handlebar,
    Seat,
    Stem,
    TopTube,
    radius,
    read_marking,
)
from geometry.core import within
from geometry.glossary import GLOSSARY, entry
from webapp.api.request_bodies import Body, Number
from webapp.catalogue.schema.frame_dimensions import FrameDimension, with_numbers
from webapp.catalogue.schema.frames import DIMENSIONS, SOLVED
from webapp.common.errors import Invalid


def mm(what: str, default: Any = ...) -> Any:
    """A length in millimetres, described."""
    return Field(default, description=f"{what} [mm]", allow_inf_nan=False)


def deg(what: str, default: Any = ...) -> Any:
    """An angle in degrees, described."""
    return Field(default, description=f"{what} [degrees]", allow_inf_nan=False)


Measured = Literal["along", "straight"]


class DrawnWithBody(Body):
    """The fork, headset and wheels the frame is drawn with."""

    axle_to_crown: float = mm("axle-to-crown of the drawn fork")
    axle_to_crown_measured: Measured = "along"
    offset: float = mm("offset of the drawn fork")
    lower_headset_stack: float = mm("headset below the head tube", 0.0)
    front_radius: float = mm("front wheel radius of the drawing")
    rear_radius: float = mm("rear wheel radius of the drawing")
    slot_position: float = mm("axle position of the drawing", 0.0)


class ForkBody(Body):
    """The fork fitted."""

    axle_to_crown: float = mm("axle-to-crown, unloaded")
    axle_to_crown_measured: Measured = "along"
    offset: float = mm("offset of the axle ahead of the steering axis")
    travel: float = mm("travel; 0 for a rigid fork", 0.0)
    sag_fraction: float | None = Field(
        None,
        ge=0,
        le=1,
        description="share of the travel used at rest; without it, no sagged state",
    )


class TopTubeBody(Body):
    """The top tube, for standover."""

    below_head_tube_top: float = mm("head tube's top down its axis to the centreline")
    along_seat_tube: float = mm("BB up the seat tube's axis to the centreline")
    diameter: float = mm("outside diameter")


class StemBody(Body):
    """A stem."""

    length: float = mm("steerer's centre to bar's centre")
    angle: float = deg("from square to the steering axis, positive rises", 0.0)
    clamp_height: float = mm("height of the clamp on the steerer", 40.0)


class HandlebarBody(Body):
    """A handlebar."""

    width: float = mm("over both ends")
    rise: float = mm("rise", 0.0)
    backsweep: float = deg("backsweep", 0.0)
    upsweep: float = deg("upsweep", 0.0)
    sweep_start: float = mm("where the sweep starts, out from the middle", 60.0)
    grip_from_end: float = mm("grip centre in from the bar's end", 65.0)
    forward: float = mm("throw of the bar ahead of its clamp", 0.0)
    roll: float = deg("turn of the bar in the stem", 0.0)


class CockpitBody(Body):
    """What sits on top of the head tube."""

    stem: StemBody
    handlebar: HandlebarBody
    upper_headset_stack: float = mm("headset above the head tube", 0.0)
    spacers: float = mm("under the stem", 0.0)


class SaddleBody(Body):
    """How the saddle is set."""

    height: float = mm("BB centre to saddle top, straight")
    post_offset: float = mm("setback of the post", 0.0)
    rail_position: float = mm("forward (+) or back (−) on the rails", 0.0)
    saddle_stack: float = mm("rails to saddle top", 45.0)


def _drawn(dimension: FrameDimension) -> tuple[Any, Any]:
    """A dimension as a request gives it, described as in the glossary."""
    what = entry(f"frame.{dimension.key}").definition.removesuffix(".")
    described = deg if dimension.unit == "°" else mm
    if dimension not in SOLVED:
        return float | None, described(f"{what}; decides no standing figure", None)
    return float, described(what, ... if dimension.default is None else dimension.default)


OF_A_FRAME = tuple(each for each in DIMENSIONS if f"frame.{each.key}" in GLOSSARY)
"""The drawn dimensions that a frame of the solver has."""

if TYPE_CHECKING:
    _DrawnNumbers = Body
else:
    _DrawnNumbers = with_numbers("_DrawnNumbers", Body, OF_A_FRAME, _drawn)


class GeometryBody(_DrawnNumbers):
    """A frame as drawn, with what is fitted; what is left out is as drawn."""

    model_config = ConfigDict(
        extra="forbid",
        json_schema_extra={
            "examples": [
                {
                    "reach": 470,
                    "stack": 643,
                    "head_angle": 68.0,
                    "head_tube_length": 110,
                    "seat_tube_angle": 75,
                    "seat_tube_length": 430,
                    "chainstay_length": 430,
                    "bb_drop": 66,
                    "slot_length": 16,
                    "slot_angle": 2,
                    "drawn_with": {
                        "axle_to_crown": 520,
                        "offset": 48,
                        "lower_headset_stack": 12,
                        "front_radius": 370,
                        "rear_radius": 370,
                    },
                    "fork": {
                        "axle_to_crown": 540,
                        "offset": 48,
                        "travel": 145,
                        "sag_fraction": 0.25,
                    },
                    "front_tyre": "69-622",
                    "rear_tyre": "69-622",
                    "slot_position": 8,
                }
            ]
        },
    )

    top_tube: TopTubeBody | None = None
    drawn_with: DrawnWithBody
    fork: ForkBody | None = None
    lower_headset_stack: float | None = mm("of the headset fitted", None)
    front_radius: float | None = mm("front wheel radius over the tyre", None)
    front_tyre: str | None = Field(None, description="instead of front_radius, as in 64-622")
    rear_radius: float | None = mm("rear wheel radius over the tyre", None)
    rear_tyre: str | None = Field(None, description="instead of rear_radius, as in 64-622")
    slot_position: float | None = mm("rear axle from the slot's front end", None)
    front_deflection: float = mm(
        "front tyre pressed in, when sagged or bottomed; on a rigid fork, sagged", 0.0
    )
    rear_deflection: float = mm(
        "rear tyre pressed in, when sagged or bottomed; on a rigid fork, sagged", 0.0
    )
    cockpit: CockpitBody | None = None
    saddle: SaddleBody | None = None
    standover_at: float | None = mm("where standover is measured, ahead of the BB", None)
    tolerances: dict[str, Number] | None = Field(
        None,
        max_length=60,
        description="± of inputs, about 95 in 100, by glossary key such as frame.head_angle",
    )
    explain: bool = Field(
        False, description="also tell how every unloaded figure comes about, and check the drawing"
    )


def _without(body: Body, *names: str) -> dict[str, Any]:
    return body.model_dump(exclude=set(names))


def drawn_frame(body: GeometryBody) -> Frame:
    """The frame of a request, checked by the solver's own inputs.

    Raises
    ------
    GeometryError
        With the request's field.
    """
    drawn = body.drawn_with
    with within("drawn_with"):
        fork = Fork(
            axle_to_crown=drawn.axle_to_crown,
            offset=drawn.offset,
            axle_to_crown_measured=drawn.axle_to_crown_measured,
        )
        drawn_with = DrawnWith(
            fork=fork, **_without(drawn, "axle_to_crown", "offset", "axle_to_crown_measured")
        )
    with within("top_tube"):
        top_tube = TopTube(**body.top_tube.model_dump()) if body.top_tube else None
    numbers = {each.key: getattr(body, each.key) for each in OF_A_FRAME}
    # No standing figure depends on where the seat tube ends, so a request may leave it out.
    if numbers["seat_tube_length"] is None:
        numbers["seat_tube_length"] = numbers["chainstay_length"]
    return Frame(
        **numbers,
        drawn_with=drawn_with,
        top_tube=top_tube,
    )


def fitted_build(body: GeometryBody, frame: Frame) -> Build:
    """The frame of a request with what is fitted; what is left out is as drawn.

    Raises
    ------
    GeometryError, Invalid
        With the request's field.
    """
    drawn = frame.drawn_with
    with within("fork"):
        fork = Fork(**_without(body.fork, "sag_fraction")) if body.fork else drawn.fork
    stack, slot = body.lower_headset_stack, body.slot_position
    return Build(
        frame=frame,
        fork=fork,
        lower_headset_stack=drawn.lower_headset_stack if stack is None else stack,
        front_radius=_radius(body, "front", float(drawn.front_radius)),
        rear_radius=_radius(body, "rear", float(drawn.rear_radius)),
        slot_position=drawn.slot_position if slot is None else slot,
    )


def _radius(body: GeometryBody, end: str, drawn: float) -> float:
    given: float | None = getattr(body, f"{end}_radius")
    tyre: str | None = getattr(body, f"{end}_tyre")
    if given is not None and tyre is not None:
        raise Invalid(f"{end}_tyre", tyre, f"give {end}_radius or {end}_tyre, not both")
    if tyre is not None:
        with within(f"{end}_tyre"):
            width, diameter = read_marking(tyre)
            return radius(nominal_width=width, bead_seat_diameter=diameter)
    return drawn if given is None else given


def fitted_cockpit(body: GeometryBody) -> Cockpit | None:
    """The cockpit of a request, if it has one."""
    if body.cockpit is None:
        return None
    with within("cockpit.stem"):
        stem = Stem(**body.cockpit.stem.model_dump())
    with within("cockpit.handlebar"):
        handlebar = Handlebar(**body.cockpit.handlebar.model_dump())
    with within("cockpit"):
        return Cockpit(
            stem=stem, handlebar=handlebar, **_without(body.cockpit, "stem", "handlebar")
        )


def fitted_seat(body: GeometryBody) -> Seat | None:
    """The saddle of a request, if it has one."""
    if body.saddle is None:
        return None
    with within("saddle"):
        return Seat(**body.saddle.model_dump())
