"""The price of a part or a frame for a customer, in a country, on a day.

Price lists are valid side by side: one for everybody, others for a group of customers
(dealers) or a region, or for both. The most specific one that is valid on the day counts; for
items it lacks, the next one counts, among lists of the same currency and tax.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

from sqlmodel import Session, col, or_, select

from webapp.catalogue.tables import (
    GROUP,
    REGION,
    FrameModel,
    Part,
    Price,
    PriceList,
    PriceScope,
)
from webapp.common.errors import NotFound
from webapp.common.text.language import tr
from webapp.common.text.money import Money

FRAMES = "frame"
"""The kind under which frames and their sizes' surcharges stand."""


@dataclass(frozen=True, kw_only=True)
class Buyer:
    """Whose prices are asked for: a group of customers and a region by their slugs.

    Empty: no group, and no region.
    """

    group: str = ""
    region: str = ""


EVERYBODY = Buyer()
"""Who reads the public pages."""


@dataclass(frozen=True, kw_only=True)
class Scope:
    """A group of customers or a region that prices can be for; regions name their countries."""

    slug: str
    name: str
    countries: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Prices:
    """Prices of one buyer on one day.

    Parameters
    ----------
    slug, name, currency, tax_included
        Of the most specific list.
    minor : mapping of str to int
        Minor units by ``kind/slug`` of a part, ``frame/model`` and ``frame/model/size``.
    """

    slug: str
    name: str
    currency: str
    tax_included: bool
    minor: Mapping[str, int]

    def of(self, key: str) -> Money | None:
        """The price of a thing, None where it has none."""
        found = self.minor.get(key)
        return None if found is None else Money(found, self.currency)

    def part(self, kind: str, slug: str) -> Money | None:
        """The price of a part, None where it has none."""
        return self.of(f"{kind}/{slug}")

    def frame(self, model: str) -> Money | None:
        """The price of a model's frame, None where it has none."""
        return self.of(f"{FRAMES}/{model}")

    def surcharge(self, model: str, size: str) -> Money:
        """What a size costs more than the frame's own price."""
        return self.of(f"{FRAMES}/{model}/{size}") or Money(0, self.currency)


def groups(session: Session) -> tuple[Scope, ...]:
    """Groups of customers that have prices of their own, by name."""
    return _scopes(session, GROUP)


def regions(session: Session) -> tuple[Scope, ...]:
    """Regions that have prices of their own, by name."""
    return _scopes(session, REGION)


def _scopes(session: Session, kind: str) -> tuple[Scope, ...]:
    query = select(PriceScope).where(PriceScope.kind == kind).order_by(col(PriceScope.name))
    return tuple(
        Scope(slug=row.slug, name=row.name, countries=tuple(row.countries))
        for row in session.exec(query).all()
    )


def buyer_of(session: Session, *, group: str = "", country: str = "") -> Buyer:
    """The buyer that a customer is, by their group and their country's two letters."""
    for region in regions(session):
        if country and country in region.countries:
            return Buyer(group=group, region=region.slug)
    return Buyer(group=group)


def buyers(session: Session, day: date) -> tuple[Buyer, ...]:
    """Everybody whose prices can be others on a day, in whose name a list is valid; by name."""
    query = select(PriceList).where(col(PriceList.valid_from) <= day)
    rows = session.exec(query).all()
    found = {
        Buyer(group=row.customer_group, region=row.region)
        for row in rows
        if row.valid_to is None or row.valid_to >= day
    }
    return tuple(sorted(found - {EVERYBODY}, key=lambda buyer: whom(session, buyer)))


def whom(session: Session, buyer: Buyer) -> str:
    """Whom prices are for, in words; empty for everybody."""
    group = {each.slug: each.name for each in groups(session)}.get(buyer.group, "")
    region = {each.slug: each.name for each in regions(session)}.get(buyer.region, "")
    if group and region:
        return tr("{group} in {region}", group=group, region=region)
    return group or region


def price_list_on(session: Session, day: date, buyer: Buyer = EVERYBODY) -> PriceList | None:
    """The price list that counts for a buyer on a day, or None."""
    return next(iter(_lists(session, day, buyer)), None)


def prices_for(
    session: Session,
    buyer: Buyer,
    day: date,
    changed: Mapping[str, int | None] = MappingProxyType({}),
) -> Prices:
    """What everything costs a buyer on a day.

    Parameters
    ----------
    session : Session
    buyer : Buyer
    day : date
    changed : mapping of str to int or None
        Prices that count in place of those kept, by list and key: ``eur-2026/stem/40-0``;
        None for one that is not there.

    Raises
    ------
    NotFound
        For a day on which no price list is valid for them.
    """
    lists = _lists(session, day, buyer)
    if not lists:
        raise NotFound("price list", day.isoformat(), tr("a day on which a price list is valid"))
    closest = lists[0]
    alike = [
        each
        for each in lists
        if (each.currency, each.tax_included) == (closest.currency, closest.tax_included)
    ]
    minor: dict[str, int] = {}
    for each in reversed(alike):
        own: dict[str, int | None] = {**prices_in(session, each)}
        begin = f"{each.slug}/"
        own |= {k.removeprefix(begin): v for k, v in changed.items() if k.startswith(begin)}
        minor |= {key: value for key, value in own.items() if value is not None}
    return Prices(
        slug=closest.slug,
        name=closest.name,
        currency=closest.currency,
        tax_included=closest.tax_included,
        minor=minor,
    )


def prices_in(session: Session, listed: PriceList) -> dict[str, int]:
    """Minor units of everything one list names, by the keys of `Prices`."""
    named = col(Part.kind) + "/" + col(Part.slug)
    query = (
        select(Price.minor, Price.size, named, FrameModel.slug)
        .outerjoin(Part, col(Part.id) == col(Price.part_id))
        .outerjoin(FrameModel, col(FrameModel.id) == col(Price.model_id))
        .where(Price.price_list_id == listed.id)
    )
    return {
        part or f"{FRAMES}/{model}/{size}".rstrip("/"): minor
        for minor, size, part, model in session.exec(query).all()
    }


def _lists(session: Session, day: date, buyer: Buyer) -> Sequence[PriceList]:
    """The newest valid list of each scope, the most specific first."""
    still = or_(col(PriceList.valid_to).is_(None), col(PriceList.valid_to) >= day)
    query = (
        select(PriceList)
        .where(col(PriceList.valid_from) <= day, still)
        .where(col(PriceList.customer_group).in_({"", buyer.group}))
        .where(col(PriceList.region).in_({"", buyer.region}))
        .order_by(col(PriceList.valid_from).desc(), col(PriceList.id).desc())
    )
    newest: dict[tuple[bool, bool], PriceList] = {}
    for row in session.exec(query).all():
        newest.setdefault((bool(row.customer_group), bool(row.region)), row)
    return [newest[closeness] for closeness in sorted(newest, reverse=True)]
