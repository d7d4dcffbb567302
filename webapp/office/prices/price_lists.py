"""Price lists with their days, and the prices in them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from sqlmodel import Session, col, select

from webapp.catalogue.lookup import price_list_row, row_id
from webapp.catalogue.reading.costs import costs
from webapp.catalogue.reading.prices import FRAMES, Buyer, price_list_on, whom
from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.tables import (
    PUBLISHED,
    RETIRED,
    FrameModel,
    FrameRevision,
    FrameSize,
    Part,
    Price,
    PriceList,
)
from webapp.catalogue.writing.costs import put_cost
from webapp.catalogue.writing.parts import put_frame_price, put_part_price, put_price_list
from webapp.common.errors import Conflict, Gathering, Invalid
from webapp.common.text.dates import day_in_words
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.common.text.typed_numbers import read_amount
from webapp.office.forms.typed_money import margin_words
from webapp.office.save import one_save


@dataclass(frozen=True, kw_only=True)
class ListView:
    """One price list; ``counts`` says whether it counts today for those it is for.

    ``whom`` says in words who they are; empty for everybody.
    """

    slug: str
    name: str
    currency: str
    valid_from: date
    valid_to: date | None
    tax_included: bool
    customer_group: str
    region: str
    prices: int
    counts: bool
    whom: str

    @property
    def for_whom(self) -> str:
        """Whose prices they are, in words."""
        return self.whom or tr("everybody")

    @property
    def since(self) -> str:
        """Its first day, in words."""
        return day_in_words(self.valid_from)

    @property
    def until(self) -> str:
        """Its last day, in words."""
        return day_in_words(self.valid_to) if self.valid_to else tr("open")

    @property
    def tax_words(self) -> str:
        """Whether its prices hold the tax."""
        return tr("included") if self.tax_included else tr("on top")

    @property
    def counts_words(self) -> str:
        """Whether it is the one that counts today."""
        return tr("Applies today.") if self.counts else tr("Does not apply today.")


@dataclass(frozen=True, kw_only=True)
class PriceLine:
    """One thing that has or could have a price; ``key`` names it, as in the keys of `Prices`.

    ``cost`` is what it costs the shop, ``margin`` what is left of the price, both printed.
    """

    key: str
    label: str
    amount: str
    faded: bool
    cost: str = ""
    margin: str = ""

    @property
    def field(self) -> str:
        """Its price's name in the form."""
        return f"price:{self.key}"

    @property
    def cost_field(self) -> str:
        """Its cost's name in the form."""
        return f"cost:{self.key}"


def price_lists(session: Session, *, today: date) -> tuple[ListView, ...]:
    """Every price list, the newest first."""
    query = select(PriceList).order_by(col(PriceList.valid_from).desc(), col(PriceList.id).desc())
    return tuple(_view(session, row, today=today) for row in session.exec(query).all())


def price_list(session: Session, slug: str, *, today: date) -> ListView:
    """One price list.

    Raises
    ------
    NotFound
        For a list nobody knows.
    """
    return _view(session, price_list_row(session, slug), today=today)


def _view(session: Session, row: PriceList, *, today: date) -> ListView:
    prices = session.exec(select(Price.id).where(Price.price_list_id == row.id)).all()
    values = row.model_dump(exclude={"id"})
    buyer = Buyer(group=row.customer_group, region=row.region)
    now = price_list_on(session, today, buyer)
    counts = now is not None and row.id == now.id
    return ListView(**values, prices=len(prices), counts=counts, whom=whom(session, buyer))


def price_lines(session: Session, slug: str, kind: str) -> tuple[PriceLine, ...]:
    """Prices of one kind of thing in a list, those without one too.

    Raises
    ------
    NotFound
        For a list nobody knows.
    """
    listed = price_list_row(session, slug)
    found = session.exec(select(Price).where(Price.price_list_id == listed.id)).all()
    if kind == FRAMES:
        amounts = {(p.model_id, p.size): p.minor for p in found if p.model_id is not None}
        return _with_costs(session, listed, _frame_lines(session, amounts, listed.currency))
    minor = {p.part_id: p.minor for p in found if p.part_id is not None}
    query = select(Part).where(Part.kind == kind).order_by(col(Part.state), col(Part.slug))
    lines = tuple(
        PriceLine(
            key=f"{part.kind}/{part.slug}",
            label=part.name,
            amount=_text(minor.get(row_id(part)), listed.currency),
            faded=part.state == RETIRED,
        )
        for part in session.exec(query).all()
    )
    return _with_costs(session, listed, lines)


def _with_costs(
    session: Session, listed: PriceList, lines: tuple[PriceLine, ...]
) -> tuple[PriceLine, ...]:
    """The same with what each costs the shop, and what is left."""
    known, settings = costs(session), settings_data(session)
    tax = settings.tax_percent if listed.tax_included else Decimal(0)
    return tuple(
        replace(
            line,
            cost=known[line.key].typed(),
            margin=_margin(line, known[line.key], listed.currency, tax),
        )
        if line.key in known
        else line
        for line in lines
    )


def _margin(line: PriceLine, cost: Money, currency: str, tax: Decimal) -> str:
    if cost.currency != currency:
        return cost.format()
    price = read_amount("price", line.amount, currency) if line.amount else None
    return margin_words(price, cost, tax_percent=tax)


