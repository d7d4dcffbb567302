"""Trail and its kin: each formula once, and the offset that gives a wished trail.

::

        \\  steering axis
         \\    o = offset, square to the axis
          \\  _.F  front axle
           \\'  |
            \\  | Rf
    ---------\\-C----  ground: C contact, trail = from C forward to the axis
              A
"""

from __future__ import annotations

from typing import NamedTuple

from geometry.core import Num, checked, cos, plain, sin


class Caster(NamedTuple):
    """Trail three ways, float or array [mm]."""

    trail: Num
    mechanical_trail: Num
    wheel_flop: Num


def caster(*, front_radius: Num, offset: Num, sine: Num, cosine: Num) -> Caster:
    """Trail, mechanical trail and wheel flop from the head angle's sine and cosine.

    The one place of these formulas, unchecked: floats, arrays and complex steps.

    Parameters
    ----------
    front_radius : float or array [mm]
        Loaded.
    offset : float or array [mm]
        Of the fork.
    sine, cosine : float or array
        Of the head angle.

    Returns
    -------
    Caster
        ``mechanical = Rf cos HA − offset``, ``trail = mechanical / sin HA``,
        ``flop = mechanical cos HA = trail sin HA cos HA``, each [mm].

    Notes
    -----
    Source: Meijaard, Papadopoulos, Ruina, Schwab, Proc. R. Soc. A 463 (2007);
    Moore, Human Control of a Bicycle, UC Davis 2012.

    Examples
    --------
    >>> caster(front_radius=350.0, offset=40.0, sine=0.8, cosine=0.6).mechanical_trail
    170.0
    """
    mechanical = front_radius * cosine - offset
    return Caster(mechanical / sine, mechanical, mechanical * cosine)


def _caster_of(head_angle: Num, front_radius: Num, offset: Num) -> Caster:
    """`caster` from checked numbers, in degrees."""
    angle = checked("head_angle", head_angle, "degrees", above=0, most=179)
    radius = checked("front_radius", front_radius, "mm", above=0)
    distance = checked("offset", offset, "mm")
    return caster(front_radius=radius, offset=distance, sine=sin(angle), cosine=cos(angle))


def trail(*, head_angle: Num, front_radius: Num, offset: Num) -> Num:
    """Trail on the ground, from the front contact forward to the steering axis.

    Parameters
    ----------
    head_angle : float or array [deg]
        Of the standing bike.
    front_radius : float or array [mm]
        Loaded.
    offset : float or array [mm]
        Of the fork.

    Returns
    -------
    float or array [mm]
        ``(Rf cos HA − offset)/sin HA``.

    Raises
    ------
    InvalidInput
        A number that is not finite or out of range.

    Notes
    -----
    Source: Moore, Human Control of a Bicycle, UC Davis 2012.

    Examples
    --------
    >>> round(trail(head_angle=73.1, front_radius=340.0, offset=45.0))
    56
    """
    return plain(_caster_of(head_angle, front_radius, offset).trail)


def mechanical_trail(*, head_angle: Num, front_radius: Num, offset: Num) -> Num:
    """Distance of the front contact from the steering axis, square to it.

    Parameters
    ----------
    head_angle : float or array [deg]
        Of the standing bike.
    front_radius : float or array [mm]
        Loaded.
    offset : float or array [mm]
        Of the fork.

    Returns
    -------
    float or array [mm]
        ``Rf cos HA − offset = trail sin HA``.

    Raises
    ------
    InvalidInput
        A number that is not finite or out of range.

    Notes
    -----
    Source: Meijaard et al., Proc. R. Soc. A 463 (2007).

    Examples
    --------
    >>> round(mechanical_trail(head_angle=72.0, front_radius=350.0, offset=32.07), 2)
    76.09
    """
    return plain(_caster_of(head_angle, front_radius, offset).mechanical_trail)


def wheel_flop(*, head_angle: Num, front_radius: Num, offset: Num) -> Num:
    """Wheel flop, how strongly a turn of the bar lowers the front.

    Parameters
    ----------
    head_angle : float or array [deg]
        Of the standing bike.
    front_radius : float or array [mm]
        Loaded.
    offset : float or array [mm]
        Of the fork.

    Returns
    -------
    float or array [mm]
        ``trail sin HA cos HA``.

    Raises
    ------
    InvalidInput
        A number that is not finite or out of range.

    Notes
    -----
    Common practice of the trade; the benchmark bicycle of Meijaard et al.
    (2007) gives 23.51 mm by arithmetic.

    Examples
    --------
    >>> round(wheel_flop(head_angle=72.0, front_radius=350.0, offset=32.07), 2)
    23.51
    """
    return plain(_caster_of(head_angle, front_radius, offset).wheel_flop)


def offset_from_trail(*, head_angle: Num, front_radius: Num, trail: Num) -> Num:
    """Fork offset that gives a wished trail at a head angle.

    Parameters
    ----------
    head_angle : float or array [deg]
        Of the standing bike; a fork of another offset turns it very slightly.
    front_radius : float or array [mm]
        Loaded.
    trail : float or array [mm]
        Wished.

    Returns
    -------
    float or array [mm]
        ``Rf cos HA − trail sin HA``.

    Raises
    ------
    InvalidInput
        A number that is not finite or out of range.

    Notes
    -----
    `trail` solved for the offset. Source: Meijaard et al. (2007).

    Examples
    --------
    >>> round(offset_from_trail(head_angle=72.0, front_radius=350.0, trail=80.0), 2)
    32.07
    """
    angle = checked("head_angle", head_angle, "degrees", above=0, most=179)
    radius = checked("front_radius", front_radius, "mm", above=0)
    wished = checked("trail", trail, "mm")
    return plain(radius * cos(angle) - wished * sin(angle))
