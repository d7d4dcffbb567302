"""Which other parts surely leave pedals and toes enough room: of all at once, without words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from geometry.bike import Standing
from geometry.clearance import (
    TOE_US,
    Pedal,
    Wheel,
    pedal_ground_clearance,
    toe_clearance_least,
    wheels_of,
)
from geometry.core import Num
from webapp.builds.fitting.calculations.feet import guarded, mudguards_of, pedal_of
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.calculations.tyres import width_of
from webapp.builds.solving.options_at_once import Change, stand_each
from webapp.builds.solving.solver_inputs import data_in, tyre_radius
from webapp.catalogue.schema.part_kinds import PedalData, TyreData

_ROUNDING = 1e-6  # numbers in arrays and alone differ by less [mm]


def surely_clear(setup: Setup, changes: Sequence[Change], changed: Sequence[Setup]) -> list[bool]:
    """Whether a build with each of some other parts surely stands and fails nothing of the feet.

    Parameters
    ----------
    setup : Setup
        The build.
    changes : sequence of (place, part)
        Each a build of its own.
    changed : sequence of Setup
        Those builds; how they stand is not asked of them.

    Returns
    -------
    list of bool
        False for those of which only `failing_feet` can tell.

    Raises
    ------
    GeometryError
        When one of the builds cannot stand.
    """
    if not changes:
        return []
    own, asked = setup.assembly, tuple(changes)
    name = ("surely clear", setup.choice.scope, setup.choice.sag, *[place for place, _ in asked])
    read = (own.build, *map(own.parts.get, _READ), *mudguards_of(setup))
    return own.memory.of_very(
        name, (*read, *[part for _, part in asked]), lambda: _surely_clear(setup, asked, changed)
    )


_READ = ("crank", "pedal", "rim_front", "rim_rear")
"""Places read beside fork, headset and tyres, which have a build of their own."""


def _surely_clear(setup: Setup, changes: Sequence[Change], changed: Sequence[Setup]) -> list[bool]:
    standing = stand_each(setup.assembly, setup.choice, changes)
    if setup.choice.scope != "bike":
        return [True] * len(changes)
    now = _numbers(setup)
    found = [
        now if place in _NO_NUMBERS else _numbers(each)
        for (place, _), each in zip(changes, changed, strict=True)
    ]
    known = [each for each in found if each is not None]
    if len(known) < len(found):  # a build without pedals, and that with each of the pedals
        return [each is None for each in found]
    columns = np.array(known).T
    twice = _Numbers(*np.concatenate((columns, columns), axis=1))
    tyre = twice.front_radius, twice.front_width
    steered = [tyre, *(guarded(each, *tyre) for each in mudguards_of(setup))]
    pedal = twice.pedal
    sure = _over_ground(standing, twice, pedal)
    for radius, width in steered:
        clear = _toes(standing, radius, width, pedal=pedal)
        sure &= np.asarray(clear > twice.least_toe + _ROUNDING)
    both: list[bool] = np.all(sure.reshape(2, len(changes)), axis=0).tolist()
    return both


class _Numbers(NamedTuple):
    """What pedals and toes of a build follow from, beside how it stands [mm]."""

    crank_length: Num
    centre: Num
    outer: Num
    length: Num
    thickness: Num
    rear_width: Num
    front_width: Num
    front_radius: Num
    least_toe: Num

    @property
    def pedal(self) -> Pedal:
        """The pedals as arrays."""
        return Pedal(
            crank_length=self.crank_length,
            centre=self.centre,
            outer=self.outer,
            length=self.length,
            thickness=self.thickness,
        )


_NO_NUMBERS = frozenset({"fork", "headset"})
"""Places whose part alters only how a build stands."""


def _numbers(setup: Setup) -> _Numbers | None:
    """The numbers of one build; None without pedals."""
    pedal, data = pedal_of(setup), setup.data("pedal", PedalData)
    if pedal is None or data is None:
        return None
    return _Numbers(
        crank_length=pedal.crank_length,
        centre=pedal.centre,
        outer=pedal.outer,
        length=pedal.length,
        thickness=pedal.thickness,
        rear_width=width_of(setup, "rear"),
        front_width=width_of(setup, "front"),
        front_radius=tyre_radius(data_in(setup.assembly.parts, "tyre_front", TyreData)),
        least_toe=0.0 if data.holds_foot else TOE_US,
    )


def _over_ground(standing: Standing, numbers: _Numbers, pedal: Pedal) -> NDArray[np.bool_]:
    """Whether the pedals surely clear the ground, leaning."""
    rear, front = wheels_of(
        standing, rear_width=numbers.rear_width, front_width=numbers.front_width
    )
    return np.asarray(pedal_ground_clearance(rear=rear, front=front, pedal=pedal) > _ROUNDING)


def _toes(standing: Standing, radius: Num, width: Num, *, pedal: Pedal) -> Num:
    """How far what is steered surely stays away from the toes [mm]."""
    x, y = standing.front_axle
    axis_x, axis_y = standing.head_tube_top
    return toe_clearance_least(
        wheel=Wheel(x=x, y=y, radius=radius, width=width),
        head_angle=standing.head_angle,
        axis_x=axis_x,
        axis_y=axis_y,
        pedal=pedal,
    )
