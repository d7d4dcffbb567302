"""One save, however many rows it changes."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from sqlmodel import Session, col, func, select

from webapp.catalogue.tables import Edit, Stamp


@contextmanager
def one_save(session: Session) -> Iterator[None]:
    """Everything kept within is one save: its edits carry one moment.

    Saves queue at the stamp, as they do on SQLite anyway: whoever looks whether a row is
    there already sees what others have kept meanwhile.
    """
    session.exec(select(Stamp).with_for_update()).first()
    last = session.exec(select(func.max(Edit.id))).one() or 0
    yield
    made = session.exec(select(Edit).where(col(Edit.id) > last).order_by(col(Edit.id))).all()
    for edit in made:
        edit.at = made[0].at
        session.add(edit)
    session.flush()
