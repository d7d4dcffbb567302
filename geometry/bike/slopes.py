"""How each figure of a bike follows each number that goes into it, exactly."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

import numpy as np

from geometry.bike.whole_bike import Bike, moved
from geometry.core import FloatArray, Num

_STEP = 1e-30
"""Imaginary step: its square vanishes beside 1, so slopes carry no truncation error."""

_AT_ONCE = 1 << 16
"""Numbers to a broadcast array while slopes are taken, which bounds the memory used."""


def jacobian(
    function: Callable[[Bike], Mapping[str, Num]], bike: Bike, keys: Iterable[str]
) -> dict[str, FloatArray]:
    """How each figure follows each number of a bike, exact to machine precision.

    Parameters
    ----------
    function : callable
        From a bike to its figures: `figures`, or another without comparisons
        that matter, ``abs`` or ``arctan2``.
    bike : Bike
        One bike, or arrays of bikes of broadcast shape ``shape``.
    keys : iterable of str
        k inputs, by their keys.

    Returns
    -------
    dict of str to array (k, *shape)
        For each figure its slopes, in its unit to the input's.

    Raises
    ------
    InvalidInput
        A key that is no input of this bike.

    Notes
    -----
    Complex step: ``f'(x) = Im f(x + ih)/h``, free of cancellation. Source:
    Squire and Trapp, SIAM Review 40 (1998) 110.

    Examples
    --------
    Ten millimetres of slot are nearly ten of wheelbase.

    >>> from geometry.examples import trail_build
    >>> from geometry.bike import figures
    >>> slopes = jacobian(figures, Bike(build=trail_build()), ["build.slot_position"])
    >>> round(10 * float(slopes["wheelbase"][0]), 2)
    9.99
    """
    keys, shape = list(keys), bike.shape
    group = max(1, _AT_ONCE // max(1, int(np.prod(shape))))
    groups = [keys[i : i + group] for i in range(0, len(keys), group)]
    found = [_slopes(function, bike, some, shape) for some in groups]
    if len(found) == 1:
        return found[0]
    names = found[0] if found else function(bike)
    empty = np.empty((0, *shape))
    return {name: np.concatenate([empty, *(part[name] for part in found)]) for name in names}


def _slopes(
    function: Callable[[Bike], Mapping[str, Num]],
    bike: Bike,
    keys: Sequence[str],
    shape: tuple[int, ...],
) -> dict[str, FloatArray]:
    """Slopes for a group of inputs, each stepped in its own row of a leading axis."""
    rows = np.eye(len(keys)).reshape(len(keys), len(keys), *(1 for _ in shape))
    steps = {key: 1j * _STEP * row for key, row in zip(keys, rows, strict=True)}
    slopes = {n: np.asarray(y).imag / _STEP for n, y in function(moved(bike, steps)).items()}
    full = (len(keys), *shape)
    return {
        name: slope if slope.shape == full else np.broadcast_to(slope, full)
        for name, slope in slopes.items()
    }
