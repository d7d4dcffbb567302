"""Parts of every kind: listed, found, added, changed, priced, offered, retired."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlmodel import Session, col, or_, select

from webapp.catalogue.lookup import one, part_row, row_id
from webapp.catalogue.reading.prices import price_list_on
from webapp.catalogue.schema.part_kinds import PART_KINDS
from webapp.catalogue.tables import (
    ACTIVE,
    RETIRED,
    Cost,
    FrameModel,
    Offer,
    Part,
    Price,
)
from webapp.catalogue.writing.costs import put_cost
from webapp.catalogue.writing.parts import (
    put_offer,
    put_part,
    put_part_price,
    remove_offer,
)
from webapp.common.errors import Conflict, Gathering, Invalid
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.common.text.slugs import slug_of
from webapp.common.text.typed_numbers import read_amount
from webapp.office.forms.data_form import raw_of
from webapp.office.forms.field_words import kind_in_words
from webapp.office.forms.typed_money import cost_text, read_cost
from webapp.office.save import one_save

PAGE = 200


@dataclass(frozen=True, kw_only=True)
class Offered:
    """Whether a part is offered for a model, its place there, and whether it is the usual one."""

    model: str
    name: str
    offered: bool
    usual: bool
    position: int


@dataclass(frozen=True, kw_only=True)
class PartContent:
    """One part with everything the office keeps of it; price and cost are empty without one."""

    kind: str
    slug: str
    name: str
    retired: bool
    replaced_by: str
    data: dict[str, Any]
    price: str
    cost: str
    offers: tuple[Offered, ...]


@dataclass(frozen=True, kw_only=True)
class PartLine:
    """One part in a list."""

    kind: str
    slug: str
    name: str
    retired: bool
    replaced_by: str
    price: str
    models: str

    @property
    def kind_words(self) -> str:
        """Its kind in words."""
        return kind_in_words(self.kind)

    @property
    def state_words(self) -> str:
        """Whether it is offered, and what has replaced it."""
        if self.replaced_by:
            return tr("retired, replaced by {replaced_by}", replaced_by=self.replaced_by)
        return tr("retired") if self.retired else tr("offered")


def count_parts(session: Session) -> dict[str, int]:
    """How many parts of each kind are offered or kept, retired ones included."""
    kinds = session.exec(select(Part.kind)).all()
    return {kind: kinds.count(kind) for kind in PART_KINDS}


def list_parts(
    session: Session, *, kind: str = "", words: str = "", day: date
) -> tuple[PartLine, ...]:
    """Parts by kind and name, at most `PAGE`.

    Parameters
    ----------
    kind : str
        Of one kind; all kinds if empty.
    words : str
        Every word must occur in the part's name or its name in addresses.
    day : date
        Whose price list counts.
    """
    query = select(Part).order_by(col(Part.kind), col(Part.state), col(Part.slug)).limit(PAGE)
    if kind:
        query = query.where(Part.kind == kind)
    for word in words.split()[:8]:
        like = (col(column).icontains(word, autoescape=True) for column in (Part.name, Part.slug))
        query = query.where(or_(*like))
    rows = session.exec(query).all()
    names = {part.id: part.slug for part in session.exec(select(Part)).all()}
    prices, listed = _prices(session, day)
    models = _models_by_part(session)
    return tuple(
        PartLine(
            kind=row.kind,
            slug=row.slug,
            name=row.name,
            retired=row.state == RETIRED,
            replaced_by=names.get(row.replaced_by_id, "") if row.replaced_by_id else "",
            price=Money(prices[row_id(row)], listed).format() if row.id in prices else tr("none"),
            models=", ".join(models.get(row_id(row), ())) or tr("none"),
        )
        for row in rows
    )


def _prices(session: Session, day: date) -> tuple[dict[int, int], str]:
    listed = price_list_on(session, day)
    if listed is None:
        return {}, ""
    query = select(Price).where(Price.price_list_id == listed.id)
    found = session.exec(query).all()
    return {p.part_id: p.minor for p in found if p.part_id is not None}, listed.currency


def _models_by_part(session: Session) -> dict[int, list[str]]:
    query = (
        select(Offer.part_id, FrameModel.name)
        .join(FrameModel, col(FrameModel.id) == col(Offer.model_id))
        .order_by(col(FrameModel.position))
    )
    found: dict[int, list[str]] = {}
    for part, name in session.exec(query).all():
        found.setdefault(part, []).append(name)
    return found


def read_part(session: Session, kind: str, slug: str, *, day: date) -> PartContent:
    """One part, whole.

    Raises
    ------
    NotFound
        For a kind or part nobody knows.
    """
    row = part_row(session, kind, slug)
    replacing = session.get(Part, row.replaced_by_id) if row.replaced_by_id else None
    return PartContent(
        kind=kind,
        slug=slug,
        name=row.name,
        retired=row.state != ACTIVE,
        replaced_by=replacing.slug if replacing else "",
        data=dict(row.data),
        price=_price_text(session, row, day),
        cost=_cost_text(session, row, day),
        offers=offers_of(session, row),
    )


def _price_text(session: Session, row: Part, day: date) -> str:
    listed = price_list_on(session, day)
    found = one(session, Price, price_list_id=listed.id, part_id=row.id) if listed else None
    return Money(found.minor, listed.currency).typed() if found and listed else ""


def _cost_text(session: Session, row: Part, day: date) -> str:
    listed, found = price_list_on(session, day), one(session, Cost, part_id=row.id)
    cost = Money(found.minor, found.currency) if found else None
    return cost_text(cost, listed.currency if listed else "")


def offers_of(session: Session, row: Part | None) -> tuple[Offered, ...]:
    """For every model whether a part is offered; for a new part, none is."""
    models = session.exec(select(FrameModel).order_by(col(FrameModel.position))).all()
    own = {}
    if row is not None:
        own = {o.model_id: o for o in session.exec(select(Offer).where(Offer.part_id == row.id))}
    return tuple(
        Offered(
            model=model.slug,
            name=model.name,
            offered=row_id(model) in own,
            usual=row_id(model) in own and own[row_id(model)].standard,
            position=own[row_id(model)].position if row_id(model) in own else 100,
        )
        for model in models
    )


def new_slug(session: Session, kind: str, name: str) -> str:
    """A name in addresses for a new part of a kind.

    Raises
    ------
    Conflict
        When a part of the kind is called the same.
    """
    rows = session.exec(select(Part).where(Part.kind == kind)).all()
    if name.casefold() in {row.name.casefold() for row in rows}:
        remedy = tr("a name that no other {kind} has", kind=kind_in_words(kind))
        raise Conflict("part_name", name[:120], remedy)
    return slug_of(name, taken={row.slug for row in rows} | {"new"}, otherwise=kind)


def save_part(
    session: Session,
    *,
    who: str,
    kind: str,
    slug: str,
    texts: Mapping[str, str],
    day: date,
) -> None:
    """Keep a part from its form: name, data, price, and the models it is offered for.

    Parameters
    ----------
    texts : mapping of str to str
        ``part_name``, ``part_price``, ``part_cost``, ``offer:<model>``, ``usual:<model>``,
        ``place:<model>`` and the data's fields by their paths.
    day : date
        The price goes into the list that counts on this day.

    Raises
    ------
    Invalid
        For texts that cannot be used, all at once; nothing is kept then.
    """
    gathering = Gathering()
    model = PART_KINDS.get(kind)
    if model is None:
        raise Invalid("kind", kind, tr("one of {choices}", choices=", ".join(PART_KINDS)))
    with one_save(session):
        name = texts.get("part_name", "").strip()
        raw = raw_of(model, texts)
        gathering.take(
            lambda: put_part(session, who=who, kind=kind, slug=slug, name=name, data=raw)
        )
        gathering.finish()
        gathering.take(lambda: _save_price(session, who, (kind, slug), texts, day))
        if "part_cost" in texts:
            gathering.take(lambda: _save_cost(session, who, (kind, slug), texts, day))
        for offer in offers_of(session, None):
            gathering.take(lambda o=offer: _save_offer(session, who, (kind, slug), texts, o.model))  # type: ignore[misc]
        gathering.finish()


def _save_price(
    session: Session, who: str, part: tuple[str, str], texts: Mapping[str, str], day: date
) -> None:
    text = texts.get("part_price", "").strip()
    listed = price_list_on(session, day)
    if not text:
        return
    if listed is None:
        raise Invalid("part_price", text, tr("a price list that applies today; add one first"))
    minor = read_amount("part_price", text, listed.currency).minor
    put_part_price(
        session, who=who, price_list=listed.slug, kind=part[0], slug=part[1], minor=minor
    )


def _save_cost(
    session: Session, who: str, part: tuple[str, str], texts: Mapping[str, str], day: date
) -> None:
    listed = price_list_on(session, day)
    cost = read_cost(texts["part_cost"], listed.currency if listed else "", "part_cost")
    minor, currency = (cost.minor, cost.currency) if cost else (None, "")
    put_cost(session, who=who, key="/".join(part), minor=minor, currency=currency)


def _save_offer(
    session: Session, who: str, part: tuple[str, str], texts: Mapping[str, str], model: str
) -> None:
    kind, slug = part
    if texts.get(f"offer:{model}") != "yes":
        remove_offer(session, who=who, model=model, kind=kind, slug=slug)
        return
    place = texts.get(f"place:{model}", "").strip() or "100"
    if not place.isascii() or not place.isdigit() or len(place) > 5:  # noqa: PLR2004  # a place
        raise Invalid(f"place:{model}", place[:20], tr("a whole number; the smallest stands first"))
    usual = texts.get(f"usual:{model}") == "yes"
    put_offer(
        session, who=who, model=model, kind=kind, slug=slug, position=int(place), standard=usual
    )
