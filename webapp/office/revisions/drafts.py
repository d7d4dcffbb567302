"""Revisions as the builder works on them: read whole, begun from the published one, stamped.

A stamp says what a draft looked like when a form was opened; a form that comes
back with an old one is told what has changed in the meantime (`webapp.common.two_edits`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType
from typing import Any

from sqlmodel import Session, col, select

from webapp.catalogue.lookup import model_row, one, revision_row, row_id
from webapp.catalogue.schema.frames import RevisionData, SizeData
from webapp.catalogue.tables import (
    DRAFT,
    PUBLISHED,
    WITHDRAWN,
    FrameModel,
    FrameRevision,
    FrameSize,
)
from webapp.catalogue.writing.models import put_draft, put_size
from webapp.common.errors import Conflict, NotFound
from webapp.common.text.language import tr
from webapp.common.two_edits import stamp_of
from webapp.office.save import one_save

STATE_WORDS: Mapping[str, str] = MappingProxyType(
    {DRAFT: tr("draft"), PUBLISHED: tr("published"), WITHDRAWN: tr("withdrawn")}
)
"""What the states of a revision are called."""


@dataclass(frozen=True, kw_only=True)
class SizeContent:
    """One size of a revision: its data as kept, and as validated."""

    slug: str
    name: str
    position: int
    raw: dict[str, Any]

    @property
    def data(self) -> SizeData:
        """The size's numbers."""
        return SizeData.model_validate(self.raw)


@dataclass(frozen=True, kw_only=True)
class RevisionContent:
    """One revision of a model in any state, whole."""

    model: str
    model_name: str
    number: int
    state: str
    published_on: date | None
    withdrawn_on: date | None
    withdrawn_reason: str
    changelog: str
    raw: dict[str, Any]
    sizes: tuple[SizeContent, ...]

    @property
    def data(self) -> RevisionData:
        """What all sizes share."""
        return RevisionData.model_validate(self.raw)

    @property
    def is_draft(self) -> bool:
        """Whether it may still be changed."""
        return self.state == DRAFT

    @property
    def is_published(self) -> bool:
        """Whether builds of it can be ordered."""
        return self.state == PUBLISHED

    @property
    def is_withdrawn(self) -> bool:
        """Whether it is no longer offered."""
        return self.state == WITHDRAWN

    @property
    def label(self) -> str:
        """Such as ``revision 3, draft``."""
        if self.state == PUBLISHED:
            return tr("revision {number}", number=self.number)
        return tr("revision {number}, {state}", number=self.number, state=self.state_words)

    @property
    def state_words(self) -> str:
        """Its state as people call it."""
        return STATE_WORDS[self.state]

    @property
    def full_name(self) -> str:
        """The model and the revision, such as ``Knapweed, revision 3``."""
        return tr("{model}, {revision}", model=self.model_name, revision=self.label)

    @property
    def published_words(self) -> str:
        """What customers read of its changes; a draft has a note there, which nobody else reads."""
        return "" if self.is_draft else self.changelog

    def size(self, slug: str) -> SizeContent:
        """The size of that name.

        Raises
        ------
        NotFound
            When there is none; the remedy lists those there are.
        """
        for size in self.sizes:
            if size.slug == slug:
                return size
        names = ", ".join(size.slug for size in self.sizes)
        raise NotFound(
            "size", slug, tr("one of {choices}", choices=names) if names else tr("add a size first")
        )

    @property
    def stamp(self) -> str:
        """Changes whenever anything of the revision does."""
        return stamp_of(
            [self.raw, self.changelog, [[s.slug, s.name, s.position, s.raw] for s in self.sizes]]
        )


def read_revision(session: Session, model: str, number: int) -> RevisionContent:
    """One revision in any state.

    Raises
    ------
    NotFound
        For an unknown model or revision.
    """
    frame_model = model_row(session, model)
    return _content(session, frame_model, revision_row(session, frame_model, number))


