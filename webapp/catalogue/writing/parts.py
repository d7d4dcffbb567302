"""Writes parts, offers for models, and prices, through this module only."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Annotated, Any, Self

from pydantic import Field, model_validator
from sqlmodel import Session, col, select

from webapp.catalogue.lookup import model_row, one, part_row, price_list_row, row_id
from webapp.catalogue.schema.fields import Data, Mismatch, Name, Slug
from webapp.catalogue.schema.part_kinds import PART_KINDS
from webapp.catalogue.schema.validation import checked
from webapp.catalogue.tables import (
    ACTIVE,
    GROUP,
    REGION,
    RETIRED,
    Offer,
    Part,
    Price,
    PriceList,
    PriceScope,
)
from webapp.catalogue.writing.change_log import forget, keep
from webapp.common.errors import Conflict, Invalid
from webapp.common.text.language import tr
from webapp.common.text.money import EXPONENTS

DEAREST = 100_000_000  # minor units; a slip of the keyboard, not a price


class _Named(Data):
    slug: Slug
    name: Name


class _Listed(Data):
    """A price list's own data."""

    slug: Slug
    name: Name
    currency: Annotated[str, Field(description=f"one of {', '.join(EXPONENTS)}")]
    valid_from: date
    valid_to: date | None = None
    tax_included: bool
    customer_group: Annotated[str, Field(max_length=60)] = ""
    region: Annotated[str, Field(max_length=60)] = ""

    @model_validator(mode="after")
    def _possible(self) -> Self:
        if self.currency not in EXPONENTS:
            raise Mismatch("currency", tr("one of {choices}", choices=", ".join(EXPONENTS)))
        if self.valid_to is not None and self.valid_to < self.valid_from:
            raise Mismatch("valid_to", tr("not before valid_from"))
        return self


def put_part(
    session: Session, *, who: str, kind: str, slug: str, name: str, data: Mapping[str, Any] | Data
) -> Part:
    """Add a part, or change the one of that kind and slug.

    Raises
    ------
    Invalid
        For an unknown kind, or data that fails the kind's class.
    """
    if kind not in PART_KINDS:
        raise Invalid("kind", kind, tr("one of {choices}", choices=", ".join(PART_KINDS)))
    at = f"{kind}.{slug}"
    checked(_Named, {"slug": slug, "name": name}, at=at)
    valid = checked(PART_KINDS[kind], data, at=at)
    row = one(session, Part, kind=kind, slug=slug) or Part(kind=kind, slug=slug, name=name, data={})
    key = f"{kind}/{slug}"
    keep(session, row, who=who, key=key, name=name, data=valid.model_dump(mode="json"))
    return row


def retire_part(
    session: Session, *, who: str, kind: str, slug: str, replaced_by: str | None = None
) -> Part:
    """Take a part out of what is offered; builds that have it still open.

    Parameters
    ----------
    replaced_by : str, optional
        Slug of the part of the same kind that takes its place.

    Raises
    ------
    NotFound
        For an unknown part or replacement.
    Invalid
        For a part replaced by itself, or by a part that is retired.
    """
    row = part_row(session, kind, slug)
    other = None if replaced_by is None else part_row(session, kind, replaced_by)
    if other is not None and (other.id == row.id or other.state == RETIRED):
        raise Invalid(
            "replaced_by", replaced_by, tr("another {kind} that is not retired", kind=kind)
        )
    values = {"state": RETIRED, "replaced_by_id": other.id if other else None}
    keep(session, row, who=who, key=f"{kind}/{slug}", **values)
    return row


def restore_part(session: Session, *, who: str, kind: str, slug: str) -> Part:
    """Offer a retired part again.

    Raises
    ------
    NotFound
        For an unknown part.
    """
    row = part_row(session, kind, slug)
    keep(session, row, who=who, key=f"{kind}/{slug}", state=ACTIVE, replaced_by_id=None)
    return row


def put_offer(
    session: Session,
    *,
    who: str,
    model: str,
    kind: str,
    slug: str,
    position: int,
    standard: bool = False,
) -> Offer:
    """Offer a part for a model, or change its place; a new usual choice replaces the old.

    Raises
    ------
    NotFound
        For an unknown model or part.
    """
    frame_model, part = model_row(session, model), part_row(session, kind, slug)
    if standard:
        _no_other_standard(session, who=who, model=model, part=part)
    row = one(session, Offer, model_id=frame_model.id, part_id=part.id)
    row = row or Offer(model_id=row_id(frame_model), part_id=row_id(part), position=position)
    key = f"{model}/{kind}/{slug}"
    keep(session, row, who=who, key=key, position=position, standard=standard)
    return row


