"""What a draft holds besides its grid: the shared data, and each size's further data."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlmodel import Session

from webapp.catalogue.schema.frames import RevisionData, SizeData
from webapp.catalogue.schema.validation import checked
from webapp.catalogue.writing.models import put_draft, put_size, remove_size
from webapp.common.errors import Conflict
from webapp.common.text.language import tr
from webapp.common.text.slugs import slug_of
from webapp.office.forms.data_form import raw_of, texts_of
from webapp.office.revisions.drafts import RevisionContent
from webapp.office.revisions.size_grid import PATHS
from webapp.office.save import one_save

IN_GRID = frozenset(PATHS)
"""Fields of a size that stand in the grid."""


def save_shared(
    session: Session, *, who: str, revision: RevisionContent, texts: Mapping[str, str]
) -> None:
    """Keep what all sizes of a draft share, from a form's texts.

    Raises
    ------
    Invalid
        For texts that cannot be used, all at once.
    Conflict
        For a revision that is no draft.
    """
    only_draft(revision)
    data = checked(RevisionData, raw_of(RevisionData, texts), at="shared")
    with one_save(session):
        put_draft(session, who=who, model=revision.model, data=data, changelog=revision.changelog)


def save_size(
    session: Session,
    *,
    who: str,
    revision: RevisionContent,
    slug: str,
    name: str,
    texts: Mapping[str, str],
) -> None:
    """Keep one size's name and everything of it, from a form's texts.

    Raises
    ------
    NotFound
        For a size the draft does not have.
    Invalid
        For texts that cannot be used, all at once.
    Conflict
        For a revision that is no draft.
    """
    size = revision.size(slug)
    # Values of the grid are kept as they are.
    known = {path: text for path, text in texts_of(SizeData, size.raw).items() if path in IN_GRID}
    raw = raw_of(SizeData, {**texts, **known})
    with one_save(session):
        _put(session, who, revision, slug=slug, name=name, position=size.position, raw=raw)


def add_size(
    session: Session, *, who: str, revision: RevisionContent, name: str, like: str
) -> None:
    """Add a size to a draft as a copy of another one, after it.

    Raises
    ------
    NotFound
        For a size to copy that the draft does not have.
    Conflict
        For a size of that name already there, or a revision that is no draft.
    Invalid
        For a name that cannot be used.
    """
    only_draft(revision)
    if name.strip().casefold() in {size.name.casefold() for size in revision.sizes}:
        raise Conflict("size_name", name, tr("a name that no other size has"))
    taken = {size.slug for size in revision.sizes}
    slug = slug_of(name, taken=taken, otherwise="size")
    place = list(revision.sizes).index(revision.size(like)) + 1
    with one_save(session):
        copied = revision.size(like)
        _put(session, who, revision, slug=slug, name=name, position=place, raw=copied.raw)
        for position, size in enumerate(revision.sizes[place:], start=place + 1):
            _put(
                session,
                who,
                revision,
                slug=size.slug,
                name=size.name,
                position=position,
                raw=size.raw,
            )


def drop_size(session: Session, *, who: str, revision: RevisionContent, slug: str) -> None:
    """Take a size out of a draft; undo brings it back.

    Raises
    ------
    Conflict
        For a revision that is no draft.
    """
    with one_save(session):
        remove_size(session, who=who, model=revision.model, revision=revision.number, slug=slug)


def only_draft(revision: RevisionContent) -> None:
    """Refuse anything but a draft.

    Raises
    ------
    Conflict
        For a revision that is published or withdrawn.
    """
    if not revision.is_draft:
        remedy = tr(
            "a draft; this one is {state} and never changes: begin a new draft",
            state=revision.state_words,
        )
        raise Conflict("revision", revision.number, remedy)


def _put(
    session: Session,
    who: str,
    revision: RevisionContent,
    *,
    slug: str,
    name: str,
    position: int,
    raw: Mapping[str, Any],
) -> None:
    put_size(
        session,
        who=who,
        model=revision.model,
        revision=revision.number,
        slug=slug,
        name=name,
        position=position,
        data=raw,
    )