def _frame_lines(
    session: Session, amounts: Mapping[tuple[int, str], int], currency: str
) -> tuple[PriceLine, ...]:
    lines = []
    models = session.exec(select(FrameModel).order_by(col(FrameModel.position))).all()
    for model in models:
        for size, name in (("", ""), *_sizes(session, row_id(model))):
            lines.append(
                PriceLine(
                    key=f"{FRAMES}/{model.slug}/{size}".rstrip("/"),
                    label=tr("{name} frame", name=model.name)
                    if not size
                    else tr("{model}, {size}: surcharge", model=model.name, size=name),
                    amount=_text(amounts.get((row_id(model), size)), currency),
                    faded=False,
                )
            )
    return tuple(lines)


def _sizes(session: Session, model_id: int) -> tuple[tuple[str, str], ...]:
    """Sizes of every published revision of a model."""
    query = (
        select(FrameSize.slug, FrameSize.name)
        .join(FrameRevision, col(FrameRevision.id) == col(FrameSize.revision_id))
        .where(FrameRevision.model_id == model_id, FrameRevision.state == PUBLISHED)
        .order_by(col(FrameRevision.number), col(FrameSize.position))
    )
    return tuple(dict(session.exec(query).all()).items())


def _text(minor: int | None, currency: str) -> str:
    return "" if minor is None else Money(minor, currency).typed()


def save_prices(
    session: Session, *, who: str, slug: str, kind: str, texts: Mapping[str, str]
) -> None:
    """Keep the prices of a form; an empty field that had none stays without.

    Raises
    ------
    Invalid
        For amounts that cannot be used, all at once; nothing is kept then. A
        price is never taken away: retire the part, or begin a new list.
    """
    listed, gathering = price_list_row(session, slug), Gathering()
    with one_save(session):
        for line in price_lines(session, slug, kind):
            text = texts.get(line.field, line.amount).strip()
            if text != line.amount:
                gathering.take(lambda f=line.field, t=text: _keep(session, who, listed, f, t))  # type: ignore[misc]
            cost = texts.get(line.cost_field, line.cost).strip()
            if cost != line.cost:
                gathering.take(lambda at=line, t=cost: _keep_cost(session, who, listed, at, t))  # type: ignore[misc]
        gathering.finish()


def _keep(session: Session, who: str, listed: PriceList, field: str, text: str) -> None:
    if not text:
        raise Invalid(
            field, text, tr("an amount; a price is not taken away, retire the part instead")
        )
    minor = read_amount(field, text, listed.currency).minor
    steps = field.removeprefix("price:").split("/")
    if steps[0] == FRAMES:
        size = steps[2] if len(steps) > 2 else ""  # noqa: PLR2004  # frame/model/size
        put_frame_price(
            session, who=who, price_list=listed.slug, model=steps[1], size=size, minor=minor
        )
    else:
        put_part_price(
            session, who=who, price_list=listed.slug, kind=steps[0], slug=steps[1], minor=minor
        )


def _keep_cost(session: Session, who: str, listed: PriceList, line: PriceLine, text: str) -> None:
    minor = read_amount(line.cost_field, text, listed.currency).minor if text else None
    put_cost(session, who=who, key=line.key, minor=minor, currency=listed.currency)


@dataclass(frozen=True, kw_only=True)
class ListForm:
    """The form of a price list, as texts."""

    slug: str
    name: str
    currency: str
    valid_from: str
    valid_to: str
    tax_included: bool
    customer_group: str = ""
    region: str = ""


def save_list(session: Session, *, who: str, form: ListForm, copied: str = "") -> None:
    """Keep a price list's own data; a new one may begin with another's prices.

    Parameters
    ----------
    form : ListForm
    copied : str
        The list whose prices a new one begins with, of the same currency.

    Raises
    ------
    Invalid
        For texts that cannot be used.
    Conflict
        For prices copied from a list of another currency.
    """
    days = Gathering()
    start = days.take(lambda: _day(form.valid_from, "valid_from"))
    end = days.take(lambda: _day(form.valid_to, "valid_to") if form.valid_to.strip() else None)
    days.finish()
    assert start is not None  # noqa: S101  # refused above
    with one_save(session):
        put_price_list(
            session,
            who=who,
            slug=form.slug.strip(),
            name=form.name,
            currency=form.currency,
            valid_from=start,
            valid_to=end,
            tax_included=form.tax_included,
            customer_group=form.customer_group,
            region=form.region,
        )
        if copied:
            _copy(session, who=who, source=copied, slug=form.slug.strip())


def _day(text: str, field: str) -> date:
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise Invalid(field, text[:40], tr("a day such as 2026-03-01")) from None


def _copy(session: Session, *, who: str, source: str, slug: str) -> None:
    other, own = price_list_row(session, source), price_list_row(session, slug)
    if other.currency != own.currency:
        raise Conflict("copied", source, tr("a list in {currency}", currency=own.currency))
    parts = {row_id(part): part for part in session.exec(select(Part)).all()}
    models = {row_id(model): model.slug for model in session.exec(select(FrameModel)).all()}
    for price in session.exec(select(Price).where(Price.price_list_id == other.id)).all():
        if price.part_id is not None:
            part = parts[price.part_id]
            put_part_price(
                session, who=who, price_list=slug, kind=part.kind, slug=part.slug, minor=price.minor
            )
        elif price.model_id is not None:
            put_frame_price(
                session,
                who=who,
                price_list=slug,
                model=models[price.model_id],
                size=price.size,
                minor=price.minor,
            )
