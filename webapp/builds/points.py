"""Every point of a computed build's drawing."""

from __future__ import annotations

from webapp.builds.evaluation import BuildResult
from webapp.builds.solving.solver_inputs import UNLOADED, data_in
from webapp.catalogue.schema.part_kinds import RimData, RingData, SprocketData
from webapp.drawing.points import BikePoints, bike_points


def points_of(
    result: BuildResult, *, state: str = UNLOADED, crank_angle: float = 0.0
) -> BikePoints:
    """Every point of a build's drawing in one state.

    Parameters
    ----------
    result : BuildResult
    state : str
        One of ``result.states``.
    crank_angle : float [deg]
        As `BikePoints.crank_angle`.

    Returns
    -------
    BikePoints
        Standing coordinates [mm] from the BB centre.
    """
    assembly, found = result.assembly, result.states[state]
    parts, setup = assembly.parts, result.setup
    ring, sprocket = setup.data("ring", RingData), setup.data("sprocket", SprocketData)
    return bike_points(
        found.standing,
        assembly.build,
        state=assembly.states[state],
        hands=found.hands,
        seated=found.seated,
        crank_length=assembly.crank_length,
        crank_angle=crank_angle,
        rear_rim_radius=data_in(parts, "rim_rear", RimData).bead_seat_diameter / 2,
        front_rim_radius=data_in(parts, "rim_front", RimData).bead_seat_diameter / 2,
        ring_teeth=ring.teeth if ring else None,
        sprocket_teeth=sprocket.teeth[len(sprocket.teeth) // 2] if sprocket else None,
    )
