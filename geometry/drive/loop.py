"""Chains and belts round two wheels: pitch circles, loop lengths, and back.

A loop is counted in pitches (a chain's half-inch links, a belt's teeth). C is
the centre distance, N and n the teeth of ring and sprocket, R and r their pitch
radii, all in pitches; α is the slope of a straight run against the line of
centres, positive when the ring is the larger::

            .-'''-.________ α
          /   R     \\      ''''----____.-.
         |     +- - - - - - - C - - - - + r|
          \\        /             ____---'-'
            '-...-'--------''''''

A belt differs from a chain only in its pitch radius: it wraps a circle of
circumference N pitches, a chain a polygon of N sides.
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from geometry.core import (
    InvalidInput,
    NoSolution,
    Num,
    OneOf,
    checked,
    plain,
    refuse,
    whole,
)
from geometry.drive.remedies import LongerLoop, WheelsOfDriveApart

Drive = Literal["chain", "belt"]

CHAIN_PITCH = 12.7
"""Pitch of a bicycle chain [mm]: half an inch, ISO 606 08B / ANSI 40."""

FEWEST_TEETH = 5
"""Fewer teeth than any chain or belt runs on; guards the formulas."""

_NEWTON_STEPS = 8  # two more than the worst pair of wheels needs


def _pitch_radius(teeth: Num, drive: Drive) -> Num:
    """Pitch radius in pitches."""
    if drive == "chain":
        return 0.5 / np.sin(np.pi / teeth)
    if drive == "belt":
        return teeth / (2.0 * np.pi)
    raise InvalidInput("drive", drive, OneOf(choices=("chain", "belt")))


def _loop(centre: Num, ring: Num, sprocket: Num, drive: Drive) -> Num:
    """Loop length, all in pitches."""
    larger, smaller = _pitch_radius(ring, drive), _pitch_radius(sprocket, drive)
    slope = np.arcsin((larger - smaller) / centre)
    runs = 2.0 * np.sqrt(centre * centre - (larger - smaller) ** 2)
    on_sprocket = sprocket * (np.pi - 2.0 * slope) / (2.0 * np.pi)
    on_ring = ring * (np.pi + 2.0 * slope) / (2.0 * np.pi)
    return runs + on_sprocket + on_ring


def _loop_slope(centre: Num, ring: Num, sprocket: Num, drive: Drive) -> Num:
    """Change of loop length with centre distance."""
    apart = _pitch_radius(ring, drive) - _pitch_radius(sprocket, drive)
    run = np.sqrt(centre * centre - apart * apart)
    return (2.0 * centre - (ring - sprocket) / np.pi * apart / centre) / run


def _touching(ring: Num, sprocket: Num, drive: Drive) -> Num:
    """Centre distance at which the two pitch circles touch [pitches]."""
    return _pitch_radius(ring, drive) + _pitch_radius(sprocket, drive)


def loop_length(
    centre: Num, *, ring: Num, sprocket: Num, drive: Drive = "chain", pitch: Num = CHAIN_PITCH
) -> Num:
    """Pitches of a taut loop round ring and sprocket, exact; hardly ever whole.

    Parameters
    ----------
    centre : float or array [mm]
        Centre distance.
    ring, sprocket : int or array
        Teeth.
    drive : {"chain", "belt"}
        What runs round them.
    pitch : float or array [mm]
        Of chain or belt.

    Returns
    -------
    float or array [pitches]
        ``2√(C²−(R−r)²) + n(π−2α)/2π + N(π+2α)/2π`` with ``α = asin((R−r)/C)``.

    Raises
    ------
    InvalidInput
        Teeth not whole, a centre distance or pitch not above 0.
    NoSolution
        A centre distance at which the two wheels overlap.

    Notes
    -----
    Source: plane geometry of the open loop; R. L. Mott, *Machine Elements in
    Mechanical Design*, 4th ed., ex. 7-3, gives the handbook form of it.

    Examples
    --------
    >>> round(loop_length(30 * 12.7, ring=65, sprocket=17), 3)
    102.956
    """
    ring = whole("ring", ring, "teeth", least=FEWEST_TEETH)
    sprocket = whole("sprocket", sprocket, "teeth", least=FEWEST_TEETH)
    pitch = checked("pitch", pitch, "mm", above=0)
    pitches = checked("centre", centre, "mm", above=0) / pitch
    overlap = pitches < _touching(ring, sprocket, drive)
    refuse(overlap, NoSolution, "centre", centre, WheelsOfDriveApart())
    return plain(_loop(pitches, ring, sprocket, drive))


def centre_distance(
    pitches: Num, *, ring: Num, sprocket: Num, drive: Drive = "chain", pitch: Num = CHAIN_PITCH
) -> Num:
    """Centre distance at which a loop of so many pitches is taut.

    Parameters
    ----------
    pitches : float or array [pitches]
        Need not be whole: a worn chain of 104 links has the length of 104.8.
    ring, sprocket : int or array
        Teeth.
    drive : {"chain", "belt"}
        What runs round them.
    pitch : float or array [mm]
        Of chain or belt.

    Returns
    -------
    float or array [mm]
        Inverse of `loop_length`, to machine precision.

    Raises
    ------
    InvalidInput
        Teeth not whole, a count or pitch not above 0.
    NoSolution
        Fewer pitches than go round both wheels even when these touch.

    Notes
    -----
    Newton's method, begun with wheels as far apart as the loop is long, which is too far.
    The loop grows with C at a rate that hardly changes, so that a few steps come within
    rounding; wheels that touch are the nearest there can be.

    Examples
    --------
    >>> round(centre_distance(104, ring=65, sprocket=17) / 12.7, 3)
    30.539
    """
    ring = whole("ring", ring, "teeth", least=FEWEST_TEETH)
    sprocket = whole("sprocket", sprocket, "teeth", least=FEWEST_TEETH)
    pitch = checked("pitch", pitch, "mm", above=0)
    pitches = checked("pitches", pitches, "pitches", above=0)
    shortest = _touching(ring, sprocket, drive)
    short = pitches < _loop(shortest, ring, sprocket, drive)
    refuse(short, NoSolution, "pitches", pitches, LongerLoop())
    centre = pitches
    for _ in range(_NEWTON_STEPS):
        miss = _loop(centre, ring, sprocket, drive) - pitches
        centre = np.maximum(centre - miss / _loop_slope(centre, ring, sprocket, drive), shortest)
    return plain(centre * pitch)


def derailleur_chain_links(*, centre: Num, ring: Num, sprocket: Num) -> Num:
    """Links of a derailleur chain: round the two largest wheels, and two more.

    Parameters
    ----------
    centre : float or array [mm]
        BB centre to rear axle at the axle position ridden.
    ring, sprocket : int or array
        Teeth of the largest ring and the largest sprocket.

    Returns
    -------
    float or array [links]
        Loop past the derailleur, rounded up to the next even count, + 2.

    Raises
    ------
    InvalidInput, NoSolution
        As for `loop_length`.

    Notes
    -----
    Source: the trade's largest-to-largest rule. A suspended rear end would need
    its longest chainstay; a hardtail has only its axle position.

    Examples
    --------
    >>> derailleur_chain_links(centre=425.0, ring=32, sprocket=49)
    110.0
    """
    length = loop_length(centre, ring=ring, sprocket=sprocket)
    return plain(2.0 * np.ceil(length / 2.0) + 2.0)
