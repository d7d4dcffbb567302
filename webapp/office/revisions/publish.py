"""Publishing a draft in one step, with its changelog, and withdrawing a revision."""

from __future__ import annotations

from datetime import date

from sqlmodel import Session

from webapp.catalogue.reading.load import trade_names
from webapp.catalogue.writing.models import publish, put_draft
from webapp.common.errors import Conflict
from webapp.common.text.language import tr
from webapp.office.revisions.drafts import RevisionContent, published_before
from webapp.office.revisions.revision_differences import changelog, differences
from webapp.office.revisions.size_data import only_draft

FIRST = tr("The first revision.")


def proposed_changelog(session: Session, revision: RevisionContent) -> str:
    """What changed since the revision it takes the place of, in words to be corrected."""
    before = published_before(session, revision.model, revision.number)
    return (
        FIRST
        if before is None
        else changelog(differences(before, revision, called=trade_names(session)))
    )


def publish_draft(
    session: Session, *, who: str, revision: RevisionContent, stamp: str, words: str, on: date
) -> None:
    """Publish a draft as somebody has seen it.

    Parameters
    ----------
    session : Session
        A writing session; the revision was read in it and is locked.
    who : str
    revision : RevisionContent
    stamp : str
        Of the draft as it was shown; another one means that it has changed since.
    words : str
        The changelog.
    on : date
        Day of publication.

    Raises
    ------
    Conflict
        For a revision that is no draft, or has changed since it was shown.
    Invalid
        When the table contradicts itself.
    """
    only_draft(revision)
    if stamp != revision.stamp:
        remedy = tr("look at it again: somebody has changed the draft since you opened this page")
        raise Conflict("revision", revision.number, remedy)
    put_draft(session, who=who, model=revision.model, data=revision.raw, changelog=words.strip())
    publish(session, who=who, model=revision.model, revision=revision.number, on=on)
