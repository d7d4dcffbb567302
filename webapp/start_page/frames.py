"""The frames as the first screen shows them, computed once for each edition of the catalogue."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from urllib.parse import urlencode

from markupsafe import Markup

from webapp.builds.choice.build_choice import Query, read_choice
from webapp.builds.evaluation import BuildResult, compute
from webapp.builds.points import points_of
from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.schema.shop import StartingPoint
from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.drawing.elevation import elevation


@dataclass(frozen=True, kw_only=True)
class Start:
    """A starting point that can be ordered: its words, the fields of its build, its price."""

    name: str
    words: str
    query: str
    price: Money


@dataclass(frozen=True, kw_only=True)
class Frame:
    """One frame: what it is, drawn, from which price, in which sizes."""

    slug: str
    name: str
    summary: str
    drawing: Markup
    price_from: Money | None
    sizes: tuple[str, ...]
    starts: tuple[Start, ...]


def frame_of(catalogue: Catalogue) -> Frame:
    """One model's frame, remembered while its catalogue lives.

    Parameters
    ----------
    catalogue : Catalogue
        Of the published revision.

    Returns
    -------
    Frame
        Without starting points that cannot be ordered as the catalogue is now.
    """
    return catalogue.memory.of("frame on the first page", lambda: _frame(catalogue))


def fields_of(start: StartingPoint) -> dict[str, list[str]]:
    """The fields of a build's address that a starting point sets."""
    found = {part.place: [part.part] for part in start.parts}
    numbers = {"slot": start.slot, "luggage": start.luggage}
    return found | {name: [f"{value:g}"] for name, value in numbers.items() if value}


def _frame(catalogue: Catalogue) -> Frame:
    usual = _orderable(catalogue, {})
    starts = tuple(_starts(catalogue))
    prices = [start.price for start in starts] + ([usual.price.gross] if usual else [])
    return Frame(
        slug=catalogue.model.slug,
        name=catalogue.model.name,
        summary=catalogue.model.summary,
        drawing=_drawing(usual),
        price_from=min(prices, key=lambda money: money.minor, default=None),
        sizes=tuple(size.name for size in catalogue.sizes),
        starts=starts,
    )


def _starts(catalogue: Catalogue) -> Iterator[Start]:
    for start in catalogue.settings.starting_points:
        if start.model != catalogue.model.slug:
            continue
        fields = fields_of(start)
        result = _orderable(catalogue, fields)
        if result is not None:
            query = urlencode(fields, doseq=True)
            yield Start(name=start.name, words=start.words, query=query, price=result.price.gross)


def _orderable(catalogue: Catalogue, fields: Query) -> BuildResult | None:
    """A build of these fields; None where it cannot be ordered."""
    try:
        result = compute(catalogue, read_choice(catalogue, fields).strict())
    except Invalid:
        return None
    return result if result.can_be_ordered else None


def _drawing(usual: BuildResult | None) -> Markup:
    if usual is None:
        return Markup("")
    model = usual.catalogue.model
    svg = elevation(
        points_of(usual),
        {},
        title=tr("{model}, drive side, as it is usually built", model=model.name),
        layout="compact",
        name=f"frame-{model.slug}",
    )
    return Markup(svg)  # noqa: S704  # the drawing escapes every text it is given
