"""The drawing of a comparison: one build to scale, or several laid over each other."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup

from webapp.common.text.language import tr
from webapp.compare.address import Alignment, View
from webapp.compare.bikes import Compared
from webapp.drawing.elevation import Layout, elevation
from webapp.drawing.guides.measured_bike import measured_bike
from webapp.drawing.labels import NAMES, in_words
from webapp.drawing.outline import Outline
from webapp.drawing.overlay import Alignment as DrawnAlignment
from webapp.drawing.overlay import OverlaidBuild, overlay, overlay_words

_DRAWN: dict[Alignment, DrawnAlignment] = {"bb": "bb", "rear-axle": "rear_axle"}
_LAYOUTS: tuple[Layout, ...] = ("full", "compact")


def drawing_of(bikes: Sequence[Compared], view: View) -> Markup:
    """The drawing for wide and for narrow screens; the style shows the one that fits.

    Parameters
    ----------
    bikes : sequence of Compared
        One to four.
    view : View

    Returns
    -------
    Markup
        Two ``<svg>``; all text in them is escaped.
    """
    drawn = [_drawn(bikes, view, layout) for layout in _LAYOUTS]
    return Markup("".join(drawn))  # noqa: S704  # the drawing escapes every text it is given


def _drawn(bikes: Sequence[Compared], view: View, layout: Layout) -> str:
    points = bikes[0].points_in(view.state)
    if isinstance(points, Outline):
        return measured_bike(points, [], moved=None)
    if len(bikes) == 1:
        figures = _figures(bikes[0], view)
        return elevation(points, figures, title=bikes[0].name, layout=layout)
    title = tr(" and ").join(bike.name for bike in bikes)
    return overlay(_overlaid(bikes, view), title=title, align=_DRAWN[view.align], layout=layout)


def drawing_words(bikes: Sequence[Compared], view: View) -> str:
    """The text equivalent of the drawing."""
    if len(bikes) == 1:
        return in_words(_figures(bikes[0], view))
    return overlay_words(_overlaid(bikes, view), _DRAWN[view.align])


def _figures(bike: Compared, view: View) -> dict[str, float]:
    found = bike.figures(view.state)
    return {key: found[key] for key in NAMES if key in found}


def _overlaid(bikes: Sequence[Compared], view: View) -> list[OverlaidBuild]:
    return [
        OverlaidBuild(label=", ".join((bike.name, *bike.facts)), points=bike.points_in(view.state))
        for bike in bikes
    ]
