"""What is believed of a rider's body, and the rider's saddle height on a build."""

from __future__ import annotations

from weakref import WeakKeyDictionary

from geometry.core import NoSolution
from geometry.rider import BodyBelief, Linkage, condition, linkage
from webapp.common.memory import Same
from webapp.rider.rider_input import Rider
from webapp.rider.saddle_line import SaddleLine


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
    if first is not None:
        return condition(rider.measurements()[:first], sex=rider.sex)
    found = _beliefs.get(rider)
    if found is None:
        found = _beliefs[rider] = condition(rider.measurements(), sex=rider.sex)
    return found


def expected_links(rider: Rider) -> Linkage:
    """Segments of the body to be expected of a rider, arrays of shape (1,) [mm]."""
    found = _links.get(rider)
    if found is None:
        found = _links[rider] = linkage(belief_of(rider).mean_body())
    return found


_HeightKey = tuple[Same[SaddleLine], float, float]
# Cached only as long as a rider lives: for one request.
_beliefs: WeakKeyDictionary[Rider, BodyBelief] = WeakKeyDictionary()
_links: WeakKeyDictionary[Rider, Linkage] = WeakKeyDictionary()
_heights: WeakKeyDictionary[Rider, dict[_HeightKey, float | None]] = WeakKeyDictionary()


def rider_saddle_height(
    rider: Rider, line: SaddleLine, *, crank_length: float, knee_flexion: float
) -> float | None:
    """Saddle height of a build for a rider.

    Parameters
    ----------
    rider : Rider
    line : SaddleLine
        Of the build's saddle.
    crank_length : float [mm]
    knee_flexion : float [deg]
        Wanted at the lowest pedal.

    Returns
    -------
    float [mm] or None
        None for a leg too short for the cranks.
    """
    known = _heights.setdefault(rider, {})
    key = (Same(line), crank_length, knee_flexion)  # many options of a build share their line
    if key not in known:
        try:
            known[key] = line.height_for(
                expected_links(rider), crank_length=crank_length, knee_flexion=knee_flexion
            )
        except NoSolution:
            known[key] = None
    return known[key]
