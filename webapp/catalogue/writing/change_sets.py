"""Changes of parts, offers, prices and costs as values: collected, put in force, taken back.

A change says of one row, by its name and without numbers, how it was and how it is to be.
Many of them are written in a few statements, so that others wait for a moment only. What
somebody else changed in between is kept: field by field, unless both changed the same.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import uuid4

from sqlmodel import Session, SQLModel, col, func, select

from webapp.catalogue.row_changes import COST, FRAME, OFFER, OWN, PART, PRICE, RowChange, Values
from webapp.catalogue.tables import (
    Cost,
    Edit,
    FrameModel,
    Offer,
    Part,
    Price,
    PriceList,
    Stamp,
)
from webapp.catalogue.writing.change_log import snapshot
from webapp.common.errors import Conflict, Problem
from webapp.common.text.language import tr


class ChangedMeanwhile(Conflict):
    """Somebody else changed the same; each problem names what, and how it is now."""


def tried(session: Session, work: Callable[[], object]) -> tuple[RowChange, ...]:
    """What a function would change; nothing of it is saved.

    Parameters
    ----------
    session : Session
        A writing session.
    work : callable
        Changes parts, offers, prices and costs through the functions of this package.
    """
    last = session.exec(select(func.max(Edit.id))).one() or 0
    within = session.begin_nested()
    try:
        work()
        session.flush()
        slugs = {part.id: part.slug for part in session.exec(select(Part)).all()}
        query = select(Edit).where(col(Edit.id) > last).order_by(col(Edit.id))
        found: dict[tuple[str, str], RowChange] = {}
        for edit in session.exec(query).all():
            at = (edit.row_table, edit.row_key)
            first = found[at].before if at in found else _values(edit.row_table, edit.before, slugs)
            after = _values(edit.row_table, edit.after, slugs)
            found[at] = RowChange(table=at[0], key=at[1], before=first, after=after)
    finally:
        within.rollback()
        session.expire_all()
    return tuple(change for change in found.values() if change.before != change.after)


def _values(
    table: str, row: Mapping[str, Any] | None, slugs: Mapping[int | None, str]
) -> Values | None:
    if row is None:
        return None
    named = dict(row)
    if table == PART:
        named["replaced_by"] = slugs.get(row["replaced_by_id"], "")
    return {name: named[name] for name in OWN[table]}


def apply(
    session: Session,
    changes: Sequence[RowChange],
    *,
    who: str,
    at: datetime,
    over: bool = False,
) -> None:
    """Put changes in force, all of them as one save.

    Parameters
    ----------
    session : Session
        A writing session.
    changes : sequence of RowChange
    who : str
    at : datetime
        The one moment of all its edits.
    over : bool
        Overwrite what somebody else has changed since.

    Raises
    ------
    ChangedMeanwhile
        Where somebody has, with every conflict; nothing is written then.
    """
    # Writers queue at this one row, so a reader's stamp is never newer than what is seen.
    stamp = session.get(Stamp, 1, with_for_update=True) or Stamp()
    writing = _Writing(session, who, at, over)
    for table in (PART, OFFER, PRICE, COST):
        writing.put(table, [c for c in changes if c.table == table and c.after is not None])
    for table in (COST, PRICE, OFFER, PART):
        writing.remove(table, [c for c in changes if c.table == table and c.after is None])
    writing.finish()
    stamp.token = uuid4().hex
    session.add(stamp)
    session.flush()


@dataclass
class _Writing:
    """Rows being written, conflicts found, and the edits for the change log."""

    session: Session
    who: str
    at: datetime
    over: bool
    problems: list[Problem] = field(default_factory=list)
    edits: list[Edit] = field(default_factory=list)

    def __post_init__(self) -> None:
        session = self.session
        self.parts = {f"{p.kind}/{p.slug}": p for p in session.exec(select(Part)).all()}
        self.models = {m.slug: m.id or 0 for m in session.exec(select(FrameModel)).all()}
        self.lists = {p.slug: p.id or 0 for p in session.exec(select(PriceList)).all()}
        self._rows: dict[str, dict[str, SQLModel]] = {PART: dict(self.parts)}

    def rows(self, table: str) -> dict[str, SQLModel]:
        """Every row of a table by its name."""
        if table not in self._rows:
            self._rows[table] = dict(self._named(table))
        return self._rows[table]

    def _named(self, table: str) -> Iterator[tuple[str, SQLModel]]:
        parts = {part.id: key for key, part in self.parts.items()}
        models = {number: slug for slug, number in self.models.items()}
        lists = {number: slug for slug, number in self.lists.items()}
        if table == OFFER:
            for offer in self.session.exec(select(Offer)).all():
                yield f"{models[offer.model_id]}/{parts[offer.part_id]}", offer
            return
        for row in self._priced(table):
            frame = f"{FRAME}/{models.get(row.model_id or 0)}/{row.size}".rstrip("/")
            key = parts[row.part_id] if row.part_id else frame
            yield (f"{lists[row.price_list_id]}/{key}" if isinstance(row, Price) else key), row

    def _priced(self, table: str) -> Sequence[Price | Cost]:
        if table == PRICE:
            return self.session.exec(select(Price)).all()
        return self.session.exec(select(Cost)).all()

    def put(self, table: str, changes: Sequence[RowChange]) -> None:
        """Write rows that exist after the change."""
        kept = []
        for change in changes:
            row = self.rows(table).get(change.key)
            before = snapshot(row) if row is not None else None
            values = self._merged(change, self._now(table, row))
            row = row if row is not None else self._new(table, change.key)
            if row is None:
                self._against(change, tr("it is not there any more"))
                continue
            self._set(table, row, values)
            self.rows(table)[change.key] = row
            self.session.add(row)
            kept.append((change.key, row, before))
        if self.problems:
            return
        self.session.flush()
        if table == PART:
            self.parts = {key: row for key, row in self.rows(PART).items() if isinstance(row, Part)}
            self._replace(changes)
        for key, row, before in kept:
            self._remember(table, key, before, snapshot(row))

    def _replace(self, changes: Sequence[RowChange]) -> None:
        """Which part takes a retired one's place, once all of them have numbers."""
        for change in changes:
            part, kind = self.parts[change.key], change.key.partition("/")[0]
            other = self.parts.get(f"{kind}/{(change.after or {}).get('replaced_by', '')}")
            part.replaced_by_id = other.id if other else None
        self.session.flush()

    def remove(self, table: str, changes: Sequence[RowChange]) -> None:
        """Delete rows that do not exist after the change."""
        if self.problems:
            return
        for change in changes:
            row = self.rows(table).pop(change.key, None)
            if row is None:
                continue
            now = self._now(table, row)
            if now != change.before and not self.over:
                self._against(change, tr("somebody has changed it since"))
                continue
            if table == PART and self._is_used(row):
                self._against(change, tr("it has been offered or priced since"))
                continue
            self._remember(table, change.key, snapshot(row), None)
            self.session.delete(row)
        self.session.flush()

    def _is_used(self, part: SQLModel) -> bool:
        number = getattr(part, "id", None)
        tables = (self.rows(t).values() for t in (OFFER, PRICE, COST))
        return any(getattr(row, "part_id", None) == number for rows in tables for row in rows)

    def _now(self, table: str, row: SQLModel | None) -> Values | None:
        slugs = {part.id: part.slug for part in self.parts.values()} if table == PART else {}
        return None if row is None else _values(table, snapshot(row), slugs)

    def _merged(self, change: RowChange, now: Values | None) -> Values:
        """How the row is to be, with what somebody else has changed of it since."""
        after = dict(change.after or {})
        if now == change.before or now is None:
            return after
        was = change.before or {}
        merged, clashes = three_ways(was, now, after)
        if clashes and not self.over:
            for name, value in clashes.items():
                shown = now.get("data", {}).get(name, now.get(name))
                self.problems.append(Problem(f"{change.key}.{name}", shown, _clash_words(value)))
        return merged

    def _against(self, change: RowChange, words: str) -> None:
        self.problems.append(Problem(change.key, None, words))

    def _new(self, table: str, key: str) -> SQLModel | None:
        steps = key.split("/")
        if table == PART:
            return Part(kind=steps[0], slug=steps[1], name="", data={})
        begin = steps.pop(0) if table in (OFFER, PRICE) else ""
        part = self.parts.get("/".join(steps))
        of: Values = {"part_id": part.id} if part else {}
        if not of and steps[0] == FRAME and steps[1] in self.models:
            of = {"model_id": self.models[steps[1]], "size": "/".join(steps[2:])}
        if not of:
            return None
        if table == OFFER:
            return Offer(model_id=self.models[begin], position=0, **of)
        if table == PRICE:
            return Price(price_list_id=self.lists[begin], minor=0, **of)
        return Cost(minor=0, currency="", **of)

    def _set(self, table: str, row: SQLModel, values: Values) -> None:
        for name in OWN[table]:
            if name != "replaced_by":
                setattr(row, name, values[name])

    def _remember(self, table: str, key: str, before: Values | None, after: Values | None) -> None:
        if before != after:
            edit = Edit(at=self.at, who=self.who, row_table=table, row_key=key)
            edit.before, edit.after = before, after
            self.edits.append(edit)

    def finish(self) -> None:
        """Save the edits, or refuse with every conflict."""
        if self.problems:
            raise ChangedMeanwhile.of(self.problems)
        self.session.add_all(self.edits)


def _clash_words(value: object) -> str:
    return tr("changed by somebody else since; this change would make it {value}", value=value)


def three_ways(was: Values, now: Values, after: Values) -> tuple[Values, Values]:
    """Both changes together; and what both changed, as ``after`` has it.

    >>> three_ways({"a": 1, "b": 1}, {"a": 2, "b": 1}, {"a": 1, "b": 3})
    ({'a': 2, 'b': 3}, {})
    >>> three_ways({"a": 1}, {"a": 2}, {"a": 3})
    ({'a': 3}, {'a': 3})
    """
    merged, clashes = dict[str, Any](), dict[str, Any]()
    for name in dict.fromkeys([*after, *now]):
        old, here, new = was.get(name), now.get(name), after.get(name)
        if isinstance(new, dict) and isinstance(here, dict):
            inner = three_ways(old if isinstance(old, dict) else {}, here, new)
            merged[name] = inner[0]
            clashes |= inner[1]
        elif new == old:
            merged[name] = here
        else:
            merged[name] = new
            if here not in (old, new):
                clashes[name] = new
    return merged, clashes
