"""Reading the catalogue: views, in few queries, remembered until something changes.

One query asks whether anything changed; only then is the catalogue read again.
What is remembered belongs to one database (its connection pool) and is dropped
with it, at every edit, and when the day ends: else a service that nobody edits
would hold the catalogues of many days, each with all that was computed from it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from types import MappingProxyType
from typing import Any, cast
from weakref import WeakKeyDictionary

from sqlalchemy import Engine
from sqlalchemy.pool import Pool
from sqlmodel import Session, col, select

from webapp.catalogue.lookup import model_row, revision_row
from webapp.catalogue.reading.assumed import with_assumed
from webapp.catalogue.reading.frame_inputs import frame_of
from webapp.catalogue.reading.prices import EVERYBODY, Buyer, Prices, prices_for
from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.reading.trade_names import TradeNames
from webapp.catalogue.reading.views import (
    AnyPart,
    Catalogue,
    ModelView,
    PartView,
    RevisionView,
    SizeView,
    StyleView,
)
from webapp.catalogue.schema.frames import RevisionData, SizeData
from webapp.catalogue.schema.part_kinds import PART_KINDS
from webapp.catalogue.schema.shop import PostureWindows
from webapp.catalogue.tables import (
    ACTIVE,
    DRAFT,
    PUBLISHED,
    RETIRED,
    SHOWN,
    FrameModel,
    FrameRevision,
    FrameSize,
    Offer,
    Part,
    RidingStyle,
    Stamp,
    TradeName,
)
from webapp.common.errors import NotFound
from webapp.common.memory import NOTHING, Memory
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.common.timestamps import day_of, now

_Key = tuple[str, int | None, date, bool, Buyer]
_MOST = 32  # catalogues kept for one database; a handful is in use at a time

_remembered: WeakKeyDictionary[Pool, tuple[tuple[str, date], Memory]] = WeakKeyDictionary()


def load_catalogue(
    session: Session,
    model: str,
    revision: int | None = None,
    *,
    on: date | None = None,
    drafts: bool = False,
    buyer: Buyer = EVERYBODY,
) -> Catalogue:
    """Everything needed to compute, check and price builds of one model revision.

    Parameters
    ----------
    session : Session
        A reading session.
    model : str
        The model's slug.
    revision : int, optional
        Its number; the newest published one when not given. Withdrawn ones open
        by number.
    on : date, optional
        Day whose price list counts; today when not given.
    drafts : bool
        Whether a draft may be opened by its number.
    buyer : Buyer
        Whose prices count.

    Returns
    -------
    Catalogue

    Raises
    ------
    NotFound
        For an unknown model or revision, a draft without ``drafts``, a model
        with nothing published, or a day without a price list.
    """
    key = (model, revision, on or day_of(now()), drafts, buyer)
    return _at(session, _kept(session, edition(session)), key)


def load_beside_newest(
    session: Session, model: str, revision: int | None
) -> tuple[Catalogue, Catalogue]:
    """A revision of a model as `load_catalogue` gives it, and the newest published one.

    Raises
    ------
    NotFound
        As `load_catalogue`.
    """
    kept, day = _kept(session, edition(session)), day_of(now())
    asked = _at(session, kept, (model, revision, day, False, EVERYBODY))
    return asked, _at(session, kept, (model, None, day, False, EVERYBODY))


def _at(session: Session, kept: Memory, key: _Key) -> Catalogue:
    """The catalogue of a key; the newest revision is one catalogue, however it is asked for."""
    found = kept.find(key)
    if found is not NOTHING:
        return cast("Catalogue", found)
    model, revision, day, drafts, buyer = key
    newest = kept.find((model, None, day, drafts, buyer))
    if newest is not NOTHING and newest.revision.number == revision:
        return kept.keep(key, cast("Catalogue", newest))
    read = _read(session, model, revision, prices_for(session, buyer, day), drafts=drafts)
    if revision is None:
        kept.put((model, read.revision.number, day, drafts, buyer), read)
    return kept.keep(key, read)


def list_models(session: Session) -> tuple[ModelView, ...]:
    """Models shown that have a published revision, in the builder's order."""
    published = select(FrameRevision.model_id).where(FrameRevision.state == PUBLISHED)
    query = select(FrameModel).where(col(FrameModel.id).in_(published), FrameModel.state == SHOWN)
    rows = session.exec(query.order_by(col(FrameModel.position), col(FrameModel.slug))).all()
    return tuple(_model_view(row) for row in rows)


def models_on_offer(session: Session) -> tuple[ModelView, ...]:
    """The same models as `list_models`, at least one.

    Raises
    ------
    NotFound
        When the builder has published none yet.
    """
    models = list_models(session)
    if not models:
        raise NotFound("model", "", tr("the builder has published no model yet"))
    return models


def list_revisions(
    session: Session, model: str, *, drafts: bool = False
) -> tuple[RevisionView, ...]:
    """Revisions of a model, newest first; drafts only when asked for.

    Raises
    ------
    NotFound
        For an unknown model.
    """
    query = select(FrameRevision).where(FrameRevision.model_id == model_row(session, model).id)
    if not drafts:
        query = query.where(FrameRevision.state != DRAFT)
    rows = session.exec(query.order_by(col(FrameRevision.number).desc())).all()
    return tuple(_revision_view(row) for row in rows)


def models_beside(session: Session, catalogue: Catalogue) -> tuple[ModelView, ...]:
    """`list_models`, read once for a catalogue: whatever changes it makes another catalogue."""
    return catalogue.memory.of("models beside", lambda: list_models(session))