def remove_offer(session: Session, *, who: str, model: str, kind: str, slug: str) -> None:
    """Stop offering a part for a model; nothing happens when it was not offered.

    Raises
    ------
    NotFound
        For an unknown model or part.
    """
    frame_model, part = model_row(session, model), part_row(session, kind, slug)
    row = one(session, Offer, model_id=frame_model.id, part_id=part.id)
    if row is not None:
        forget(session, row, who=who, key=f"{model}/{kind}/{slug}")


def _no_other_standard(session: Session, *, who: str, model: str, part: Part) -> None:
    frame_model = model_row(session, model)
    query = (
        select(Offer, Part.slug)
        .join(Part, col(Part.id) == col(Offer.part_id))
        .where(Offer.model_id == frame_model.id, Part.kind == part.kind)
        .where(col(Offer.standard).is_(True), Part.id != part.id)
    )
    for offer, slug in session.exec(query).all():
        keep(session, offer, who=who, key=f"{model}/{part.kind}/{slug}", standard=False)


def put_price_list(
    session: Session,
    *,
    who: str,
    slug: str,
    name: str,
    currency: str,
    valid_from: date,
    valid_to: date | None = None,
    tax_included: bool,
    customer_group: str = "",
    region: str = "",
) -> PriceList:
    """Add a price list, or change the one of that slug.

    Parameters
    ----------
    customer_group, region : str
        Slugs of whom and where it is for; empty for everybody, everywhere.

    Raises
    ------
    Invalid
        For an unknown currency, group or region, or days the wrong way round.
    Conflict
        When the currency of a list that has prices would change.
    """
    raw: dict[str, Any] = {"slug": slug, "name": name, "currency": currency}
    raw["tax_included"] = tax_included
    raw |= {"customer_group": customer_group, "region": region}
    valid = checked(_Listed, raw | {"valid_from": valid_from, "valid_to": valid_to}, at=slug)
    for kind, field, named in (
        (GROUP, "customer_group", customer_group),
        (REGION, "region", region),
    ):
        if named and one(session, PriceScope, kind=kind, slug=named) is None:
            raise Invalid(f"{slug}.{field}", named, tr("one that is kept here; add it first"))
    row = one(session, PriceList, slug=slug)
    if row is not None and row.currency != currency and one(session, Price, price_list_id=row.id):
        remedy = tr(
            "{currency}, since the list has prices in it; begin another list", currency=row.currency
        )
        raise Conflict(f"{slug}.currency", currency, remedy)
    row = row or PriceList(slug=slug, name=name, currency=currency, valid_from=valid_from)
    keep(session, row, who=who, key=slug, **valid.model_dump())
    return row


def _known_scope(session: Session, kind: str, slug: str, field: str) -> None:
    if slug and one(session, PriceScope, kind=kind, slug=slug) is None:
        raise Invalid(field, slug, tr("one that is kept here; add it first"))


def put_part_price(
    session: Session, *, who: str, price_list: str, kind: str, slug: str, minor: int
) -> Price:
    """Set the price of a part in a list.

    Parameters
    ----------
    minor : int
        Price in minor units of the list's currency.

    Raises
    ------
    NotFound
        For an unknown list or part.
    Invalid
        For a price that is negative, no whole number or out of all reason.
    """
    part = part_row(session, kind, slug)
    return _put(session, who, price_list, f"{kind}/{slug}", minor, part_id=part.id)


def put_frame_price(
    session: Session, *, who: str, price_list: str, model: str, minor: int, size: str = ""
) -> Price:
    """Set the price of a model's frame, or with ``size`` that size's surcharge.

    Raises
    ------
    NotFound
        For an unknown list or model.
    Invalid
        For a price that is negative, no whole number or out of all reason.
    """
    frame_model = model_row(session, model)
    key = f"frame/{model}/{size}".rstrip("/")
    return _put(session, who, price_list, key, minor, model_id=frame_model.id, size=size)


def _put(session: Session, who: str, listed: str, key: str, minor: int, **of: Any) -> Price:
    price_list = price_list_row(session, listed)
    if type(minor) is not int or not 0 <= minor <= DEAREST:
        remedy = tr("a whole number of minor units from 0 to {dearest}", dearest=DEAREST)
        raise Invalid(f"{key}.price", minor, remedy)
    of = {"price_list_id": price_list.id, **of}
    row = one(session, Price, **of)
    if row is None:
        row = Price(**of, minor=minor)
    keep(session, row, who=who, key=f"{listed}/{key}", minor=minor)
    return row
