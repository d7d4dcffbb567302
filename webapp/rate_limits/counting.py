"""Counting who asks, for all processes together, and remembering who was refused."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import Engine, and_, delete, or_
from sqlalchemy.dialects import postgresql, sqlite
from sqlmodel import Session, col, select

from webapp.common.errors import TooMany
from webapp.common.storage.database import writing
from webapp.common.timestamps import utc
from webapp.rate_limits.rules import Rule, Tries
from webapp.rate_limits.tables import Limited

KEPT = timedelta(days=1)  # age of a row that is no longer needed
REFUSALS_KEPT = timedelta(days=30)  # age of a row with refusals


@dataclass(frozen=True)
class Ask:
    """One request to count: under which rule, by whom, and what may be shown of the sender."""

    rule: Rule
    who: str
    shown: str = ""

    @property
    def key(self) -> str:
        """The key of its row: a hash, from which the asker cannot be read."""
        return hashlib.sha256(f"{self.rule.kind}\0{self.who}".encode()).hexdigest()


@dataclass(frozen=True, kw_only=True)
class Refusals:
    """How often one asker was refused."""

    key: str
    kind: str
    who: str
    tries: int
    refused: int
    refused_at: datetime


def count(engine: Engine, asks: Sequence[Ask], *, at: datetime) -> None:
    """Count a request under all its rules at once, or refuse it and count nothing.

    Parameters
    ----------
    engine : Engine
        Of either database; a writing session is opened and closed.
    asks : sequence of Ask
    at : datetime

    Raises
    ------
    TooMany
        With the longest wait of all; the refusal is remembered.
    """
    with writing(engine) as session:
        # Always in the same order, or two requests could wait for each other's rows.
        ordered = sorted(asks, key=lambda each: each.key)
        made = [each for each in ordered if _make(session, each, at)]
        rows = {each.key: _row(session, each) for each in ordered}
        waits = {each: each.rule.wait(rows[each.key], at) for each in asks}
        hardest = max(asks, key=lambda each: waits[each])
        refused = waits[hardest] > 0
        if refused:
            rows[hardest.key].refused += 1
            rows[hardest.key].refused_at = at
        for each in asks:
            if not refused:
                each.rule.count(rows[each.key], at)
                rows[each.key].last_at = at
            session.add(rows[each.key])
    if made:
        forget(engine, at=at)
    if refused:
        wait = waits[hardest]
        raise TooMany("request", None, hardest.rule.remedy(wait), retry_after=math.ceil(wait))


def forgive(engine: Engine, asks: Sequence[Ask], *, at: datetime) -> None:
    """Take back the count of tries that turned out to be right."""
    with writing(engine) as session:
        for each in sorted(asks, key=lambda a: a.key):
            if isinstance(each.rule, Tries):
                row = _row(session, each)
                each.rule.forgive(row, at)
                session.add(row)


def _make(session: Session, ask: Ask, at: datetime) -> bool:
    """Make the row of an asker who comes for the first time; two at once make one."""
    if session.get(Limited, ask.key) is not None:
        return False
    insert = postgresql.insert if session.get_bind().dialect.name == "postgresql" else sqlite.insert
    row = {
        "key": ask.key, "kind": ask.rule.kind, "who": ask.shown[:60], "tries": 0,
        "until": at, "last_at": at, "refused": 0,
    }  # fmt: skip
    session.execute(insert(Limited).values(row).on_conflict_do_nothing())
    return True


def _row(session: Session, ask: Ask) -> Limited:
    query = select(Limited).where(Limited.key == ask.key).with_for_update()
    return session.exec(query.execution_options(populate_existing=True)).one()


def forget(engine: Engine, *, at: datetime) -> None:
    """Delete rows no longer needed: counts after a day, refusals after a month."""
    quiet = and_(col(Limited.refused) == 0, col(Limited.last_at) < at - KEPT)
    old = or_(quiet, col(Limited.last_at) < at - REFUSALS_KEPT)
    with writing(engine) as session:
        session.exec(delete(Limited).where(old))


def refusals(session: Session, most: int) -> tuple[Refusals, ...]:
    """Who was refused lately, the latest first."""
    query = select(Limited).where(Limited.refused > 0).order_by(col(Limited.refused_at).desc())
    return tuple(
        Refusals(
            key=row.key,
            kind=row.kind,
            who=row.who,
            tries=row.tries,
            refused=row.refused,
            refused_at=utc(row.refused_at),
        )
        for row in session.exec(query.limit(most)).all()
        if row.refused_at is not None
    )
