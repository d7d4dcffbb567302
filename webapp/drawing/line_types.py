"""Widths and dashes of lines, by what they draw.

Line practice follows ISO 128: visible edges continuous thick, centre lines long
dash and dot, thin; dimension and extension lines continuous thin; adjacent parts
long dash and two dots, thin. The style sheet says the same for the screen, see
`static/css/blocks/figures/drawing.css`.
"""

from __future__ import annotations

from functools import lru_cache
from html import escape

from webapp.drawing.path_steps import short

# Widths of lines and dashes are in units of the pen, see `Pens`.
_THICK, _MIDDLE, _THIN = 1.0, 0.8, 0.5
_WIDTHS = {
    "adjacent": _THIN,
    "part-frame": _THICK,
    "part-fork": _THICK,
    "part-tyre": _THICK,
    "part-cockpit": _THICK,
    "part-post": _THICK,
    "part-saddle": _THICK,
    "part-crank": _MIDDLE,
    "part-wheel": _THIN,
    "part-rider": _THICK,
    "ground-line": _THICK,
    "centre-line": _THIN,
    "dimension": _THIN,
    "balloon": _THIN,
    "leader": _THIN,
    "scale-bar": _THIN,
    "line-a": _THICK,
    "line-b": _THICK,
    "line-c": _THICK,
    "line-d": _THICK,
    "line-e": _THICK,
    "line-f": _THICK,
}
_DASHES: dict[str, tuple[float, ...]] = {
    "adjacent": (7.0, 1.6, 0.7, 1.6, 0.7, 1.6),
    "centre-line": (7.0, 1.6, 0.7, 1.6),
    "balloon": (),
    "line-b": (5.0, 2.6),
    "line-c": (9.0, 2.2, 0.7, 2.2),
    "line-d": (0.7, 2.4),
    "line-e": (9.0, 2.2, 0.7, 2.2, 0.7, 2.2),
    "line-f": (9.0, 2.2, 3.0, 2.2),
}


@lru_cache(maxsize=512)
def line_attributes(names: str, thick: float) -> str:
    """Class of a group, and how its lines look where no style sheet reaches."""
    width = next((_WIDTHS[n] for n in names.split() if n in _WIDTHS), None)
    dash = next((_DASHES[n] for n in names.split() if n in _DASHES), None)
    found = f' class="{escape(names)}"'
    if width is not None:
        found += f' stroke-width="{short(width * thick)}"'
    if dash:
        lengths = " ".join(short(part * thick) for part in dash)
        found += f' stroke-dasharray="{lengths}"'
    return found
