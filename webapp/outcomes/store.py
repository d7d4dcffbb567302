"""Outcomes in the database: saved, read, counted, erased, exported."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlmodel import Session, col, select

from webapp.catalogue.lookup import one, row_id
from webapp.outcomes.tables import AFTER_MONTHS, Outcome, OutcomeBody


@dataclass(frozen=True, kw_only=True)
class Body:
    """Measurements that a rider agreed to, and what was foretold by them."""

    rider: Mapping[str, str]
    named: str
    chance: float
    verdicts: tuple[float, float, float]

    def as_json(self) -> dict[str, Any]:
        """What was foretold, as plain JSON values."""
        return {"named": self.named, "chance": self.chance, "verdicts": list(self.verdicts)}


@dataclass(frozen=True, kw_only=True)
class Kept:
    """One outcome as kept; ``body`` is None without the rider's consent or after erasing."""

    id: int
    quote_number: str
    bike: int
    moment: str
    recorded_on: date
    model: str
    revision: int
    style: str
    size_ridden: str
    size_bought: str
    build: str
    length: int
    height: int | None
    body: Body | None

    @property
    def judged_size(self) -> str:
        """The size the verdict is about."""
        return self.size_ridden if self.moment != AFTER_MONTHS else self.size_bought

    @property
    def invented(self) -> bool:
        """Whether it is one of the demo's own."""
        return not self.quote_number


def keep_outcome(session: Session, row: Outcome, body: Body | None) -> Outcome:
    """Keep an outcome, in place of an earlier one of the same bike of a quote and moment.

    Parameters
    ----------
    session : Session
        A writing session.
    row : Outcome
    body : Body or None
        None where the rider does not agree: measurements kept before are then forgotten.

    Returns
    -------
    Outcome
    """
    if row.quote_number is not None:
        before = one(
            session, Outcome, quote_number=row.quote_number, bike=row.bike, moment=row.moment
        )
        if before is not None:
            _forget(session, [row_id(before)])
            session.delete(before)
            session.flush()
    session.add(row)
    session.flush()
    if body is not None:
        kept = OutcomeBody(
            outcome_id=row_id(row),
            agreed_on=row.recorded_on,
            rider=dict(body.rider),
            foretold=body.as_json(),
        )
        session.add(kept)
        session.flush()
    return row


def outcomes_of_quote(session: Session, number: str) -> tuple[Kept, ...]:
    """Outcomes of one quote, in the order they were recorded."""
    return _kept(session, select(Outcome).where(Outcome.quote_number == number))


def outcomes_of_model(session: Session, model: str) -> tuple[Kept, ...]:
    """Outcomes of a model; of one bike only the latest, after months if there is one."""
    found = _kept(session, select(Outcome).where(Outcome.model == model))
    last: dict[tuple[str, int], Kept] = {}
    for each in found:
        key = (each.quote_number, each.bike if each.quote_number else each.id)
        if key not in last or each.moment == AFTER_MONTHS:
            last[key] = each
    return tuple(last.values())


def _kept(session: Session, query: Any) -> tuple[Kept, ...]:
    rows: Sequence[Outcome] = session.exec(query.order_by(col(Outcome.id))).all()
    ids = [row_id(row) for row in rows]
    bodies = {
        body.outcome_id: body
        for part in range(0, len(ids), 500)
        for body in session.exec(
            select(OutcomeBody).where(col(OutcomeBody.outcome_id).in_(ids[part : part + 500]))
        ).all()
    }
    return tuple(_one(row, bodies.get(row_id(row))) for row in rows)


def _one(row: Outcome, body: OutcomeBody | None) -> Kept:
    return Kept(
        id=row_id(row),
        quote_number=row.quote_number or "",
        bike=row.bike,
        moment=row.moment,
        recorded_on=row.recorded_on,
        model=row.model,
        revision=row.revision,
        style=row.style,
        size_ridden=row.size_ridden,
        size_bought=row.size_bought,
        build=row.build,
        length=row.length,
        height=row.height,
        body=None if body is None else _body(body),
    )


def _body(row: OutcomeBody) -> Body:
    short, right, long = (float(each) for each in row.foretold["verdicts"])
    return Body(
        rider={str(name): str(value) for name, value in row.rider.items()},
        named=str(row.foretold["named"]),
        chance=float(row.foretold["chance"]),
        verdicts=(short, right, long),
    )


def forget_bodies(session: Session, quotes: Iterable[str]) -> int:
    """Forget the measurements behind the outcomes of quotes; what was said of the bike stays.

    Parameters
    ----------
    session : Session
        A writing session.
    quotes : iterable of str
        Their numbers.

    Returns
    -------
    int
        How many were forgotten.
    """
    numbers = list(quotes)
    ids = session.exec(select(Outcome.id).where(col(Outcome.quote_number).in_(numbers))).all()
    return _forget(session, [each for each in ids if each is not None])


def _forget(session: Session, ids: Sequence[int]) -> int:
    found = session.exec(select(OutcomeBody).where(col(OutcomeBody.outcome_id).in_(ids))).all()
    for body in found:
        session.delete(body)
    session.flush()
    return len(found)


def take_out_invented(session: Session) -> int:
    """Take out the demo's outcomes, measurements and all; those of the shop's riders stay."""
    rows = session.exec(select(Outcome).where(col(Outcome.quote_number).is_(None))).all()
    _forget(session, [row_id(row) for row in rows])
    for row in rows:
        session.delete(row)
    session.flush()
    return len(rows)


def whole_outcomes(session: Session, number: str) -> list[dict[str, Any]]:
    """Everything kept of one quote's outcomes, as plain JSON values."""
    return [
        {
            "bike": each.bike,
            "moment": each.moment,
            "recorded_on": each.recorded_on.isoformat(),
            "size_ridden": each.size_ridden,
            "size_bought": each.size_bought,
            "build": each.build,
            "length": each.length,
            "height": each.height,
            "measurements": dict(each.body.rider) if each.body else None,
        }
        for each in outcomes_of_quote(session, number)
    ]
