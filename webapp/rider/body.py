"""What is believed of a rider's body, and the rider's saddle height on a build."""

from __future__ import annotations

from geometry.bike import Build, Seat, stand
from geometry.core import NoSolution
from geometry.rider import BodyBelief, Linkage, condition, linkage
from webapp.rider.rider_input import Rider
from webapp.rider.saddle_line import saddle_line


def belief_of(rider: Rider, *, first: int | None = None) -> BodyBelief:
    """What follows for the whole body from what a rider told.

    Parameters
    ----------
    rider : Rider
    first : int, optional
        Only so many of the measurements, in the order asked; all without it.

    Returns
    -------
    BodyBelief
    """
    return condition(rider.measurements()[:first], sex=rider.sex)


def expected_links(rider: Rider) -> Linkage:
    """Segments of the body to be expected of a rider, arrays of shape (1,) [mm]."""
    return linkage(belief_of(rider).mean_body())


def rider_saddle_height(
    rider: Rider, build: Build, seat: Seat, *, crank_length: float, knee_flexion: float
) -> float | None:
    """Saddle height of a build for a rider.

    Parameters
    ----------
    rider : Rider
    build : Build
    seat : Seat
        For setback, saddle stack and rails; its own height is any the post's axis meets.
    crank_length : float [mm]
    knee_flexion : float [deg]
        Wanted at the lowest pedal.

    Returns
    -------
    float [mm] or None
        None for a leg too short for the cranks.
    """
    line = saddle_line(stand(build), build, seat)
    try:
        return line.height_for(
            expected_links(rider), crank_length=crank_length, knee_flexion=knee_flexion
        )
    except NoSolution:
        return None
