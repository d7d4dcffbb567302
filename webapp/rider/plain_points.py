"""Points of a rider as plain numbers, from numbers or arrays of one."""

from __future__ import annotations

from typing import Any


def plain_point(pair: tuple[Any, Any]) -> tuple[float, float]:
    """A plain point from numbers or arrays of one.

    >>> plain_point((1, 2.5))
    (1.0, 2.5)
    """
    x, y = (float(part[0]) if getattr(part, "ndim", 0) else float(part) for part in pair)
    return x, y
