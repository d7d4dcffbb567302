"""How a build stands with each of many other parts, all at once."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from geometry.bike import Build, Fork, Standing, State, stand
from geometry.core import Num
from webapp.builds.choice.build_choice import BuildChoice
from webapp.builds.solving.solver_inputs import SAGGED, Assembly, sag_percent, tyre_radius
from webapp.catalogue.reading.frame_inputs import fork_of
from webapp.catalogue.reading.views import AnyPart
from webapp.catalogue.schema.part_kinds import ForkData, HeadsetData, TyreData

Change = tuple[str, AnyPart]
"""A place, and the part that would sit there."""


class _Row(NamedTuple):
    """The numbers in which builds of one frame and axle position differ [mm]."""

    along: Num
    offset: Num
    travel: Num
    used: Num
    lower_stack: Num
    front_radius: Num
    rear_radius: Num
    front_pressed: Num
    rear_pressed: Num


def stand_each(assembly: Assembly, choice: BuildChoice, changes: Sequence[Change]) -> Standing:
    """A build on the ground with each of some other parts, one at a time.

    Parameters
    ----------
    assembly, choice
        The build.
    changes : sequence of (place, part)

    Returns
    -------
    Standing
        Arrays of shape (2n,): all of them unloaded, then all of them sagged.

    Raises
    ------
    GeometryError
        When one of them cannot stand; which one, tells `assemble` of that build.
    """
    now = _row(assembly)
    columns = np.array([_changed(now, choice, change) for change in changes]).T
    twice = _Row(*np.concatenate((columns, columns), axis=1))
    in_use = np.repeat([0.0, 1.0], len(changes))
    build = Build(
        frame=assembly.build.frame,
        fork=Fork(axle_to_crown=twice.along, offset=twice.offset, travel=twice.travel),
        lower_headset_stack=twice.lower_stack,
        front_radius=twice.front_radius,
        rear_radius=twice.rear_radius,
        slot_position=assembly.build.slot_position,
    )
    state = State(
        fork_compression=in_use * twice.used,
        front_deflection=in_use * twice.front_pressed,
        rear_deflection=in_use * twice.rear_pressed,
    )
    return stand(build, state)


def _row(assembly: Assembly) -> _Row:
    build, state = assembly.build, assembly.states[SAGGED]
    return _Row(
        along=float(build.fork.along),
        offset=float(build.fork.offset),
        travel=float(build.fork.travel),
        used=float(state.fork_compression),
        lower_stack=float(build.lower_headset_stack),
        front_radius=float(build.front_radius),
        rear_radius=float(build.rear_radius),
        front_pressed=float(state.front_deflection),
        rear_pressed=float(state.rear_deflection),
    )


def _changed(now: _Row, choice: BuildChoice, change: Change) -> _Row:
    place, part = change
    data = part.data
    if isinstance(data, ForkData):
        fork = fork_of(data)
        used = sag_percent(choice, data) / 100 * data.travel
        return now._replace(
            along=float(fork.along), offset=data.offset, travel=data.travel, used=used
        )
    if isinstance(data, HeadsetData):
        return now._replace(lower_stack=data.lower_stack)
    if isinstance(data, TyreData):
        end = place.removeprefix("tyre_")
        sizes = {f"{end}_radius": tyre_radius(data), f"{end}_pressed": data.pressed_in}
        return now._replace(**sizes)
    return now
