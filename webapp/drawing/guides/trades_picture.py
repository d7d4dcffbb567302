"""A small chart of the best trades: distance from the wish against price."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from webapp.common.text.language import tr
from webapp.drawing.svg_sheet import Pens, Sheet

_WIDE, _HIGH = 560.0, 320.0
_PENS = Pens(0.9)


@dataclass(frozen=True, kw_only=True, slots=True)
class Trade:
    """One build: how far from the wish [mm], its price as a number and as printed."""

    distance: float
    price: float
    printed: str


def trades_picture(trades: Sequence[Trade]) -> str:
    """Best trades, the nearest at the left, the dearest at the top.

    Parameters
    ----------
    trades : sequence of Trade
        Nearest first, two or more.

    Returns
    -------
    str
        One ``<svg>``; all text escaped.

    Examples
    --------
    >>> both = [Trade(distance=0.0, price=3000.0, printed="3,000 EUR"),
    ...         Trade(distance=6.0, price=2500.0, printed="2,500 EUR")]
    >>> "2,500 EUR" in trades_picture(both)
    True
    """
    sheet = Sheet(_PENS)
    furthest = max(trade.distance for trade in trades) or 1.0
    low, high = (end(trade.price for trade in trades) for end in (min, max))
    places = [
        (trade.distance / furthest * _WIDE, (trade.price - low) / ((high - low) or 1.0) * _HIGH)
        for trade in trades
    ]
    with sheet.group("dimension"):
        sheet.line((0.0, -40.0), (_WIDE + 40.0, -40.0))
        sheet.line((-20.0, -60.0), (-20.0, _HIGH + 40.0))
        sheet.text(tr("0 mm away"), (0.0, -85.0))
        furthest_words = tr("{distance:.0f} mm", distance=furthest)
        sheet.text(furthest_words, (_WIDE, -85.0))
    with sheet.group("line-a"), sheet.group("part-cockpit"):
        steps = [places[0]]
        for place in places[1:]:
            steps += [(place[0], steps[-1][1]), place]
        sheet.polyline(steps)
        for place in places:
            sheet.circle(place, 9.0)
    for trade, place in ((trades[0], places[0]), (trades[-1], places[-1])):
        sheet.text(trade.printed, (place[0] + 24.0, place[1] + 30.0), anchor="start")
    return sheet.svg(
        title=tr("Nearness against price"),
        words="; ".join(
            tr("{distance:.0f} mm away for {price}", distance=each.distance, price=each.printed)
            for each in trades
        ),
        name="trades",
        margin=2 * sheet.pens.gap,
        classes="drawing-trades",
    )
