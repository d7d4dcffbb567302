"""Points fixed to the frame, by their distances along its two axes.

The same expressions serve the drawn and the standing attitude: give them the
sine and cosine of the tube's angle in the one that is wanted.
"""

from __future__ import annotations

from geometry.core import Num


def from_head_tube_top(
    *, reach: Num, stack: Num, sine: Num, cosine: Num, up: Num, forward: Num
) -> tuple[Num, Num]:
    """A point by its distances along and square to the steering axis.

    Parameters
    ----------
    reach, stack : float or array [mm]
        Head tube's top.
    sine, cosine : float or array
        Of the head angle.
    up, forward : float or array [mm]
        From the head tube's top: up the axis, and square ahead of it.

    Returns
    -------
    x, y : float or array [mm]
        ``top + up (−cos HA, sin HA) + forward (sin HA, cos HA)``.

    Notes
    -----
    Source: plane geometry.

    Examples
    --------
    >>> from_head_tube_top(reach=400.0, stack=600.0, sine=0.8, cosine=0.6, up=100.0, forward=50.0)
    (380.0, 710.0)
    """
    return reach - up * cosine + forward * sine, stack + up * sine + forward * cosine


def on_seat_axis(*, offset: Num, sine: Num, cosine: Num, up: Num) -> tuple[Num, Num]:
    """A point of the seat tube's axis by its distance up that axis.

    Parameters
    ----------
    offset : float or array [mm]
        Of the axis from the BB centre; positive passes in front.
    sine, cosine : float or array
        Of the seat tube angle.
    up : float or array [mm]
        From the BB centre's foot on the axis.

    Returns
    -------
    x, y : float or array [mm]
        ``offset (sin A, cos A) + up (−cos A, sin A)``.

    Notes
    -----
    Source: plane geometry.

    Examples
    --------
    >>> on_seat_axis(offset=0.0, sine=0.8, cosine=0.6, up=100.0)
    (-60.0, 80.0)
    """
    return offset * sine - up * cosine, offset * cosine + up * sine
