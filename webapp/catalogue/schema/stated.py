"""What a table from elsewhere states of a drawn size besides the drawing: derived columns.

They are never computed with; the table check compares them with what the drawing gives.
"""

from __future__ import annotations

from typing import Annotated

from webapp.catalogue.schema.fields import Data, mm


class StatedData(Data):
    """Derived columns of one size, as its published table prints them."""

    effective_top_tube: Annotated[
        float | None, mm("effective top tube, level", 350, 800, "adult frames lie in this range")
    ] = None
    front_centre: Annotated[
        float | None,
        mm("BB centre level to the front axle", 450, 1000, "adult frames lie in this range"),
    ] = None
    front_centre_straight: Annotated[
        float | None,
        mm("BB centre straight to the front axle", 450, 1000, "frames lie in this range"),
    ] = None
    rear_centre: Annotated[
        float | None, mm("BB centre level to the rear axle", 350, 600, "frames lie in this range")
    ] = None
    wheelbase: Annotated[float | None, mm("wheelbase", 850, 1500, "bicycles lie in this range")] = (
        None
    )
    bb_height: Annotated[
        float | None, mm("BB centre above the ground", 200, 420, "pedals need the room")
    ] = None
    trail: Annotated[float | None, mm("trail", 0, 180, "bicycles steer in this range")] = None

    @property
    def known(self) -> dict[str, float]:
        """Those that are stated."""
        return {key: value for key, value in self.model_dump().items() if value is not None}


STATED: tuple[str, ...] = tuple(StatedData.model_fields)
"""The derived columns a size can state, by their keys in the glossary."""
