"""Places outside the bike for a text that finds none beside its own line.

A leader runs from the dimension to the text (ISO 129 allows it where there is no room)::

          above            the rows over everything
     ________________
    behind |bike| ahead    over the rear wheel behind the saddle, over the front ahead of the bar
     ----------------      ground
          below            the rows under the lowest dimension line, or in a tier kept for them

A rider stands before the bike: then nothing stands above, and rows behind and ahead go
up as far as the head.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from webapp.drawing.dimensioning.dimensions import Dimension, Side
from webapp.drawing.dimensioning.lettering import Anchor, Shape
from webapp.drawing.dimensioning.spots import Spot
from webapp.drawing.points import BikePoints, Point, RiderPoints
from webapp.drawing.svg_sheet import Pens

_SADDLE_BACK, _GRIP_FRONT = 141.0, 22.0  # [mm] how far they reach behind and ahead of their points
_ROWS = 7  # that are tried on each side
_ROW = 1.32  # of the lettering's size, from one row to the next


@dataclass(frozen=True, kw_only=True, slots=True)
class Outside:
    """Where the bike ends on each side [mm], and the pens."""

    pens: Pens
    left: float
    right: float
    behind: float
    ahead: float
    over_rear: float
    over_front: float
    above: float
    below: tuple[float, ...]
    ridden: bool

    def spots(self, dimension: Dimension) -> Iterator[Spot]:
        """The places of a dimension's text outside, those first that its sides name first."""
        for side, start in dimension.leader:
            if not (self.ridden and side == "above"):
                for form in dimension.forms:
                    yield from self._on(side, start, form)

    def _on(self, side: Side, start: Point, form: Shape) -> Iterable[Spot]:
        if side == "above":
            return self._above(start, form)
        if side == "below":
            return self._below(start, form)
        return self._aside(side, start, form)

    def _above(self, start: Point, form: Shape) -> Iterator[Spot]:
        step = _ROW * self.pens.text
        for row in range(_ROWS):
            yield from self._hung(start, self.above + form.half_height + row * step, form)

    def _below(self, start: Point, form: Shape) -> Iterator[Spot]:
        for top in self.below:
            y = top - form.half_height
            yield from self._behind_the_middle(start, y, form)
            yield from self._hung(start, y, form)

    def _hung(self, start: Point, y: float, form: Shape) -> Iterator[Spot]:
        """On either side of a leader that runs straight up or down."""
        x, away = start[0], self.pens.gap + form.half_width
        line = (start, (x, y))
        # Nothing stands across the BB's own line, which goes up and down there.
        if x >= 0.0 or x + away + form.half_width < 0.0:
            yield Spot((x + away, y), form, "start", line)
        if x <= 0.0 or x - away - form.half_width > 0.0:
            yield Spot((x - away, y), form, "end", line)

    def _behind_the_middle(self, start: Point, y: float, form: Shape) -> Iterator[Spot]:
        """Under its leader, but behind the BB's own line."""
        x = min(start[0], -self.pens.gap - form.half_width)
        if abs(start[0] - x) < form.half_width:
            yield Spot((x, y), form, "middle", (start, (start[0], y + form.half_height)))

    def _aside(self, side: Side, start: Point, form: Shape) -> list[Spot]:
        """At the end of a leader that runs out, near the bike or at the sheet's edge."""
        behind = side == "behind"
        away = -1.0 if behind else 1.0
        anchor: Anchor = "end" if behind else "start"
        gap, wide, step = self.pens.gap, form.half_width, _ROW * self.pens.text
        low = form.half_height + (self.over_rear if behind else self.over_front)
        near = self.behind if behind else self.ahead
        bound = self.left if behind else self.right
        least = away * start[0]
        flush = away * bound - 2 * wide - gap
        ends = [
            (away * (x + gap + wide), away * x)
            for x in (max(away * near + gap, least), max(flush - 1.0, least))
        ]
        rows = [low + row * step for row in range(_ROWS)]
        return [
            Spot((middle, y), form, anchor, (start, (end, y)))
            for y in sorted(rows, key=lambda y: abs(y - start[1]))
            for middle, end in ends
        ]


def outside(
    points: BikePoints,
    rider: RiderPoints | None,
    every: Sequence[Dimension],
    *,
    pens: Pens,
    bounds: tuple[float, float],
    tier_kept: bool,
) -> Outside:
    """Where the bike with its dimension lines ends.

    Parameters
    ----------
    points : BikePoints
    rider : RiderPoints, optional
    every : sequence of Dimension
        What is dimensioned.
    pens : Pens
    bounds : (left, right) [mm]
        Of the sheet, which lettering should not make wider.
    tier_kept : bool
        The first tier below the ground holds no dimension line, so that texts may stand there.
    """
    top = points.frame.head_tube_top
    ends = [end for dimension in every for line in dimension.lines for end in line]
    lowest = min((y for _, y in ends), default=points.ground)
    rows = [lowest - 2 * pens.gap - _ROW * pens.text * row for row in range(3)]
    if tier_kept:
        rows.insert(0, points.ground - pens.gap)
    saddle = points.saddle.saddle if points.saddle else points.frame.seat_tube_top
    grips = points.cockpit.grips if points.cockpit else top
    highest = max(top[1], saddle[1], grips[1] + _GRIP_FRONT, *(y for _, y in ends))
    return Outside(
        pens=pens,
        left=bounds[0],
        right=bounds[1],
        behind=saddle[0] - (_SADDLE_BACK if points.saddle else 0.0),
        ahead=max(grips[0], points.fork.crown[0]) + _GRIP_FRONT,
        over_rear=points.rear.axle[1] + points.rear.radius + pens.gap,
        over_front=points.front.axle[1] + points.front.radius + pens.gap,
        above=highest + pens.gap,
        below=tuple(rows),
        ridden=rider is not None,
    )