def locked_revision(session: Session, model: str, number: int) -> RevisionContent:
    """The same in a writing session, kept from other writers until it ends.

    Raises
    ------
    NotFound
        For an unknown model or revision.
    """
    frame_model = model_row(session, model)
    row = revision_row(session, frame_model, number)
    session.refresh(row, with_for_update=True)
    return _content(session, frame_model, row)


def all_revisions(session: Session, model: str) -> tuple[RevisionContent, ...]:
    """Every revision of a model, newest first, drafts too.

    Raises
    ------
    NotFound
        For an unknown model.
    """
    frame_model = model_row(session, model)
    query = select(FrameRevision).where(FrameRevision.model_id == frame_model.id)
    rows = session.exec(query.order_by(col(FrameRevision.number).desc())).all()
    return tuple(_content(session, frame_model, row) for row in rows)


def list_all_models(session: Session) -> tuple[FrameModel, ...]:
    """Every model, published or not, in the builder's order."""
    query = select(FrameModel).order_by(col(FrameModel.position), col(FrameModel.slug))
    return tuple(session.exec(query).all())


def _content(session: Session, model: FrameModel, row: FrameRevision) -> RevisionContent:
    query = select(FrameSize).where(FrameSize.revision_id == row.id)
    sizes = session.exec(query.order_by(col(FrameSize.position), col(FrameSize.slug))).all()
    return RevisionContent(
        model=model.slug,
        model_name=model.name,
        number=row.number,
        state=row.state,
        published_on=row.published_on,
        withdrawn_on=row.withdrawn_on,
        withdrawn_reason=row.withdrawn_reason,
        changelog=row.changelog,
        raw=dict(row.data),
        sizes=tuple(
            SizeContent(slug=s.slug, name=s.name, position=s.position, raw=dict(s.data))
            for s in sizes
        ),
    )


def published_before(session: Session, model: str, number: int) -> RevisionContent | None:
    """The newest published revision below a number: what a draft will take the place of."""
    frame_model = model_row(session, model)
    query = select(FrameRevision).where(
        FrameRevision.model_id == frame_model.id,
        FrameRevision.state == PUBLISHED,
        FrameRevision.number < number,
    )
    found = session.exec(query.order_by(col(FrameRevision.number).desc())).first()
    return None if found is None else _content(session, frame_model, found)


def begin_draft(
    session: Session, *, who: str, model: str, source: int | None = None, like: str = ""
) -> RevisionContent:
    """Begin a draft as a copy of a revision.

    Parameters
    ----------
    session : Session
        A writing session.
    who : str
        Who begins it.
    model : str
        The model's slug.
    source : int, optional
        The revision to copy; when not given the newest published one, or where none is
        published the newest there is.
    like : str
        Another model whose revision is copied.

    Returns
    -------
    RevisionContent
        The draft, with the next number.

    Raises
    ------
    NotFound
        For an unknown model or revision.
    Conflict
        While the model has a draft already, or has nothing to copy.
    """
    frame_model = model_row(session, model)
    open_draft = one(session, FrameRevision, model_id=row_id(frame_model), state=DRAFT)
    if open_draft is not None:
        remedy = tr("work on the draft there is, revision {number}", number=open_draft.number)
        raise Conflict("model", model, remedy)
    copied = _source(session, like or model, source)
    with one_save(session):
        made = put_draft(session, who=who, model=model, data=copied.raw)
        for size in copied.sizes:
            put_size(
                session,
                who=who,
                model=model,
                revision=made.number,
                slug=size.slug,
                name=size.name,
                position=size.position,
                data=size.raw,
            )
    return read_revision(session, model, made.number)


def _source(session: Session, model: str, number: int | None) -> RevisionContent:
    if number is not None:
        return read_revision(session, model, number)
    revisions = all_revisions(session, model)
    if not revisions:
        raise Conflict("model", model, tr("a model that has a revision to begin from"))
    return next((each for each in revisions if each.state == PUBLISHED), revisions[0])
