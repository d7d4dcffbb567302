"""Numbers of an SVG drawing, to a tenth, and the forms of its paths."""

from __future__ import annotations

from functools import lru_cache


def short(value: float) -> str:
    """A coordinate to a tenth, without a needless zero."""
    return shortened(f"{value:.1f}")


def shortened(numbers: str) -> str:
    """Numbers to a tenth, written as `short` writes each of them.

    >>> shortened("M-0.0 10.5L100.0 -0.3")
    'M0 10.5L100 -0.3'
    """
    return numbers.replace("-0.0", "0").replace(".0", "")


@lru_cache(maxsize=128)
def straights(count: int, closed: bool) -> str:
    """The form of a path of straight lines through so many points."""
    return f"M{'L'.join(['%.1f %.1f'] * count)}{'Z' if closed else ''}"


@lru_cache(maxsize=32)
def curves(count: int) -> str:
    """The form of a closed path of so many cubic curves."""
    return f"M%.1f %.1fC{'C'.join([' '.join(['%.1f %.1f'] * 3)] * count)}Z"
