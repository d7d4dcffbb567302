"""Converts a riding style's windows from the catalogue to those of `geometry`."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from geometry.rider import PostureWindows, Window
from webapp.catalogue.reading.views import Catalogue, StyleView
from webapp.catalogue.schema import shop


def windows_of(style: StyleView) -> PostureWindows:
    """The windows of a style as sizing takes them.

    Parameters
    ----------
    style : StyleView

    Returns
    -------
    PostureWindows
        Lengths [mm], angles [deg]; the style's name in small letters, as in
        "sits 3° more upright than trail asks".
    """
    values = {each.name: getattr(style.windows, each.name) for each in fields(PostureWindows)[1:]}
    return PostureWindows(
        style=style.name.lower(),
        **{name: _typed(value) for name, value in values.items()},
    )


def windows_in(catalogue: Catalogue, style: str) -> PostureWindows:
    """The windows of one of a catalogue's styles, converted once.

    Raises
    ------
    UnknownChoice
        As `Catalogue.style`.
    """
    view = catalogue.style(style)
    return catalogue.memory.of_very("posture windows", (view,), lambda: windows_of(view))


def _typed(value: Any) -> Any:
    if isinstance(value, shop.Window):
        return Window(value.low, value.high, value.weight)
    return float(value)
