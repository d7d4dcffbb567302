"""Every component on one page, with an invented bicycle."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse

from geometry.bike import stand
from geometry.examples import trail_build, trail_hardtail
from webapp.common.text.language import tr
from webapp.common.web.templating import page
from webapp.drawing.elevation import Layout, elevation
from webapp.drawing.labels import standard_figures
from webapp.drawing.points import bike_points

LAYOUTS: tuple[Layout, ...] = ("full", "compact")
LONGEST = float(trail_hardtail().slot_length)

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, kw_only=True)
class ComponentsPage:
    """What can be changed on the page of components: one slider, and what follows [mm]."""

    slot: float
    longest: int
    chainstay: float
    wheelbase: float
    reach: float
    drawings: tuple[Markup, ...]


def components_page(slot: float) -> ComponentsPage:
    """The invented trail hardtail of the examples with its axle somewhere in the slot.

    Parameters
    ----------
    slot : float
        Axle position from fully forward [mm].

    Returns
    -------
    ComponentsPage
        Figures [mm] and the drawing, for a wide and for a narrow sheet.

    Raises
    ------
    geometry.core.errors.GeometryError
        A position outside the slot.

    Examples
    --------
    >>> round(components_page(9.0).chainstay, 1)
    438.9
    """
    build = trail_build(slot)
    standing = stand(build)
    points, figures = bike_points(standing, build), standard_figures(standing)
    return ComponentsPage(
        slot=slot,
        longest=int(LONGEST),
        chainstay=figures["chainstay_length"],
        wheelbase=figures["wheelbase"],
        reach=figures["reach"],
        drawings=tuple(
            Markup(elevation(points, figures, title=tr("Trail hardtail"), layout=layout))  # noqa: S704
            for layout in LAYOUTS
        ),
    )


@router.get("/components", response_class=HTMLResponse)
def components(
    request: Request, slot: Annotated[float, Query(ge=0, le=LONGEST)] = 0.0
) -> HTMLResponse:
    """All components; the slider changes the drawing and its figures in place."""
    return page(
        request,
        "pages/style_guide/components.html",
        components_page(slot),
        partial="partials/style_guide/components_changed.html",
        headers={"X-Robots-Tag": "noindex"},
    )
