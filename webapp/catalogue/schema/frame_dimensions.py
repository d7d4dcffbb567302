"""The drawn dimensions of a frame size, declared once.

The office's grid, the published table (page, CSV and JSON), the tolerances of a build
and the JSON interface take their lists, names and units from here. The data class with
its ranges is `webapp.catalogue.schema.frames.SizeData`; meaning and source of each
dimension stand in the glossary of `geometry`.
"""

from __future__ import annotations

from dataclasses import dataclass

from webapp.common.text.language import tr


@dataclass(frozen=True, kw_only=True)
class FrameDimension:
    """One dimension of the drawing.

    Parameters
    ----------
    key : str
        Its field of the size's data.
    name : str
        Its name in the published table.
    unit : str
        ``mm`` or ``°``.
    solved : bool
        Whether it decides how the bike stands.
    toleranced : bool
        Whether the builder states how far it may be off.
    """

    key: str
    name: str
    unit: str = "mm"
    solved: bool = True
    toleranced: bool = True


DIMENSIONS: tuple[FrameDimension, ...] = (
    FrameDimension(key="reach", name=tr("Reach")),
    FrameDimension(key="stack", name=tr("Stack")),
    FrameDimension(key="head_angle", name=tr("Head angle"), unit="°"),
    FrameDimension(key="head_tube_length", name=tr("Head tube")),
    FrameDimension(key="seat_tube_angle", name=tr("Seat tube angle"), unit="°"),
    FrameDimension(key="seat_tube_offset", name=tr("Seat tube offset")),
    FrameDimension(key="seat_tube_length", name=tr("Seat tube"), solved=False, toleranced=False),
    FrameDimension(key="chainstay_length", name=tr("Chainstay, axle forward")),
    FrameDimension(key="bb_drop", name=tr("BB drop, axle forward")),
    FrameDimension(key="slot_length", name=tr("Slot length"), toleranced=False),
    FrameDimension(key="slot_angle", name=tr("Slot angle"), unit="°"),
    FrameDimension(key="stem_length", name=tr("Stem drawn for"), solved=False, toleranced=False),
)
"""In the order in which the table lists them."""

SOLVED: tuple[str, ...] = tuple(each.key for each in DIMENSIONS if each.solved)
"""Dimensions that decide how the bike stands."""

TOLERANCED: tuple[str, ...] = tuple(each.key for each in DIMENSIONS if each.toleranced)
"""Dimensions whose tolerance enters the interval of a figure."""
