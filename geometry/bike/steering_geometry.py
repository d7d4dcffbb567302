"""Trail and its kin: each formula once.

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

from geometry.core import Num


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
