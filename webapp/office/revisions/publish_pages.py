"""The review before publishing, publishing, and withdrawing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.writing.models import withdraw
from webapp.common.errors import DomainError, Invalid
from webapp.common.storage.database import reading, writing
from webapp.common.timestamps import day_of
from webapp.common.web.dependencies import (
    CurrentEngine,
    Now,
    ReadingSession,
    RowNumber,
    WritingSession,
)
from webapp.common.web.templating import page
from webapp.fit.fit_check import fit_check
from webapp.office.forms.submitted import PRIVATE, Texts, refusal
from webapp.office.revisions.drafts import RevisionContent, locked_revision, read_revision
from webapp.office.revisions.pages import address_of_revision
from webapp.office.revisions.publish import proposed_changelog, publish_draft
from webapp.office.revisions.table_check import TableReport, check_sizes

router = APIRouter(prefix="/office/models/{model}/{number}", include_in_schema=False)


@dataclass(frozen=True, kw_only=True)
class PublishPage:
    """Everything the page before publishing knows."""

    person: Person
    revision: RevisionContent
    address: str
    report: TableReport
    fit: tuple[str, ...]
    picture: None
    changelog: str
    stamp: str
    errors: tuple[tuple[str, str], ...]


@router.get("/publish")
def publish_page(
    model: str, number: RowNumber, request: Request, person: Builder, session: ReadingSession
) -> HTMLResponse:
    """The table check once more, and the changelog to correct."""
    revision = read_revision(session, model, number)
    words = proposed_changelog(session, revision)
    report = _report(revision)
    return _answer(request, person, revision, report, _fit(session, revision), words=words)


@router.post("/publish")
def publish_revision(
    model: str,
    number: RowNumber,
    *,
    request: Request,
    person: Builder,
    at: Now,
    engine: CurrentEngine,
    texts: Texts,
) -> Response:
    """Publish it."""
    words = texts.get("changelog", "")
    try:
        with writing(engine) as session:
            revision = locked_revision(session, model, number)
            publish_draft(
                session,
                who=person.name,
                revision=revision,
                stamp=texts.get("stamp", ""),
                words=words,
                on=day_of(at),
            )
    except Invalid as error:
        with reading(engine) as session:
            report = _report(revision)
            fit = _fit(session, revision)
        return _answer(request, person, revision, report, fit, words=words, error=error)
    return RedirectResponse(address_of_revision(model, number), 303)


@router.post("/withdraw")
def take_back(
    model: str,
    number: RowNumber,
    *,
    person: Builder,
    at: Now,
    session: WritingSession,
    reason: Annotated[str, Form()] = "",
) -> RedirectResponse:
    """Withdraw a published revision with a reason."""
    withdraw(session, who=person.name, model=model, revision=number, reason=reason, on=day_of(at))
    return RedirectResponse(address_of_revision(model, number), 303)


def _report(revision: RevisionContent) -> TableReport:
    data = {size.slug: size.data for size in revision.sizes}
    return check_sizes(revision.sizes, data, revision.data.drawn_with)


def _fit(session: Session, revision: RevisionContent) -> tuple[str, ...]:
    """Which riders the draft's sizes would fit; nothing for one that cannot be computed yet."""
    try:
        drawn = load_catalogue(session, revision.model, revision.number, drafts=True)
    except DomainError:
        return ()
    return fit_check(drawn)


def _answer(
    request: Request,
    person: Person,
    revision: RevisionContent,
    report: TableReport,
    fit: tuple[str, ...],
    *,
    words: str,
    error: DomainError | None = None,
) -> HTMLResponse:
    told = refusal(error)
    context = PublishPage(
        person=person,
        revision=revision,
        address=address_of_revision(revision.model, revision.number),
        report=report,
        fit=fit,
        picture=None,
        changelog=words,
        stamp=revision.stamp,
        errors=told.errors,
    )
    return page(
        request, "pages/office/revisions/publish.html", context, status=told.status, headers=PRIVATE
    )
