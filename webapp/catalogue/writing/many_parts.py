"""Many parts written at once, in a few large statements: others wait a moment, not minutes.

What is kept and remembered is what `webapp.catalogue.writing.parts` keeps and remembers
one by one. The rows were checked before, against a catalogue whose stamp still counts.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, TypeVar
from uuid import uuid4

from sqlalchemy import Connection, bindparam, insert, select, update
from sqlmodel import Session, SQLModel, col

from webapp.catalogue.lookup import price_list_row, row_id
from webapp.catalogue.tables import Cost, Edit, FrameModel, Offer, Part, Price, Stamp
from webapp.catalogue.writing.change_log import snapshot
from webapp.common.errors import Conflict
from webapp.common.text.language import tr
from webapp.common.text.money import Money

Row = TypeVar("Row", bound=SQLModel)

_AT_ONCE = 500


@dataclass(frozen=True, kw_only=True)
class PartRow:
    """One part as it is to be: checked data, price, cost and the models it is offered for."""

    kind: str
    slug: str
    name: str
    data: Mapping[str, Any]
    minor: int | None = None
    cost: Money | None = None
    offers: tuple[tuple[str, int, bool], ...] = ()
    """(model, position, whether it is the usual choice) of each."""


Key = tuple[str, str]


@dataclass
class _Writing:
    """Rows to be written, and the edits to be remembered, in their order."""

    who: str
    at: datetime
    edits: list[dict[str, Any]] = field(default_factory=list)

    def remember(self, row: SQLModel, key: str, before: dict[str, Any] | None) -> bool:
        """Remember a change; False where there is none."""
        after = snapshot(row)
        if after == before:
            return False
        table = str(row.__tablename__)
        self.edits.append(
            {"at": self.at, "who": self.who, "row_table": table, "row_key": key,
             "before": before, "after": after}
        )  # fmt: skip
        return True


def stamp_of(session: Session) -> str:
    """The stamp that identifies this state of the catalogue."""
    found = session.get(Stamp, 1)
    return found.token if found else ""


def put_parts(
    session: Session,
    rows: Sequence[PartRow],
    *,
    who: str,
    at: datetime,
    price_list: str,
    stamp: str,
) -> None:
    """Add or change many parts, their prices and what they are offered for.

    Parameters
    ----------
    session : Session
        A writing session; nothing was changed in it yet.
    rows : sequence of PartRow
        Each part once; data as its kind's class has passed it.
    who : str
    at : datetime
        The one moment of all its edits.
    price_list : str
        Slug of the list the prices go into; may be empty when there are none.
    stamp : str
        Of the catalogue the rows were checked against.

    Raises
    ------
    Conflict
        When the catalogue was changed since; nothing is written then.
    """
    kept = session.get(Stamp, 1, with_for_update=True)
    if (kept.token if kept else "") != stamp:
        raise Conflict(
            "catalogue", None, tr("one that nobody changes meanwhile; try the file again")
        )
    connection, writing = session.connection(), _Writing(who, at)
    numbers = _put_parts(connection, writing, rows)
    _put_prices(session, writing, rows, numbers, price_list)
    _put_costs(connection, writing, rows, numbers)
    _put_offers(session, writing, rows, numbers)
    _insert(connection, Edit, writing.edits)
    kept = kept or Stamp()
    kept.token = uuid4().hex
    session.add(kept)
    session.flush()


def _put_parts(
    connection: Connection, writing: _Writing, rows: Sequence[PartRow]
) -> dict[Key, int]:
    """The parts themselves; gives their numbers."""
    known = {(part.kind, part.slug): part for part in _all(connection, Part)}
    new, changed = list[Part](), list[Part]()
    for row in rows:
        part = known.get((row.kind, row.slug))
        before = snapshot(part) if part else None
        part = part or Part(kind=row.kind, slug=row.slug, name=row.name, data={})
        part.name, part.data = row.name, dict(row.data)
        if writing.remember(part, f"{row.kind}/{row.slug}", before):
            (changed if before else new).append(part)
    _insert(connection, Part, [snapshot(part) for part in new])
    _update(connection, Part, [(p.id, {"name": p.name, "data": p.data}) for p in changed])
    found = connection.execute(select(col(Part.kind), col(Part.slug), col(Part.id)))
    return {(kind, slug): int(number or 0) for kind, slug, number in found}


def _put_prices(
    session: Session,
    writing: _Writing,
    rows: Sequence[PartRow],
    numbers: Mapping[Key, int],
    price_list: str,
) -> None:
    priced = [row for row in rows if row.minor is not None]
    if not priced:
        return
    connection, listed = session.connection(), row_id(price_list_row(session, price_list))
    known = {p.part_id: p for p in _all(connection, Price) if p.price_list_id == listed}
    new, changed = list[Price](), list[Price]()
    for row in priced:
        part = numbers[row.kind, row.slug]
        price = known.get(part)
        before = snapshot(price) if price else None
        price = price or Price(price_list_id=listed, part_id=part, minor=0)
        price.minor = row.minor or 0
        if writing.remember(price, f"{price_list}/{row.kind}/{row.slug}", before):
            (changed if before else new).append(price)
    _insert(connection, Price, [snapshot(price) for price in new])
    _update(connection, Price, [(p.id, {"minor": p.minor}) for p in changed])


def _put_costs(
    connection: Connection, writing: _Writing, rows: Sequence[PartRow], numbers: Mapping[Key, int]
) -> None:
    costing = [(row, row.cost) for row in rows if row.cost is not None]
    known = {c.part_id: c for c in _all(connection, Cost)} if costing else {}
    new, changed = list[Cost](), list[Cost]()
    for row, amount in costing:
        part = numbers[row.kind, row.slug]
        cost = known.get(part)
        before = snapshot(cost) if cost else None
        cost = cost or Cost(part_id=part, minor=0, currency="")
        cost.minor, cost.currency = amount.minor, amount.currency
        if writing.remember(cost, f"{row.kind}/{row.slug}", before):
            (changed if before else new).append(cost)
    _insert(connection, Cost, [snapshot(cost) for cost in new])
    values = [(c.id, {"minor": c.minor, "currency": c.currency}) for c in changed]
    _update(connection, Cost, values)


def _put_offers(
    session: Session, writing: _Writing, rows: Sequence[PartRow], numbers: Mapping[Key, int]
) -> None:
    """What is offered for which model; a new usual choice replaces the old."""
    connection = session.connection()
    models = {m.slug: row_id(m) for m in _all(connection, FrameModel)}
    named = {number: key for key, number in numbers.items()}
    offers = {(o.model_id, o.part_id): o for o in _all(connection, Offer)}
    usual: dict[tuple[int, str], dict[int, Offer]] = {}
    for offer in offers.values():
        if offer.standard:
            kind = named[offer.part_id][0]
            usual.setdefault((offer.model_id, kind), {})[offer.part_id] = offer
    touched: dict[tuple[int, int], Offer] = {}
    for row in rows:
        part = numbers[row.kind, row.slug]
        for model, position, standard in row.offers:
            at, before = (models[model], part), None
            holders = usual.setdefault((models[model], row.kind), {})
            for other in [number for number in holders if standard and number != part]:
                _change(writing, holders.pop(other), model, named[other], standard=False)
                touched[models[model], other] = offers[models[model], other]
            if at in offers:
                before = snapshot(offers[at])
            else:
                offers[at] = Offer(model_id=at[0], part_id=part, position=position)
            offer = offers[at]
            offer.position, offer.standard = position, standard
            if standard:
                holders[part] = offer
            else:
                holders.pop(part, None)
            if writing.remember(offer, f"{model}/{row.kind}/{row.slug}", before):
                touched[at] = offer
    _insert(connection, Offer, [snapshot(o) for o in touched.values() if o.id is None])
    _update(
        connection,
        Offer,
        [
            (offer.id, {"position": offer.position, "standard": offer.standard})
            for offer in touched.values()
            if offer.id is not None
        ],
    )


def _change(writing: _Writing, offer: Offer, model: str, key: Key, *, standard: bool) -> None:
    before = snapshot(offer)
    offer.standard = standard
    writing.remember(offer, f"{model}/{key[0]}/{key[1]}", before)


def _all(connection: Connection, table: type[Row]) -> Iterable[Row]:
    """Every row, as values that no session watches."""
    for row in connection.execute(select(table.__table__)).mappings():  # type: ignore[attr-defined]
        yield table(**row)


def _insert(connection: Connection, table: type[SQLModel], rows: Sequence[dict[str, Any]]) -> None:
    for begin in range(0, len(rows), _AT_ONCE):
        connection.execute(insert(table), list(rows[begin : begin + _AT_ONCE]))


def _update(
    connection: Connection,
    table: type[SQLModel],
    rows: Sequence[tuple[int | None, dict[str, Any]]],
) -> None:
    if rows:
        own = table.__table__  # type: ignore[attr-defined]
        values: dict[str, Any] = {name: bindparam(f"new_{name}") for name in rows[0][1]}
        change = update(own).where(own.c.id == bindparam("number")).values(values)
        connection.execute(
            change,
            [
                {"number": number} | {f"new_{name}": value for name, value in new.items()}
                for number, new in rows
            ],
        )
