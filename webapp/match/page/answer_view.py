"""One build that answers a wish, as it is shown."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TYPE_CHECKING

from markupsafe import Markup

from webapp.builds.choice.build_choice import address_of, query_of
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.common.text.reader import said_length
from webapp.drawing.guides.trades_picture import Trade, trades_picture
from webapp.match.difference_words import difference_words
from webapp.match.page.typed_wish import TypedWish
from webapp.match.wish import Answer

if TYPE_CHECKING:
    from webapp.match.page.page_context import Taken

_KINDS: Mapping[str, str] = MappingProxyType(
    {
        "closest": tr("The closest"),
        "closest_as_sold": tr("The closest with the fewest parts changed"),
        "cheapest": tr("The cheapest that is near enough"),
        "nearest_handling": tr("The one that handles most like your bike"),
    }
)


@dataclass(frozen=True, kw_only=True)
class AnswerView:
    """One build that answers."""

    title: str
    distance: str
    differences: tuple[str, ...]
    what: str
    price: Money
    address: str
    quote_address: str


def answer_view(answer: Answer, typed: TypedWish, taken: Taken) -> AnswerView:
    """An answer with how it differs, where it opens and where it is quoted."""
    wished, result = typed.target or typed.wish.target, answer.result
    grip = answer.grip[0] - wished.grip[0], answer.grip[1] - wished.grip[1]
    saddle = answer.saddle[0] - wished.saddle[0], answer.saddle[1] - wished.saddle[1]
    parts = result.assembly.parts
    choice = replace(result.choice, rider=taken.rider)
    return AnswerView(
        title=_KINDS.get(answer.kind, ""),
        distance=said_length(answer.distance),
        differences=difference_words(grip, saddle),
        what=tr(
            "Size {size}, {fork}, {stem}, {handlebar}, {spacers:.0f} mm of spacers.",
            size=result.assembly.size.name,
            fork=parts["fork"].name,
            stem=parts["stem"].name,
            handlebar=parts["handlebar"].name,
            spacers=result.choice.spacers,
        ),
        price=result.price.gross,
        address=taken.others.along(address_of(choice)),
        quote_address=taken.others.along(f"/quote/{choice.model}?{query_of(choice)}"),
    )


def picture_of(trades: Sequence[Answer]) -> Markup:
    """The chart of the best trades; nothing for a single one."""
    if len(trades) < 2:  # noqa: PLR2004  # one build is no trade
        return Markup("")
    drawn = trades_picture(
        [
            Trade(
                distance=each.distance,
                price=float(each.result.price.gross.minor),
                printed=each.result.price.gross.format(),
            )
            for each in trades
        ]
    )
    return Markup(drawn)  # noqa: S704  # the drawing escapes every text it is given
