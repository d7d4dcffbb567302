"""One save, however many rows it changes."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from sqlmodel import Session, col, func, select

from webapp.catalogue.tables import Edit


@contextmanager
def one_save(session: Session) -> Iterator[None]:
    """Everything kept within is one save: its edits carry one moment."""
    last = session.exec(select(func.max(Edit.id))).one() or 0
    yield
    made = session.exec(select(Edit).where(col(Edit.id) > last).order_by(col(Edit.id))).all()
    for edit in made:
        edit.at = made[0].at
        session.add(edit)
    session.flush()
