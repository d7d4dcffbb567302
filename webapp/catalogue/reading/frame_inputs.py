"""From catalogue data to what the solver takes."""

from __future__ import annotations

from geometry.bike import DrawnWith, Fork, Frame, TopTube
from webapp.catalogue.schema.frames import DrawnWithData, SizeData
from webapp.catalogue.schema.part_kinds import ForkData


def frame_of(size: SizeData, drawn_with: DrawnWithData) -> Frame:
    """One size as the solver takes it.

    Parameters
    ----------
    size : SizeData
        The size's numbers.
    drawn_with : DrawnWithData
        What the revision was drawn with; the size's own, when it has one, wins.

    Returns
    -------
    geometry.bike.parts.Frame

    Raises
    ------
    geometry.core.errors.GeometryError
        When the numbers cannot belong to one frame.
    """
    numbers = size.model_dump(exclude=_NOT_SOLVED)
    return Frame(
        **numbers,
        top_tube=TopTube(**size.top_tube.model_dump()),
        drawn_with=_drawn(size.drawn_with or drawn_with),
    )


_NOT_SOLVED = {
    "top_tube", "post", "bottle_mounts", "stem_length", "riders", "as_sold", "mass", "drawn_with",
    "stated",
}  # fmt: skip


def fork_of(data: ForkData) -> Fork:
    """A catalogue fork as the solver takes it.

    >>> fork_of(ForkData.model_validate({
    ...     "axle_to_crown": 480, "axle_to_crown_measured": "along", "offset": 47,
    ...     "steerer": "tapered", "steerer_clamp_diameter": 28.6, "axle": "15x110",
    ...     "tyres": [{"bead_seat_diameter": 622, "widest": 70}]})).offset
    47.0
    """
    return Fork(
        axle_to_crown=data.axle_to_crown,
        offset=data.offset,
        travel=data.travel,
        axle_to_crown_measured=data.axle_to_crown_measured,
    )


def _drawn(drawn: DrawnWithData) -> DrawnWith:
    return DrawnWith(
        fork=Fork(
            axle_to_crown=drawn.axle_to_crown,
            offset=drawn.offset,
            travel=drawn.travel,
            axle_to_crown_measured=drawn.axle_to_crown_measured,
        ),
        lower_headset_stack=drawn.lower_headset_stack,
        front_radius=drawn.front_radius,
        rear_radius=drawn.rear_radius,
        slot_position=drawn.slot_position,
    )
