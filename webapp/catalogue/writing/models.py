"""Writes models, revisions and sizes, through this module only: validated, logged, all or nothing.

Every function takes a writing session and who is at work; what it refuses it
refuses before anything is written. Parts and prices: `writing_parts`; settings
and riding styles: `writing_shop`.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Annotated, Any

from pydantic import Field
from sqlmodel import Session, col, func, select

from webapp.catalogue.lookup import model_row, one, revision_row, row_id
from webapp.catalogue.reading.table_check import contradictions
from webapp.catalogue.schema.fields import Data, Name, Slug, Text
from webapp.catalogue.schema.frames import RevisionData, SizeData
from webapp.catalogue.schema.validation import checked
from webapp.catalogue.tables import (
    DRAFT,
    PUBLISHED,
    WITHDRAWN,
    FrameModel,
    FrameRevision,
    FrameSize,
)
from webapp.catalogue.writing.change_log import forget, keep
from webapp.common.errors import (
    Conflict,
    Gathering,
    Invalid,
)
from webapp.common.text.language import tr

Raw = Mapping[str, Any] | Data


class _Named(Data):
    """What rows with a name have in common."""

    slug: Slug
    name: Name
    summary: Text = ""
    position: Annotated[int, Field(ge=0, le=10_000, description="place in lists")] = 0


def put_model(
    session: Session, *, who: str, slug: str, name: str, summary: str = "", position: int = 0
) -> FrameModel:
    """Add a frame model, or change the one of that slug.

    Raises
    ------
    Invalid
        For a slug, name or position that cannot be used.
    """
    named = checked(
        _Named, {"slug": slug, "name": name, "summary": summary, "position": position}, at="model"
    )
    row = one(session, FrameModel, slug=slug) or FrameModel(slug=slug, name=name)
    keep(session, row, who=who, key=slug, **named.model_dump())
    return row


def put_draft(
    session: Session, *, who: str, model: str, data: Raw, changelog: str = ""
) -> FrameRevision:
    """Change the model's draft revision, or begin one with the next number.

    Returns
    -------
    FrameRevision
        The draft; a model has one at most.

    Raises
    ------
    NotFound
        For an unknown model.
    Invalid
        For data that fails `RevisionData`.
    """
    frame_model = model_row(session, model)
    valid = checked(RevisionData, data, at=model)
    row = one(session, FrameRevision, model_id=frame_model.id, state=DRAFT)
    if row is None:
        row = FrameRevision(
            model_id=row_id(frame_model), number=_last(session, frame_model) + 1, data={}
        )
    key = f"{model}/{row.number}"
    keep(session, row, who=who, key=key, data=valid.model_dump(mode="json"), changelog=changelog)
    return row


def put_size(
    session: Session,
    *,
    who: str,
    model: str,
    revision: int,
    slug: str,
    name: str,
    position: int,
    data: Raw,
) -> FrameSize:
    """Add a size to a draft, or change the one of that slug.

    A size that contradicts itself may be kept in a draft; publishing refuses it.

    Raises
    ------
    NotFound
        For an unknown model or revision.
    Conflict
        For a revision that is no draft.
    Invalid
        For data that fails `SizeData`.
    """
    draft = _draft(session, model, revision)
    at = f"{model}.{slug}"
    checked(_Named, {"slug": slug, "name": name, "position": position}, at=at)
    valid = checked(SizeData, data, at=at)
    row = one(session, FrameSize, revision_id=draft.id, slug=slug)
    if row is None:
        row = FrameSize(revision_id=row_id(draft), slug=slug, name=name, position=position, data={})
    values = {"name": name, "position": position, "data": valid.model_dump(mode="json")}
    keep(session, row, who=who, key=f"{model}/{revision}/{slug}", **values)
    return row


def remove_size(session: Session, *, who: str, model: str, revision: int, slug: str) -> None:
    """Take a size out of a draft; nothing happens when it is not there.

    Raises
    ------
    NotFound
        For an unknown model or revision.
    Conflict
        For a revision that is no draft.
    """
    draft = _draft(session, model, revision)
    row = one(session, FrameSize, revision_id=draft.id, slug=slug)
    if row is not None:
        forget(session, row, who=who, key=f"{model}/{revision}/{slug}")


def publish(session: Session, *, who: str, model: str, revision: int, on: date) -> FrameRevision:
    """Publish a draft; from then on it never changes.

    Parameters
    ----------
    on : date
        Day of publication.

    Raises
    ------
    NotFound
        For an unknown model or revision.
    Conflict
        For a revision that is no draft.
    Invalid
        For a revision without sizes, a size whose numbers cannot belong to one
        frame, or numbers that contradict one another beyond their rounding: all of
        them at once.
    """
    draft = _draft(session, model, revision)
    drawn_with = RevisionData.model_validate(draft.data).drawn_with
    query = select(FrameSize).where(FrameSize.revision_id == draft.id)
    sizes = session.exec(query.order_by(col(FrameSize.position))).all()
    gathering = Gathering()
    if not sizes:
        gathering.add("sizes", 0, tr("at least one size is needed to publish a revision"))
    drawn = [(size.slug, SizeData.model_validate(size.data)) for size in sizes]
    gathering.problems.extend(contradictions(drawn, drawn_with))
    gathering.finish()
    key = f"{model}/{revision}"
    keep(session, draft, who=who, key=key, state=PUBLISHED, published_on=on)
    return draft


def withdraw(
    session: Session, *, who: str, model: str, revision: int, reason: str, on: date
) -> FrameRevision:
    """Withdraw a published revision; links to it still open and say why.

    Raises
    ------
    NotFound
        For an unknown model or revision.
    Invalid
        Without a reason.
    Conflict
        For a revision that is not published.
    """
    row = revision_row(session, model_row(session, model), revision)
    if not reason.strip():
        raise Invalid("reason", reason, tr("a few words on why, since customers will read them"))
    if row.state != PUBLISHED:
        raise Conflict(
            "revision", revision, tr("a published one; this one is {state}", state=row.state)
        )
    values = {"state": WITHDRAWN, "withdrawn_on": on, "withdrawn_reason": reason.strip()}
    keep(session, row, who=who, key=f"{model}/{revision}", **values)
    return row


def publish_again(session: Session, *, who: str, model: str, revision: int) -> FrameRevision:
    """Undo the withdrawal of a revision: it stands as it was published.

    Raises
    ------
    NotFound
        For an unknown model or revision.
    Conflict
        For a revision that is not withdrawn.
    """
    row = revision_row(session, model_row(session, model), revision)
    if row.state != WITHDRAWN:
        remedy = tr("a withdrawn one; this one is {state}", state=row.state)
        raise Conflict("revision", revision, remedy)
    values = {"state": PUBLISHED, "withdrawn_on": None, "withdrawn_reason": ""}
    keep(session, row, who=who, key=f"{model}/{revision}", **values)
    return row


def throw_away(session: Session, *, who: str, model: str, revision: int) -> None:
    """Take a draft away with its sizes; the history keeps what it was.

    Raises
    ------
    NotFound
        For an unknown model or revision.
    Conflict
        For a revision that is no draft.
    """
    row = _draft(session, model, revision)
    for size in session.exec(select(FrameSize).where(FrameSize.revision_id == row.id)).all():
        forget(session, size, who=who, key=f"{model}/{revision}/{size.slug}")
    forget(session, row, who=who, key=f"{model}/{revision}")


def _draft(session: Session, model: str, number: int) -> FrameRevision:
    row = revision_row(session, model_row(session, model), number)
    if row.state != DRAFT:
        remedy = tr(
            "a draft; this one is {state} and never changes: begin a new draft", state=row.state
        )
        raise Conflict("revision", number, remedy)
    return row


def _last(session: Session, model: FrameModel) -> int:
    query = select(func.max(FrameRevision.number)).where(FrameRevision.model_id == model.id)
    return session.exec(query).one() or 0
