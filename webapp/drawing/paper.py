"""A side elevation for paper: to a round scale, with its scale bar."""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import dataclass

from webapp.common.text.language import tr
from webapp.common.text.units import LengthUnit
from webapp.drawing.elevation import Layout, draw
from webapp.drawing.labels import in_words
from webapp.drawing.points import BikePoints, RiderPoints
from webapp.drawing.svg_sheet import Frame, Pens, Sheet

_SCALES = (5, 6, 8, 10, 12, 14, 15, 16, 18, 20, 25, 30, 40)
_NARROWEST_PAPER = 100.0  # [mm]
_SMALL_LETTERING = 2.4  # [mm] on the paper, beside a list of parts


@dataclass(frozen=True, kw_only=True, slots=True)
class PaperDrawing:
    """An elevation to be printed: SVG, its size on paper [mm], and its scale 1 : ``scale``."""

    svg: str
    width: float
    height: float
    scale: int


def elevation_for_paper(
    points: BikePoints,
    figures: Mapping[str, float],
    *,
    title: str,
    width: float,
    unit: LengthUnit = "mm",
    standover_ahead: float | None = None,
    rider: RiderPoints | None = None,
    changed: Set[str] = frozenset(),
) -> PaperDrawing:
    """Side elevation to a round scale, with a scale bar, for a sheet of paper.

    Parameters
    ----------
    points, figures, title, unit, standover_ahead, rider, changed
        As `webapp.drawing.elevation.elevation`.
    width : float [mm]
        Room on the paper, at least 100.

    Returns
    -------
    PaperDrawing
        To be placed exactly ``width`` wide: then it is to scale.

    Raises
    ------
    ValueError
        For less room than 100 mm.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> from geometry.bike import stand
    >>> from webapp.drawing.points import bike_points
    >>> standing = stand(trail_build())
    >>> drawn = elevation_for_paper(
    ...     bike_points(standing, trail_build()), {}, title="Trail hardtail", width=170.0
    ... )
    >>> drawn.scale
    12
    """
    if not width >= _NARROWEST_PAPER:
        raise ValueError(f"a drawing needs {_NARROWEST_PAPER:g} mm of paper, not {width!r}")
    sheet = draw(
        points,
        figures,
        layout="full",
        unit=unit,
        standover_ahead=standover_ahead,
        rider=rider,
        changed=changed,
    )
    drawn = sheet.frame(sheet.pens.gap)
    scale = next(n for n in _SCALES if n * width >= drawn.right - drawn.left)
    _scale_bar(sheet, drawn.left + sheet.pens.gap, drawn.bottom - 0.5 * sheet.pens.tier, scale)
    drawn = sheet.frame(sheet.pens.gap)
    spare = (scale * width - (drawn.right - drawn.left)) / 2
    shown = Frame(drawn.left - spare, drawn.bottom, drawn.right + spare, drawn.top)
    words = tr(
        "{in_words} Drawn to a scale of 1 to {scale}.",
        in_words=in_words(figures, unit),
        scale=scale,
    )
    svg = sheet.svg(title=title, words=words, name="paper", margin=0.0, shown=shown)
    height = (shown.top - shown.bottom) / scale
    return PaperDrawing(svg=svg, width=width, height=height, scale=scale)


def small_elevation(
    points: BikePoints,
    figures: Mapping[str, float],
    *,
    title: str,
    width: float,
    layout: Layout,
    unit: LengthUnit = "mm",
    changed: Set[str] = frozenset(),
) -> tuple[str, float]:
    """Side elevation to look at, lettered so that it can be read at its width on paper.

    Parameters
    ----------
    points, figures, title, unit, layout, changed
        As `webapp.drawing.elevation.elevation`.
    width : float [mm]
        On the paper.

    Returns
    -------
    str, float
        SVG, and its height on the paper [mm].

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> from geometry.bike import stand
    >>> from webapp.drawing.points import bike_points
    >>> points = bike_points(stand(trail_build()), trail_build())
    >>> _, height = small_elevation(points, {}, title="Trail", width=62.0, layout="compact")
    >>> 20.0 < height < 60.0
    True
    """
    rear, front = points.rear, points.front
    wide = front.axle[0] + front.radius - rear.axle[0] + rear.radius
    size = _SMALL_LETTERING * 1.1 * wide / width
    sheet = draw(
        points,
        figures,
        layout=layout,
        unit=unit,
        standover_ahead=None,
        rider=None,
        changed=changed,
        pens=Pens(size / Pens().text),
    )
    shown = sheet.frame(sheet.pens.gap)
    svg = sheet.svg(
        title=title, words=in_words(figures, unit), name="small", margin=0.0, shown=shown
    )
    return svg, width * (shown.top - shown.bottom) / (shown.right - shown.left)


def _scale_bar(sheet: Sheet, left: float, y: float, scale: int) -> None:
    """Half a metre in five parts, and the scale in words."""
    with sheet.group("scale-bar"):
        sheet.line((left, y), (left + 500.0, y))
        for part in range(6):
            x = left + 100.0 * part
            sheet.line((x, y), (x, y + sheet.pens.gap * (2.0 if part in (0, 5) else 1.0)))
        words = tr("500 mm, scale 1 : {scale}", scale=scale)
        sheet.text(words, (left + 500.0 + 2 * sheet.pens.gap, y), anchor="start")
