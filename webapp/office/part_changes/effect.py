"""The effect of a change of parts or prices: on the table, on builds, on open quotes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache

from sqlmodel import Session

from geometry.core import GeometryError
from webapp.builds.choice.build_choice import BuildChoice, read_choice
from webapp.builds.choice.places import PLACE_OF, PLACES
from webapp.builds.pricing import price_of
from webapp.catalogue.reading.as_changed import load_as_changed, models_of
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.prices import EVERYBODY, Buyer, buyers, whom
from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.row_changes import OFFER, PART, RowChange
from webapp.common.errors import DomainError, remedy_in_words
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.office.effect.combined import MOST_PARTS
from webapp.office.effect.open_quotes import TouchedQuote, touched_quotes
from webapp.office.effect.summary import Effect, effect_of
from webapp.office.revision_changes.side_by_side import standing
from webapp.pricing.totals import signed_money


@dataclass(frozen=True, kw_only=True)
class ShownRow:
    """One figure of the default build in every size; cells are (before, after, change)."""

    name: str
    unit: str
    changed: bool
    cells: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, kw_only=True)
class ModelEffect:
    """What a change does to one model.

    Parameters
    ----------
    name : str
        Of the model.
    sizes : tuple of str
    rows : tuple of ShownRow
        Figures and price of the default build, those that change.
    swaps : tuple of str
        Which parts of the default build are others, in words.
    builds : Effect or None
        None where no build could be affected, or they cannot be computed.
    quotes : tuple of TouchedQuote
        Open ones that are touched.
    problem : str
        Why it cannot be computed; empty when it can.
    unseen : int
        Changed parts that were not looked at one by one.
    """

    name: str
    sizes: tuple[str, ...]
    rows: tuple[ShownRow, ...]
    swaps: tuple[str, ...]
    builds: Effect | None
    quotes: tuple[TouchedQuote, ...]
    problem: str
    unseen: int

    @property
    def is_none(self) -> bool:
        """Whether nothing of the model changes."""
        return not (self.rows or self.swaps or self.quotes or self.problem or self.builds_change)

    @property
    def builds_change(self) -> bool:
        """Whether any build stops or begins to be orderable, or changes a figure."""
        found = self.builds
        return found is not None and bool(
            found.lost or found.won or found.flips or found.figures or found.droppers
        )


def effects_of(
    session: Session, changes: Sequence[RowChange], *, today: date
) -> tuple[ModelEffect, ...]:
    """What changes do to every model they touch.

    Parameters
    ----------
    session : Session
        A reading session; nothing is written.
    changes : sequence of RowChange
    today : date
    """
    return tuple(_effect(session, slug, changes, today) for slug in models_of(session, changes))


def _effect(session: Session, model: str, changes: Sequence[RowChange], today: date) -> ModelEffect:

    @cache
    def priced_for(buyer: Buyer) -> tuple[Catalogue, Catalogue]:
        return (
            load_catalogue(session, model, on=today, buyer=buyer),
            load_as_changed(session, model, changes, on=today, buyer=buyer),
        )

    before, after = priced_for(EVERYBODY)
    others = {whom(session, buyer): priced_for(buyer) for buyer in buyers(session, today)}
    own = _usual(before), _usual(after)
    parts = tuple(_parts_changed(changes, before, after))
    builds, problem = None, ""
    rows: tuple[ShownRow, ...] = ()
    try:
        if parts:
            builds = effect_of(before, after, parts)
            rows = tuple(_figures(before, after, own))
        quotes = touched_quotes(session, before, after, today=today, priced_for=priced_for)
    except (GeometryError, DomainError) as error:
        problem, quotes = remedy_in_words(error), ()
    return ModelEffect(
        name=before.model.name,
        sizes=tuple(size.name for size in after.sizes),
        rows=(
            *_prices(before, after, tr("Price of the default build")),
            *(
                row
                for name, pair in others.items()
                for row in _prices(*pair, tr("Price of the default build for {whom}", whom=name))
            ),
            *rows,
        ),
        swaps=tuple(_swaps(before, after, own)),
        builds=builds,
        quotes=tuple(quote for quote in quotes if quote.is_touched),
        problem=problem,
        unseen=max(0, len(parts) - MOST_PARTS),
    )


def _usual(catalogue: Catalogue) -> BuildChoice:
    return read_choice(catalogue, {}).choice


def _parts_changed(
    changes: Sequence[RowChange], before: Catalogue, after: Catalogue
) -> Iterator[tuple[str, str]]:
    """Parts of the model that are added, removed or fit differently, each once."""
    keys = [c.key for c in changes if c.table == PART]
    keys += [c.key.partition("/")[2] for c in changes if c.table == OFFER]
    for key in dict.fromkeys(keys):
        kind, _, slug = key.partition("/")
        was, now = (
            next((p for p in one.offered(kind) if p.slug == slug), None) for one in (before, after)
        )
        if was is None and now is None:
            continue
        if was is None or now is None or (was.data, was.standard) != (now.data, now.standard):
            yield kind, slug


def _figures(
    before: Catalogue, after: Catalogue, own: tuple[BuildChoice, BuildChoice]
) -> Iterator[ShownRow]:
    for row in standing((before, own[0]), (after, own[1])):
        if row.changes_at_all:
            yield ShownRow(name=row.name, unit=row.unit, changed=True, cells=row.shown())


def _prices(before: Catalogue, after: Catalogue, name: str) -> Iterator[ShownRow]:
    """What the default build costs in every size, where any of it changes."""
    pairs = [tuple(_price(one, size.slug) for one in (before, after)) for size in after.sizes]
    if before.currency == after.currency and any(was != now for was, now in pairs):
        cells = tuple(
            (
                was.format(),
                now.format(),
                signed_money(now - was) if was != now else "",
            )
            for was, now in pairs
        )
        yield ShownRow(name=name, unit="", changed=True, cells=cells)


def _price(catalogue: Catalogue, size: str) -> Money:
    choice = read_choice(catalogue, {"size": [size]}).choice
    return price_of(catalogue, choice).gross


def _swaps(
    before: Catalogue, after: Catalogue, own: tuple[BuildChoice, BuildChoice]
) -> Iterator[str]:
    for place in PLACES:
        was, now = own[0].parts[place.name], own[1].parts[place.name]
        if was != now:
            kind = PLACE_OF[place.name].kind
            names = [
                one.part(kind, slug).name if slug else tr("none")
                for one, slug in ((before, was), (after, now))
            ]
            yield tr("{place}: {before} becomes {after}", place=place.label, before=names[0],
                     after=names[1])  # fmt: skip
