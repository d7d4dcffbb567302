"""Where the axle must be: the position at which the build's chain or belt closes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from geometry.checks import CODES
from geometry.drive import AxlePositions
from webapp.builds.fitting.calculations.drive import FIXED, closing_of, loop_of
from webapp.builds.fitting.calculations.setup import Setup

_LASTS = CODES.index("clear")


@dataclass(frozen=True, kw_only=True)
class AxlePosition:
    """One axle position in plain numbers; lengths in mm, as in `geometry.drive.axle_position`."""

    ring: int
    sprocket: int
    count: int
    new: float
    worn: float
    allowance: float
    left: float
    chainstay: float
    lasts: bool

    def position(self, setup: Setup) -> float:
        """The axle position as a build is set to it [mm]: a tenth, inside the slot."""
        length = setup.assembly.size.data.slot_length
        return min(round(self.new, 1), length)

    def is_at(self, slot: float) -> bool:
        """Whether the axle may sit at a position with this count: play is right there."""
        return self.new - self.allowance - FIXED <= slot <= self.new + FIXED


def axle_positions(axles: AxlePositions) -> tuple[AxlePosition, ...]:
    """Every position, in the order given."""
    names = ("ring", "sprocket", "pitches", "new", "worn", "allowance", "left", "chainstay", "code")
    columns = [np.atleast_1d(getattr(axles, name)).tolist() for name in names]
    return tuple(
        AxlePosition(
            ring=round(ring),
            sprocket=round(sprocket),
            count=round(pitches),
            new=new,
            worn=worn,
            allowance=allowance,
            left=left,
            chainstay=chainstay,
            lasts=code == _LASTS,
        )
        for ring, sprocket, pitches, new, worn, allowance, left, chainstay, code in zip(
            *columns, strict=True
        )
    )


def axle_positions_of(setup: Setup) -> tuple[AxlePosition, ...]:
    """Every count with which a build's own loop closes; empty with a derailleur."""
    loop = loop_of(setup)
    return () if loop is None or loop.tensioned else axle_positions(closing_of(setup, loop))


def nearest_to(slot: float, rows: Iterable[AxlePosition]) -> list[AxlePosition]:
    """The same rows, the nearest to an axle position [mm] first."""
    return sorted(rows, key=lambda row: abs(row.new - slot))


def axle_for(setup: Setup) -> float | None:
    """Where the axle must be moved to for chain or belt to close.

    Parameters
    ----------
    setup : Setup

    Returns
    -------
    float or None [mm]
        To a tenth of a millimetre, inside the slot; of several the nearest that
        takes up all wear. None when it may stay, or when nothing closes.
    """
    rows = nearest_to(setup.choice.slot, axle_positions_of(setup))
    if not rows or rows[0].is_at(setup.choice.slot):
        return None
    lasting = [row for row in rows if row.lasts]
    return (lasting or rows)[0].position(setup)