def revisions_beside(session: Session, catalogue: Catalogue) -> tuple[RevisionView, ...]:
    """`list_revisions` of its model, without drafts, read once for a catalogue."""
    model = catalogue.model.slug
    return catalogue.memory.of("revisions beside", lambda: list_revisions(session, model))


def _kept(session: Session, stamp: str) -> Memory:
    # An uncommitted edit has its own random stamp, so what a writing session reads is never
    # given to another session.
    pool = session.get_bind().engine.pool
    mark = (stamp, day_of(now()))
    known, kept = _remembered.get(pool, (None, None))
    if kept is None or known != mark:
        kept = Memory(most=_MOST)
        _remembered[pool] = (mark, kept)
    return kept


def _read(
    session: Session, model: str, revision: int | None, prices: Prices, *, drafts: bool
) -> Catalogue:
    frame_model = model_row(session, model)
    view = _revision_view(row := _revision(session, frame_model, revision, drafts=drafts))
    frame_price = prices.frame(model)
    if frame_price is None:
        raise NotFound("frame price", model, tr("a price in the list {slug}", slug=prices.slug))
    sizes = _sizes(session, row, view, model, prices)
    parts = _parts(session, frame_model, prices)
    in_order = select(RidingStyle).order_by(col(RidingStyle.position), col(RidingStyle.slug))
    styles = session.exec(in_order).all()
    return Catalogue(
        model=_model_view(frame_model),
        revision=view,
        sizes=sizes,
        parts=with_assumed(parts, view.data, sizes),
        frame_price=frame_price,
        currency=prices.currency,
        price_list=prices.name,
        tax_included=prices.tax_included,
        settings=settings_data(session),
        styles=_styles(styles, ACTIVE),
        former_styles=_styles(styles, RETIRED),
        trade_names=trade_names(session),
    )


def _revision(
    session: Session, model: FrameModel, number: int | None, *, drafts: bool
) -> FrameRevision:
    if number is not None:
        row = revision_row(session, model, number)
        if row.state == DRAFT and not drafts:
            raise NotFound("revision", number, tr("a published one; this one is still a draft"))
        return row
    query = (
        select(FrameRevision)
        .where(FrameRevision.model_id == model.id, FrameRevision.state == PUBLISHED)
        .order_by(col(FrameRevision.number).desc())
    )
    found = session.exec(query).first()
    if found is None:
        raise NotFound("model", model.slug, tr("a model with a published revision"))
    return found


def _sizes(
    session: Session,
    row: FrameRevision,
    revision: RevisionView,
    model: str,
    prices: Prices,
) -> tuple[SizeView, ...]:
    query = select(FrameSize).where(FrameSize.revision_id == row.id)
    views = []
    for size in session.exec(query.order_by(col(FrameSize.position), col(FrameSize.slug))).all():
        data = SizeData.model_validate(size.data)
        views.append(
            SizeView(
                slug=size.slug,
                name=size.name,
                position=size.position,
                data=data,
                frame=frame_of(data, revision.data.drawn_with),
                surcharge=prices.surcharge(model, size.slug),
            )
        )
    return tuple(views)


def _parts(
    session: Session, model: FrameModel, prices: Prices
) -> Mapping[str, tuple[AnyPart, ...]]:
    query = (
        select(Part, Offer)
        .join(Offer, col(Offer.part_id) == col(Part.id))
        .where(Offer.model_id == model.id)
        .order_by(col(Offer.position), col(Part.slug))
    )
    rows = session.exec(query).all()
    slugs = {part.id: part.slug for part, _ in rows}
    parts: dict[str, list[AnyPart]] = {kind: [] for kind in PART_KINDS}
    for part, offer in rows:
        price = prices.part(part.kind, part.slug)
        replaced_by = slugs.get(part.replaced_by_id)
        parts[part.kind].append(_part_view(part, offer, price, replaced_by))
    return MappingProxyType({kind: tuple(views) for kind, views in parts.items()})


def _part_view(part: Part, offer: Offer, price: Money | None, replaced_by: str | None) -> AnyPart:
    return PartView(
        slug=part.slug,
        kind=part.kind,
        name=part.name,
        data=PART_KINDS[part.kind].model_validate(part.data),
        price=price,
        retired=part.state == RETIRED,
        replaced_by=replaced_by,
        standard=offer.standard,
    )


def trade_names(session: Session) -> TradeNames:
    """What the builder calls the codes of fitting standards."""
    rows = session.exec(select(TradeName)).all()
    return TradeNames(MappingProxyType({row.code: row.name for row in rows}))


def _styles(rows: Sequence[RidingStyle], state: str) -> tuple[StyleView, ...]:
    return tuple(
        StyleView(slug=s.slug, name=s.name, windows=PostureWindows.model_validate(s.data))
        for s in rows
        if s.state == state
    )


def _model_view(row: FrameModel) -> ModelView:
    return ModelView(
        slug=row.slug, name=row.name, summary=row.summary, retired=row.state == RETIRED
    )


def _revision_view(row: FrameRevision) -> RevisionView:
    values: dict[str, Any] = row.model_dump(exclude={"id", "model_id", "data"})
    return RevisionView(**values, data=RevisionData.model_validate(row.data))


_TOKEN = select(Stamp.token)


def edition(session: Session) -> str:
    """A mark that changes with every edit of the catalogue; empty before the first."""
    return session.connection().scalar(_TOKEN) or ""


def edition_now(engine: Engine) -> str:
    """The same mark, read without a session by callers that read nothing else."""
    with engine.connect() as connection:
        return connection.scalar(_TOKEN) or ""
