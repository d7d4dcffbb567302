"""Side elevation of one build, to scale, with its dimensions.

Two layouts: ``full``, and ``compact`` for a phone, with larger lettering and fewer
figures. Lines are laid down first (`webapp.drawing.dimensioning.bike_dimensions`), then every text
is given a place that meets no other (`webapp.drawing.dimensioning.placing`); what has none is
written in rows below the full drawing and left out of the compact one. A rider stands
before the bike: what the figure covers is hidden. Values arrive computed; nothing is
measured off the drawing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from contextlib import AbstractContextManager

from webapp.common.text.units import LengthUnit
from webapp.drawing.bike import axis_crosses
from webapp.drawing.dimensioning.bike_dimensions import Layout, Wanted, dimensions, two_tiers
from webapp.drawing.dimensioning.dimensions import Dimension
from webapp.drawing.dimensioning.outside import outside
from webapp.drawing.dimensioning.placing import place
from webapp.drawing.dimensioning.spots import Spot
from webapp.drawing.labels import figures_of
from webapp.drawing.outline import Outline
from webapp.drawing.phone import STEP, keep_within, larger_pens, pens_of_phone
from webapp.drawing.points import BikePoints, RiderPoints
from webapp.drawing.svg_sheet import Pens, Sheet
from webapp.drawing.traced import Traced, traced

__all__ = ["Layout", "draw", "elevation"]

_COMPACT = (
    "wheelbase",
    "chainstay_length",
    "reach",
    "stack",
    "head_angle",
    "effective_seat_angle",
    "seat_tube_angle",
    "bb_height",
)
_COMPACT_WITH_RIDER = (
    "wheelbase",
    "reach",
    "head_angle",
    "effective_seat_angle",
    "saddle_height",
)
_WHEEL = 2.0  # cost of a text that stands in a wheel
_TYRE = 20.0  # and of one that crosses a tyre
_WORST = 9.0  # a text that would cost more stands outside the bike


def elevation(
    points: BikePoints,
    figures: Mapping[str, float],
    *,
    title: str,
    layout: Layout = "full",
    name: str = "elevation",
    unit: LengthUnit = "mm",
    standover_ahead: float | None = None,
    rider: RiderPoints | None = None,
    beside: Mapping[str, str] | None = None,
    changed: Set[str] = frozenset(),
    finish: str = "",
    ghost: Outline | None = None,
    drawn: Traced | None = None,
) -> str:
    """Side elevation of one build as SVG.

    Parameters
    ----------
    points : BikePoints
        Standing coordinates [mm].
    figures : mapping of str to float [mm or deg]
        Computed values by key of `webapp.drawing.labels.NAMES`; those not given
        are not drawn.
    title : str
        What is drawn, such as "Knapweed, Medium".
    layout : {"full", "compact"}
        ``compact`` for narrow screens.
    name : str
        Makes ids unlike those of other drawings on the page.
    unit : {"mm", "cm", "in"}
        Of the lettering.
    standover_ahead : float, optional [mm]
        Where standover is measured, ahead of the BB; needed to show it.
    rider : RiderPoints, optional
        A rider drawn on the bike.
    beside : mapping of str to str, optional
        Text after a figure, by its key, such as how far a measured bike is off.
    changed : set of str
        Keys of figures that carry the revision triangle.
    finish : str
        Colour of the frame, #rrggbb, laid thinly over its tubes; none if empty.
    ghost : Outline, optional
        A second bike, dashed behind it.
    drawn : Traced, optional
        What is drawn and said of all of these, from `webapp.drawing.traced.traced`, where
        another layout has them too.

    Returns
    -------
    str
        One ``<svg>`` with title and words; all text escaped.

    Raises
    ------
    KeyError
        A figure of an unknown name.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> from geometry.bike import stand
    >>> from webapp.drawing.points import bike_points
    >>> from webapp.drawing.labels import standard_figures
    >>> build = trail_build()
    >>> standing = stand(build)
    >>> drawn = elevation(
    ...     bike_points(standing, build), standard_figures(standing), title="Trail hardtail"
    ... )
    >>> "wheelbase" in drawn
    True
    """
    bike = drawn or traced(points, figures, rider, unit=unit, ghost=ghost, finish=finish)
    sheet = draw(
        points,
        figures,
        layout=layout,
        unit=unit,
        standover_ahead=standover_ahead,
        rider=rider,
        beside=beside or {},
        changed=changed,
        drawn=bike,
    )
    return sheet.svg(
        title=title,
        words=bike.words,
        name=f"{name}-{layout}",
        margin=sheet.pens.gap,
        step=STEP,
        classes=f"drawing-{layout}{'' if rider is None else ' drawing-ridden'}",
    )


def draw(
    points: BikePoints,
    figures: Mapping[str, float],
    *,
    layout: Layout,
    unit: LengthUnit,
    standover_ahead: float | None,
    rider: RiderPoints | None,
    beside: Mapping[str, str] | None = None,
    changed: Set[str] = frozenset(),
    drawn: Traced | None = None,
    pens: Pens | None = None,
) -> Sheet:
    """The sheet of `elevation`, before it is written out."""
    compact = layout == "compact"
    bike = drawn or traced(points, figures, rider, unit=unit)
    shown = dict(bike.figures)
    if compact:
        kept = _COMPACT if rider is None else _COMPACT_WITH_RIDER
        some = {key: value for key, value in figures.items() if key in kept}
        shown = figures_of(some, unit, whole=True)
    for key, words in (beside or {}).items():
        if words and key in shown:
            shown[key] = shown[key]._replace(value=f"{shown[key].value} {words}")
    chosen = pens or (pens_of_phone(points, rider) if compact else Pens())
    while True:
        sheet = Sheet(chosen)
        sheet.lay(bike.behind)
        if not compact:
            axis_crosses(sheet, points)
        sheet.lay(bike.bike)
        wanted = Wanted(
            points=points,
            figures=shown,
            pens=chosen,
            compact=compact,
            standover_ahead=standover_ahead,
        )
        _dimension(sheet, wanted, rider, bike.rider, changed)
        larger = larger_pens(sheet, ridden=rider is not None) if compact and not pens else None
        if larger is None:
            return sheet
        chosen = larger


def _dimension(
    sheet: Sheet,
    wanted: Wanted,
    rider: RiderPoints | None,
    before: Sheet | None,
    changed: Set[str],
) -> None:
    """Lines, the rider before them, then the lettering above all."""
    every = dimensions(wanted)
    sheet.obstacles.lines(line for dimension in every for line in dimension.in_the_way())
    for wheel in (wanted.points.rear, wanted.points.front):
        sheet.obstacles.disc(*wheel.axle, wheel.radius, _WHEEL)
        sheet.obstacles.circle(*wheel.axle, wheel.radius, _TYRE)
    keep_within(sheet, wanted.points, rider, compact=wanted.compact)
    lines = sheet.mark()
    if before is not None:
        sheet.lay(before)
    sheet.remembers = False
    spots = _places(sheet, wanted, every, rider)
    placed = [
        (dimension, spot) for dimension, spot in zip(every, spots, strict=True) if spot is not None
    ]
    left_over = [each for each, spot in zip(every, spots, strict=True) if spot is None]
    groups = {each.figure.key: _group(sheet, each, changed) for each in every}
    with sheet.under(lines):
        for dimension, at in zip(every, spots, strict=True):
            with groups[dimension.figure.key]:
                dimension.draw_lines(sheet)
                if at is not None and at.shelf is not None:
                    sheet.line(*at.shelf)
    lowest = min(spot.centre[1] - spot.shape.half_height for _, spot in placed) if placed else 0.0
    for dimension, spot in [*placed, *_rows_below(sheet, left_over, lowest)]:
        with groups[dimension.figure.key]:
            sheet.letter(spot, name=dimension.figure.name)
            sheet.revision(spot, shown=dimension.figure.key in changed)


def _places(
    sheet: Sheet, wanted: Wanted, every: Sequence[Dimension], rider: RiderPoints | None
) -> list[Spot | None]:
    """For each text a place beside its own line, else one outside the bike, else none."""
    around = outside(
        wanted.points,
        rider,
        every,
        pens=sheet.pens,
        bounds=(sheet.obstacles.left, sheet.obstacles.right),
        tier_kept=wanted.compact and two_tiers(wanted),
    )
    return place(
        [each.spots for each in every],
        sheet.obstacles,
        apart=0.5 * sheet.pens.gap,
        worst=_WORST,
        otherwise=lambda number: around.spots(every[number]),
    )


def _group(sheet: Sheet, dimension: Dimension, changed: Set[str]) -> AbstractContextManager[None]:
    """The group of a dimension, by which a page finds it."""
    figure = dimension.figure
    names = "dimension changed" if figure.key in changed else "dimension"
    return sheet.group(names, figure=f"drawing-{figure.key}", value=figure.value)


def _rows_below(
    sheet: Sheet, left_over: Sequence[Dimension], lowest: float
) -> list[tuple[Dimension, Spot]]:
    """Texts without a place, in rows below everything and the lowest other text."""
    if not left_over:
        return []
    frame, pens = sheet.frame(0.0), sheet.pens
    rows = []
    low = min(frame.bottom, lowest) - pens.tier / 2
    for dimension in left_over:
        form = dimension.forms.row
        low -= form.half_height
        rows.append((dimension, Spot((frame.left + form.half_width, low), form, "start")))
        low -= form.half_height + pens.gap
    return rows
