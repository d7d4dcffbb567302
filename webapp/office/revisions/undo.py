"""Undo and redo on a draft, from the history of its edits.

One save may change several rows; its edits are given one moment, so that they are
undone together. A save that is the exact reverse of the one before it takes it back,
whether it came from the undo button or from a keyboard, so the history is a stack.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from typing import Any

from sqlmodel import Session, col, select

from webapp.catalogue.tables import Edit, FrameRevision, FrameSize
from webapp.catalogue.writing.models import put_draft, put_size, remove_size
from webapp.common.errors import Conflict
from webapp.common.text.language import tr
from webapp.office.revisions.drafts import RevisionContent
from webapp.office.save import one_save

_TABLES = (str(FrameRevision.__tablename__), str(FrameSize.__tablename__))


@dataclass(frozen=True)
class Change:
    """One row of a save: which, and how it was and is (None: not there)."""

    key: str
    before: dict[str, Any] | None
    after: dict[str, Any] | None


@dataclass(frozen=True)
class Save:
    """Everything one person changed at once."""

    at: datetime
    who: str
    changes: tuple[Change, ...]

    @property
    def reversed(self) -> tuple[Change, ...]:
        """The changes that take it back."""
        return tuple(Change(c.key, c.after, c.before) for c in self.changes)

    @property
    def places(self) -> str:
        """What was changed, in a few words: ``m, l``."""
        names = [change.key.split("/")[-1] for change in self.changes if change.key.count("/") > 1]
        shared = [tr("what all sizes share")] if len(names) < len(self.changes) else []
        return ", ".join([*names, *shared])


@dataclass(frozen=True)
class Stacks:
    """What can be undone and done again, the last first."""

    done: tuple[Save, ...]
    undone: tuple[Save, ...]


def saves_of(session: Session, revision: RevisionContent) -> tuple[Save, ...]:
    """Every save of a draft, the oldest first."""
    key = f"{revision.model}/{revision.number}"
    query = (
        select(Edit)
        .where(col(Edit.row_table).in_(_TABLES))
        .where((col(Edit.row_key) == key) | col(Edit.row_key).startswith(f"{key}/"))
        .order_by(col(Edit.id))
    )
    edits = session.exec(query).all()
    return tuple(
        Save(at, who, tuple(Change(e.row_key, e.before, e.after) for e in group))
        for (at, who), group in groupby(edits, key=lambda edit: (edit.at, edit.who))
    )


def stacks(saves: Sequence[Save]) -> Stacks:
    """What can be undone, and what can be done again.

    The first save made the draft and stays.
    """
    done: list[Save] = []
    undone: list[Save] = []
    for save in saves[1:]:
        if done and _same(save.changes, done[-1].reversed):
            undone.append(done.pop())
        elif undone and _same(save.changes, undone[-1].changes):
            undone.pop()
            done.append(save)
        else:
            done.append(save)
            undone.clear()
    return Stacks(tuple(reversed(done)), tuple(reversed(undone)))


def _same(one: Sequence[Change], other: Sequence[Change]) -> bool:
    return sorted(one, key=lambda c: c.key) == sorted(other, key=lambda c: c.key)


def undo(session: Session, *, who: str, revision: RevisionContent) -> Save:
    """Take the last save back.

    Raises
    ------
    Conflict
        When nothing is left to undo, or the revision is no draft.
    """
    done = stacks(saves_of(session, revision)).done
    if not done:
        raise Conflict("undo", None, tr("a draft that was changed since it was begun"))
    _apply(session, who=who, revision=revision, changes=done[0].reversed)
    return done[0]


def redo(session: Session, *, who: str, revision: RevisionContent) -> Save:
    """Do the last save that was undone again.

    Raises
    ------
    Conflict
        When nothing was undone since the last change, or the revision is no draft.
    """
    undone = stacks(saves_of(session, revision)).undone
    if not undone:
        raise Conflict("redo", None, tr("something undone, and nothing changed since"))
    _apply(session, who=who, revision=revision, changes=undone[0].changes)
    return undone[0]


def _apply(
    session: Session, *, who: str, revision: RevisionContent, changes: Sequence[Change]
) -> None:
    model, number = revision.model, revision.number
    with one_save(session):
        for change in changes:
            slug, row = change.key.split("/")[-1], change.after
            if change.key.count("/") == 1:
                put_draft(
                    session,
                    who=who,
                    model=model,
                    data=(row or {})["data"],
                    changelog=(row or {})["changelog"],
                )
            elif row is None:
                remove_size(session, who=who, model=model, revision=number, slug=slug)
            else:
                put_size(
                    session,
                    who=who,
                    model=model,
                    revision=number,
                    slug=slug,
                    name=row["name"],
                    position=row["position"],
                    data=row["data"],
                )
