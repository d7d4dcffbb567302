"""Forms of a draft besides the grid: what all sizes share, one size, adding and taking out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.catalogue.schema.fields import Data
from webapp.catalogue.schema.frames import RevisionData, SizeData
from webapp.common.errors import DomainError, Invalid
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.common.two_edits import EditForm, Merged, edit_form, merged_if_changed
from webapp.common.web.dependencies import CurrentEngine, ReadingSession, RowNumber, WritingSession
from webapp.common.web.templating import page
from webapp.office.forms.data_form import form_of, texts_of
from webapp.office.forms.field import DataGroup
from webapp.office.forms.standards import StandardLists, standard_lists
from webapp.office.forms.standards_typed import with_added, with_ticked
from webapp.office.forms.submitted import (
    PRIVATE,
    Texts,
    refusal,
    with_unticked,
)
from webapp.office.revisions.drafts import RevisionContent, locked_revision, read_revision
from webapp.office.revisions.pages import address_of_revision
from webapp.office.revisions.size_data import IN_GRID, add_size, drop_size, save_shared, save_size

router = APIRouter(prefix="/office/models/{model}/{number}", include_in_schema=False)


@dataclass(frozen=True, kw_only=True)
class DataPage:
    """A page with one form made from data."""

    person: Person
    revision: RevisionContent
    title: str
    lead: str
    address: str
    back: str
    form: DataGroup
    edit: EditForm
    editable: bool
    name: str
    removable: bool
    errors: tuple[tuple[str, str], ...]


@dataclass(frozen=True, kw_only=True)
class _Subject:
    """What a form is about: whose data, which class, how it is kept."""

    title: str
    lead: str
    address: str
    model: type[Data]
    at: str
    read: Callable[[RevisionContent], dict[str, str]]
    leave_out: frozenset[str] = frozenset()
    size: str = ""


def _shared(revision: RevisionContent) -> _Subject:
    return _Subject(
        title=tr("What all sizes share"),
        lead=tr("What the sizes are drawn with, fittings, limits and tolerances."),
        address=f"{address_of_revision(revision.model, revision.number)}/shared",
        model=RevisionData,
        at="shared",
        read=lambda r: texts_of(RevisionData, r.raw),
    )


def _one_size(revision: RevisionContent, slug: str) -> _Subject:
    size = revision.size(slug)
    start = address_of_revision(revision.model, revision.number)
    return _Subject(
        title=tr("Size {name}", name=size.name),
        lead=tr("Its drawn numbers are in the grid; everything else is here."),
        address=f"{start}/size/{slug}",
        model=SizeData,
        at=f"{revision.model}.{slug}",
        read=lambda r: {
            name: text
            for name, text in texts_of(SizeData, r.size(slug).raw).items()
            if name not in IN_GRID
        },
        leave_out=IN_GRID,
        size=slug,
    )


@router.get("/shared")
def shared(
    model: str, number: RowNumber, request: Request, person: Builder, session: ReadingSession
) -> HTMLResponse:
    """What all sizes share."""
    revision = read_revision(session, model, number)
    lists = standard_lists(session)
    return _answer(request, person, revision, _shared(revision), lists)


@router.post("/shared")
def submit_shared(
    model: str,
    number: RowNumber,
    *,
    request: Request,
    person: Builder,
    engine: CurrentEngine,
    texts: Texts,
) -> Response:
    """Keep what all sizes share."""

    def keep(session: Session, revision: RevisionContent, own: dict[str, str]) -> None:
        save_shared(session, who=person.name, revision=revision, texts=own)

    return _keep(
        request, person, engine, texts, which=(model, number), subject_of=_shared, keep=keep
    )


@router.get("/size/{slug}")
def size(
    model: str,
    number: RowNumber,
    slug: str,
    *,
    request: Request,
    person: Builder,
    session: ReadingSession,
) -> HTMLResponse:
    """One size's further data."""
    revision = read_revision(session, model, number)
    lists = standard_lists(session)
    return _answer(request, person, revision, _one_size(revision, slug), lists)


