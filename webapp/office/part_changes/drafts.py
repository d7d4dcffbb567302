"""Changes of parts in use are kept as drafts until the builder has seen their effect."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from sqlmodel import Session, col, select

from webapp.catalogue.reading.prices import Buyer, price_list_on
from webapp.catalogue.row_changes import (
    FRAME,
    OFFER,
    PART,
    PRICE,
    RowChange,
    as_data,
    from_data,
)
from webapp.catalogue.tables import (
    DRAFT,
    IN_FORCE,
    TAKEN_BACK,
    CatalogueChange,
    Offer,
    Part,
    PriceList,
)
from webapp.catalogue.writing.change_sets import apply, tried
from webapp.common.errors import Conflict, NotFound
from webapp.common.text.language import tr
from webapp.common.timestamps import day_of

UNDO_FOR = timedelta(days=1)
_SHOWN = 60
_FORM = re.compile(r"/office/parts/[a-z-]+/[a-z0-9-]+")


@dataclass(frozen=True, kw_only=True)
class Proposal:
    """A change as it is kept: a draft, in force, or taken back; ``number`` names it."""

    number: int
    title: str
    address: str
    state: str
    who: str
    at: datetime
    taken_by: str
    taken_at: datetime | None
    changes: tuple[RowChange, ...]

    @property
    def is_draft(self) -> bool:
        """Whether it is not in force yet."""
        return self.state == DRAFT

    @property
    def form_address(self) -> str:
        """The part's form in which the draft can be gone on with; empty where it has none."""
        states = ((c.before or {}, c.after or {}) for c in self.changes if c.table == PART)
        moved = any(was and was.get("state") != now.get("state") for was, now in states)
        if not self.is_draft or moved or not _FORM.fullmatch(self.address):
            return ""
        return f"{self.address}?draft={self.number}"

    def can_be_taken_back(self, at: datetime) -> bool:
        """Whether it is in force, and for less than a day."""
        return (
            self.state == IN_FORCE and self.taken_at is not None and at - self.taken_at < UNDO_FOR
        )


def propose(
    session: Session,
    work: Callable[[], object],
    *,
    who: str,
    at: datetime,
    title: str,
    address: str,
    always: bool = False,
) -> Proposal | None:
    """Save a change: as a draft where it touches what is in use, else in force at once.

    Parameters
    ----------
    session : Session
        A writing session.
    work : callable
        Makes the change by the catalogue's ways in; it is tried first.
    who : str
    at : datetime
    title : str
        What it is called, in a few words.
    address : str
        The page it was made on.
    always : bool
        As a draft, whatever it touches.

    Returns
    -------
    Proposal or None
        None where nothing would change.
    """
    changes = tried(session, work)
    if not changes:
        return None
    waits = always or touches_use(session, changes, at=at)
    row = CatalogueChange(
        title=title[:200],
        address=address[:200],
        who=who,
        at=at,
        state=DRAFT if waits else IN_FORCE,
        rows=as_data(changes),
    )
    if not waits:
        apply(session, changes, who=who, at=at)
        row.taken_by, row.taken_at = who, at
    session.add(row)
    session.flush()
    return _proposal(row)


def touches_use(session: Session, changes: Sequence[RowChange], *, at: datetime) -> bool:
    """Whether a figure, a check or a price of something that can be ordered could change."""
    query = select(Part.kind, Part.slug).join(Offer, col(Offer.part_id) == col(Part.id))
    offered = {f"{kind}/{slug}" for kind, slug in session.exec(query).all()}
    lists = {row.slug: row for row in session.exec(select(PriceList)).all()}
    for change in changes:
        was, now = change.before, change.after
        if change.table == PART and change.key in offered and was is not None:
            if now is None or (was["data"], was["state"]) != (now["data"], now["state"]):
                return True
        elif change.table == OFFER:
            usual = now is not None and now["standard"]
            if usual != (was is not None and was["standard"]) or now is None:
                return True
        elif change.table == PRICE:
            listed, _, key = change.key.partition("/")
            known = key in offered or key.startswith(f"{FRAME}/")
            if known and _counts(session, lists[listed], at):
                return True
    return False


def _counts(session: Session, listed: PriceList, at: datetime) -> bool:
    buyer = Buyer(group=listed.customer_group, region=listed.region)
    now = price_list_on(session, day_of(at), buyer)
    return now is not None and now.id == listed.id


def proposals(session: Session, *, at: datetime) -> tuple[Proposal, ...]:
    """Drafts, and changes put in force less than a day ago; newest first."""
    query = select(CatalogueChange).order_by(col(CatalogueChange.id).desc()).limit(_SHOWN)
    found = (_proposal(row) for row in session.exec(query).all())
    return tuple(one for one in found if one.is_draft or one.can_be_taken_back(at))


def proposal(session: Session, number: int) -> Proposal:
    """One change.

    Raises
    ------
    NotFound
        For one that nobody knows.
    """
    return _proposal(_row(session, number))


def put_in_force(
    session: Session, number: int, *, who: str, at: datetime, over: bool = False
) -> Proposal:
    """Put a draft in force.

    Raises
    ------
    ChangedMeanwhile
        Where somebody else has changed the same since, unless ``over`` is given.
    Conflict
        For what is no draft.
    """
    row = _row(session, number)
    if row.state != DRAFT:
        raise Conflict("draft", number, tr("a draft; this one is {state}", state=row.state))
    apply(session, from_data(row.rows), who=who, at=at, over=over)
    row.state, row.taken_by, row.taken_at = IN_FORCE, who, at
    session.add(row)
    return _proposal(row)


def take_back(
    session: Session, number: int, *, who: str, at: datetime, over: bool = False
) -> Proposal:
    """Take back a change put in force less than a day ago, as a whole.

    Raises
    ------
    ChangedMeanwhile
        Where the same was changed since, unless ``over`` is given.
    Conflict
        For a draft, one that is taken back already, or one that is older than a day.
    """
    row = _row(session, number)
    if not _proposal(row).can_be_taken_back(at):
        remedy = tr("a change that took effect within the last day")
        raise Conflict("change", number, remedy)
    back = [change.reversed for change in from_data(row.rows)]
    apply(session, back, who=who, at=at, over=over)
    row.state, row.taken_by, row.taken_at = TAKEN_BACK, who, at
    session.add(row)
    return _proposal(row)


def throw_away(session: Session, number: int) -> None:
    """Delete a draft that was never in force.

    Raises
    ------
    Conflict
        For what is no draft.
    """
    row = _row(session, number)
    if row.state != DRAFT:
        raise Conflict("draft", number, tr("a draft; this one is {state}", state=row.state))
    session.delete(row)


def _row(session: Session, number: int) -> CatalogueChange:
    row = session.get(CatalogueChange, number)
    if row is None:
        raise NotFound("change", number, tr("a change that is kept; it may be thrown away"))
    session.refresh(row, with_for_update=True)
    return row


def _proposal(row: CatalogueChange) -> Proposal:
    return Proposal(
        number=int(row.id or 0),
        title=row.title,
        address=row.address,
        state=row.state,
        who=row.who,
        at=_utc(row.at),
        taken_by=row.taken_by,
        taken_at=_utc(row.taken_at) if row.taken_at else None,
        changes=from_data(row.rows),
    )


def _utc(at: datetime) -> datetime:
    return at.replace(tzinfo=UTC) if at.tzinfo is None else at.astimezone(UTC)


def next_page(made: Proposal | None, otherwise: str) -> str:
    """The page of the draft to review, or another page where there is none."""
    if made is None or not made.is_draft:
        return otherwise
    return f"/office/part-changes/{made.number}"
