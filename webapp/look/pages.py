"""Every component on one page, with invented figures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query
from starlette.requests import Request
from starlette.responses import HTMLResponse

from webapp.ground.templating import page

LONGEST_SLOT = 18  # mm, of the invented frame shown
CHAINSTAY_FORWARD = 425  # mm, with its axle fully forward

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, kw_only=True)
class ComponentsPage:
    """What can be changed on the page of components: one slider, and what follows."""

    slot: float
    chainstay: float
    wheelbase: float


def components_page(slot: float) -> ComponentsPage:
    """The page for an axle position, the slot taken as level.

    Parameters
    ----------
    slot : float
        Axle position from fully forward [mm].

    Returns
    -------
    ComponentsPage
        The chainstay and the wheelbase grow by the position [mm].

    Examples
    --------
    >>> components_page(9).chainstay
    434
    """
    return ComponentsPage(slot=slot, chainstay=CHAINSTAY_FORWARD + slot, wheelbase=1182 + slot)


@router.get("/components", response_class=HTMLResponse)
def components(
    request: Request, slot: Annotated[float, Query(ge=0, le=LONGEST_SLOT)] = 0
) -> HTMLResponse:
    """All components; the slider changes two figures in place."""
    return page(
        request,
        "pages/components.html",
        components_page(slot),
        headers={"X-Robots-Tag": "noindex"},
    )