@router.post("/size/{slug}")
def submit_size(
    model: str,
    number: RowNumber,
    slug: str,
    *,
    request: Request,
    person: Builder,
    engine: CurrentEngine,
    texts: Texts,
) -> Response:
    """Keep one size's further data and its name."""

    def keep(session: Session, revision: RevisionContent, own: dict[str, str]) -> None:
        save_size(
            session,
            who=person.name,
            revision=revision,
            slug=slug,
            name=own.get("size_name", ""),
            texts=own,
        )

    def subject(revision: RevisionContent) -> _Subject:
        return _one_size(revision, slug)

    return _keep(
        request, person, engine, texts, which=(model, number), subject_of=subject, keep=keep
    )


@router.post("/add-size")
def add(
    model: str,
    number: RowNumber,
    *,
    person: Builder,
    session: WritingSession,
    size_name: Annotated[str, Form()] = "",
    like: Annotated[str, Form()] = "",
) -> RedirectResponse:
    """Add a size as a copy of another."""
    revision = locked_revision(session, model, number)
    add_size(session, who=person.name, revision=revision, name=size_name, like=like)
    return RedirectResponse(address_of_revision(model, number), 303)


@router.post("/size/{slug}/remove")
def remove(
    model: str, number: RowNumber, slug: str, person: Builder, session: WritingSession
) -> RedirectResponse:
    """Take a size out of the draft."""
    drop_size(session, who=person.name, revision=locked_revision(session, model, number), slug=slug)
    return RedirectResponse(address_of_revision(model, number), 303)


def _keep(
    request: Request,
    person: Person,
    engine: CurrentEngine,
    texts: dict[str, str],
    *,
    which: tuple[str, int],
    subject_of: Callable[[RevisionContent], _Subject],
    keep: Callable[[Session, RevisionContent, dict[str, str]], None],
) -> Response:
    """Keep a form, unless its subject has changed since it was opened."""
    merged: Merged | None = None
    texts = with_ticked(texts)
    try:
        with writing(engine) as session:
            revision, lists = locked_revision(session, *which), standard_lists(session)
            subject = subject_of(revision)
            now, own = (
                subject.read(revision),
                with_added(session, person.name, subject.model, texts),
            )
            merged = merged_if_changed(own, now, with_unticked(now, own))
            if merged is None:
                keep(session, revision, own)
    except Invalid as error:
        with reading(engine) as session:
            revision, lists = read_revision(session, *which), standard_lists(session)
        subject = subject_of(revision)
        return _answer(request, person, revision, subject, lists, texts=texts, error=error)
    if merged is None:
        return RedirectResponse(address_of_revision(*which), 303)
    return _answer(request, person, revision, subject_of(revision), lists, merged=merged)


def _answer(
    request: Request,
    person: Person,
    revision: RevisionContent,
    subject: _Subject,
    lists: StandardLists,
    *,
    texts: dict[str, str] | None = None,
    error: DomainError | None = None,
    merged: Merged | None = None,
) -> HTMLResponse:
    now, told = subject.read(revision), refusal(error, subject.at, merged=merged)
    raw = revision.size(subject.size).raw if subject.size else revision.raw
    form = form_of(
        subject.model,
        raw,
        typed=merged.fields if merged else texts,
        errors=told.at_field,
        leave_out=subject.leave_out,
        standards=lists,
    )
    context = DataPage(
        person=person,
        revision=revision,
        title=subject.title,
        lead=subject.lead,
        address=subject.address,
        back=address_of_revision(revision.model, revision.number),
        form=form,
        edit=edit_form(now, texts, merged),
        editable=revision.is_draft,
        name=(texts or {}).get("size_name", _name(revision, subject)),
        removable=bool(subject.size) and revision.is_draft and len(revision.sizes) > 1,
        errors=told.errors,
    )
    return page(
        request, "pages/office/revisions/data.html", context, status=told.status, headers=PRIVATE
    )


def _name(revision: RevisionContent, subject: _Subject) -> str:
    return revision.size(subject.size).name if subject.size else ""
