"""The catalogue as it would be with changes of parts that are not in force yet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from types import MappingProxyType
from typing import Any

from sqlmodel import Session, col, select

from webapp.catalogue.lookup import model_row, one
from webapp.catalogue.reading.assumed import with_assumed
from webapp.catalogue.reading.load import list_models, load_catalogue
from webapp.catalogue.reading.prices import EVERYBODY, Buyer, prices_for
from webapp.catalogue.reading.views import AnyPart, Catalogue, PartView
from webapp.catalogue.row_changes import OFFER, PART, PRICE, RowChange
from webapp.catalogue.schema.part_kinds import PART_KINDS
from webapp.catalogue.tables import RETIRED, Offer, Part

Key = tuple[str, str]
_Offers = dict[Key, tuple[int, bool]]  # place in the list, whether it is the usual choice


def load_as_changed(
    session: Session,
    model: str,
    changes: Sequence[RowChange],
    *,
    on: date,
    buyer: Buyer = EVERYBODY,
) -> Catalogue:
    """A model's newest published revision, with some changes in it; nothing is written.

    Parameters
    ----------
    session : Session
        A reading session.
    model : str
        The model's slug.
    changes : sequence of RowChange
    on : date
        Day whose prices count.
    buyer : Buyer
        Whose prices count.

    Returns
    -------
    Catalogue
        Never cached: it belongs to this request alone.

    Raises
    ------
    NotFound
        As `load_catalogue`.
    """
    base = load_catalogue(session, model, on=on, buyer=buyer)
    wanted = {c.key: (c.after or {}).get("minor") for c in changes if c.table == PRICE}
    prices = prices_for(session, buyer, on, wanted)
    offers = _offers(session, model)
    for change in changes:
        name, _, key = change.key.partition("/")
        if change.table == OFFER and name == model:
            kind, _, slug = key.partition("/")
            offers.pop((kind, slug), None)
            if change.after is not None:
                offers[kind, slug] = (change.after["position"], change.after["standard"])
    changed = {c.key: c.after for c in changes if c.table == PART}
    known = {(p.kind, p.slug): p for listed in base.parts.values() for p in listed}
    parts: dict[str, list[AnyPart]] = {kind: [] for kind in PART_KINDS}
    for (kind, slug), (_, standard) in sorted(offers.items(), key=_in_order):
        own = changed.get(f"{kind}/{slug}")
        part = known.get((kind, slug)) or _unknown(session, kind, slug)
        if own is not None:
            part = _as_changed(kind, slug, own)
        if part is not None:
            price = prices.part(kind, slug)
            kept = (part.standard, part.price) == (standard, price)
            parts[kind].append(part if kept else replace(part, standard=standard, price=price))
    sizes = tuple(
        size
        if size.surcharge == (own_price := prices.surcharge(model, size.slug))
        else replace(size, surcharge=own_price)
        for size in base.sizes
    )
    offered = MappingProxyType({kind: tuple(views) for kind, views in parts.items()})
    return replace(
        base,
        sizes=sizes,
        parts=with_assumed(offered, base.revision.data, sizes),
        frame_price=prices.frame(model) or base.frame_price,
    )


def _in_order(item: tuple[Key, tuple[int, bool]]) -> tuple[int, str]:
    (_, slug), (position, _) = item
    return position, slug


def _offers(session: Session, model: str) -> _Offers:
    query = (
        select(Part.kind, Part.slug, Offer.position, Offer.standard)
        .join(Offer, col(Offer.part_id) == col(Part.id))
        .where(Offer.model_id == model_row(session, model).id)
    )
    return {(kind, slug): (place, usual) for kind, slug, place, usual in session.exec(query).all()}


def _unknown(session: Session, kind: str, slug: str) -> AnyPart | None:
    """A part that the model was not offered with."""
    row = one(session, Part, kind=kind, slug=slug)
    if row is None:
        return None
    return _as_changed(kind, slug, {"name": row.name, "state": row.state, "data": row.data})


def _as_changed(kind: str, slug: str, values: dict[str, Any]) -> AnyPart:
    return PartView(
        slug=slug,
        kind=kind,
        name=values["name"],
        data=PART_KINDS[kind].model_validate(values["data"]),
        price=None,
        retired=values["state"] == RETIRED,
        replaced_by=values.get("replaced_by") or None,
        standard=False,
    )


def models_of(session: Session, changes: Sequence[RowChange]) -> Iterator[str]:
    """Slugs of the models whose frames, parts or prices some changes touch."""
    named = {change.key.partition("/")[0] for change in changes if change.table == OFFER}
    parts = {change.key for change in changes if change.table == PART}
    priced = {c.key.partition("/")[2] for c in changes if c.table == PRICE}
    for model in list_models(session):
        offered = {f"{kind}/{slug}" for kind, slug in _offers(session, model.slug)}
        frames = any(key.split("/")[:2] == ["frame", model.slug] for key in priced)
        if model.slug in named or frames or offered & (parts | priced):
            yield model.slug
