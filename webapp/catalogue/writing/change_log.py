"""Saving rows, and the log of every change to them."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from sqlmodel import Session, SQLModel

from webapp.catalogue.tables import Edit, Stamp


def snapshot(row: SQLModel) -> dict[str, Any]:
    """A row as plain JSON values, without its number.

    >>> from webapp.catalogue.tables import FrameModel
    >>> snapshot(FrameModel(slug="a", name="A"))
    {'slug': 'a', 'name': 'A', 'summary': '', 'position': 0, 'state': 'shown'}
    """
    return row.model_dump(mode="json", exclude={"id"})


def keep(session: Session, row: SQLModel, *, who: str, key: str, **values: Any) -> None:
    """Set values of a row, save it, and remember the change if there was one.

    Parameters
    ----------
    session : Session
        A writing session.
    row : SQLModel
        A new row or one read in this session.
    who : str
        Who made the change.
    key : str
        What the row is called: ``"knapweed/2/m"``.
    **values
        Columns to set.
    """
    before = snapshot(row) if row in session else None
    for name, value in values.items():
        setattr(row, name, value)
    session.add(row)
    session.flush()
    if snapshot(row) != before:
        _remember(session, row, who=who, key=key, before=before, after=snapshot(row))


def forget(session: Session, row: SQLModel, *, who: str, key: str) -> None:
    """Delete a row and remember what it was."""
    before = snapshot(row)
    session.delete(row)
    session.flush()
    _remember(session, row, who=who, key=key, before=before, after=None)


def _remember(
    session: Session,
    row: SQLModel,
    *,
    who: str,
    key: str,
    before: dict[str, Any] | None,
    after: dict[str, Any] | None,
) -> None:
    table = str(row.__tablename__)
    session.add(Edit(who=who, row_table=table, row_key=key, before=before, after=after))
    # Writers queue at this one row, so a reader's stamp can never be newer than
    # what the reader sees.
    stamp = session.get(Stamp, 1, with_for_update=True) or Stamp()
    stamp.token = uuid4().hex
    session.add(stamp)
    session.flush()
