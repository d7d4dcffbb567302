"""How far each number of a build may be off: the builder's and the part makers' data."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from geometry.uncertainty import Interval, Tolerance, Tolerances, intervals
from webapp.builds.solving.figures import StateFigures
from webapp.builds.solving.solver_inputs import Assembly, data_in
from webapp.catalogue.schema.frames import DIMENSIONS
from webapp.catalogue.schema.frames import Tolerances as FrameTolerances
from webapp.catalogue.schema.part_kinds import ForkData, TyreData
from webapp.catalogue.schema.wheel_parts import ForkTolerance
from webapp.common.memory import Same

_OF_PARTS: Mapping[str, str] = {
    "top_tube.below_head_tube_top": "top_tube",
    "top_tube.along_seat_tube": "top_tube",
    "stem.length": "stem_length",
    "stem.angle": "stem_angle",
    "handlebar.rise": "handlebar",
    "handlebar.forward": "handlebar",
    "cockpit.spacers": "spacers",
}
"""Inputs whose tolerance the builder states for all sizes and parts alike."""


def tolerances_of(frame: FrameTolerances, assembly: Assembly) -> Tolerances:
    """Tolerances of everything that decides how a build stands.

    Parameters
    ----------
    frame : FrameTolerances
        As the builder states them for the revision; each ±, about 95 in 100.
    assembly : Assembly
        Its fork and tyres carry their own.

    Returns
    -------
    mapping of glossary key to Tolerance
    """
    fork = data_in(assembly.parts, "fork", ForkData)
    tyres = tuple(
        data_in(assembly.parts, place, TyreData).measured_radius is not None
        for place in ("tyre_front", "tyre_rear")
    )
    slides = bool(assembly.size.data.slot_length)
    return assembly.memory.of(
        ("tolerances", Same(frame), Same(fork), tyres, slides),
        lambda: MappingProxyType(_stated(frame, fork.tolerance, tyres, slides=slides)),
    )


def _stated(
    frame: FrameTolerances, fork: ForkTolerance, tyres: tuple[bool, ...], *, slides: bool
) -> dict[str, Tolerance]:
    """The tolerances, of tyres whose radius is measured or not, and an axle that slides or not."""
    front, rear = (
        frame.wheel_radius_measured if known else frame.wheel_radius_nominal for known in tyres
    )
    made: dict[str, float] = {
        **{f"frame.{d.key}": getattr(frame, d.key) for d in DIMENSIONS if d.drawn.toleranced},
        "fork.axle_to_crown": fork.axle_to_crown,
        "fork.offset": fork.offset,
        "build.front_radius": front,
        "build.rear_radius": rear,
    }
    made |= {key: getattr(frame, name) for key, name in _OF_PARTS.items()}
    set_to = {"seat.height": frame.saddle_height}
    if slides:  # a fixed axle is not set, and cannot be set wrong
        set_to["build.slot_position"] = frame.slot_position
    return {
        **{key: Tolerance(half_width=width, kind="made") for key, width in made.items()},
        **{key: Tolerance(half_width=width, kind="measured") for key, width in set_to.items()},
    }


def intervals_of(
    frame: FrameTolerances, assembly: Assembly, found: StateFigures
) -> Mapping[str, Interval]:
    """Every figure of a build in one state with its interval.

    Parameters
    ----------
    frame : FrameTolerances
        As the builder states them for the revision.
    assembly : Assembly
    found : StateFigures
        The state.

    Returns
    -------
    mapping of glossary key to Interval
        Lengths [mm], angles [deg]; ± is about 95 in 100.
    """
    return intervals(found.bike, tolerances_of(frame, assembly))
