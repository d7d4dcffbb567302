"""Posture windows of a riding style, with the sizes some riders would be advised by them."""

from __future__ import annotations

from dataclasses import replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.catalogue.schema.shop import PostureWindows
from webapp.catalogue.schema.validation import checked
from webapp.catalogue.tables import RETIRED, RidingStyle
from webapp.catalogue.writing.shop import put_style
from webapp.common.errors import DomainError, Invalid
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.common.two_edits import Merged, edit_form, merged_if_changed
from webapp.common.web.dependencies import CurrentEngine, ReadingSession
from webapp.office.forms.data_form import form_of, raw_of, texts_of
from webapp.office.forms.submitted import Texts, refusal
from webapp.office.save import one_save
from webapp.office.settings.preview import ModelShift, style_preview
from webapp.office.settings.shared_pages import (
    STYLES,
    PreviewPart,
    SettingsPage,
    part,
    places,
    style_address,
    whole,
)
from webapp.office.settings.styles import own_name, style_row

router = APIRouter(prefix=STYLES, include_in_schema=False)


@router.get("/{slug}")
def style(slug: str, request: Request, person: Builder, session: ReadingSession) -> HTMLResponse:
    """A riding style's posture windows."""
    return _style(request, person, session, slug)


@router.post("/{slug}/preview")
def try_style(
    slug: str, *, request: Request, _person: Builder, session: ReadingSession, texts: Texts
) -> HTMLResponse:
    """Which sizes some riders would be advised with the windows as typed."""
    shifts, problem = _shifted(session, slug, texts)
    return part(request, PreviewPart(shifts=shifts, problem=problem))


@router.post("/{slug}")
def save_style(
    slug: str, *, request: Request, person: Builder, engine: CurrentEngine, texts: Texts
) -> Response:
    """Keep a riding style's windows."""
    merged: Merged | None = None
    try:
        with reading(engine) as session:
            if texts.get("do") == "preview":
                return _style(request, person, session, slug, texts=texts)
        with writing(engine) as session:
            row = style_row(session, slug)
            session.refresh(row, with_for_update=True)
            now = _style_texts(row)
            merged = merged_if_changed(texts, now)
            if merged is None:
                with one_save(session):
                    put_style(
                        session,
                        who=person.name,
                        slug=slug,
                        name=own_name(session, texts.get("style_name", row.name), slug=slug),
                        removed=row.state == RETIRED,
                        position=row.position,
                        windows=checked(PostureWindows, raw_of(PostureWindows, texts), at=slug),
                    )
    except Invalid as error:
        with reading(engine) as session:
            return _style(request, person, session, slug, texts=texts, error=error)
    if merged is None:
        return RedirectResponse(style_address(slug), 303)
    with reading(engine) as session:
        return _style(request, person, session, slug, merged=merged)


def _style_texts(row: RidingStyle) -> dict[str, str]:
    return {"style_name": row.name, **texts_of(PostureWindows, row.data)}


def _shifted(
    session: Session, slug: str, texts: dict[str, str]
) -> tuple[tuple[ModelShift, ...], str]:
    try:
        return style_preview(session, slug, texts), ""
    except DomainError as error:
        return (), str(error.remedy)


def _style(
    request: Request,
    person: Person,
    session: Session,
    slug: str,
    *,
    texts: dict[str, str] | None = None,
    error: DomainError | None = None,
    merged: Merged | None = None,
) -> HTMLResponse:
    row = style_row(session, slug)
    typed = merged.fields if merged else texts
    told = refusal(error, slug, merged=merged)
    form = form_of(PostureWindows, dict(row.data), typed=typed, errors=told.at_field)
    now = _style_texts(row)
    shifts, problem = _shifted(session, slug, typed) if typed else ((), "")
    context = SettingsPage(
        person=person,
        title=tr("Riding style: {name}", name=row.name),
        lead=tr(
            "How riders sit and stand in this style; the builder’s choice, not a law. Angles in "
            "degrees: the trunk’s from the level, elbow and knee from straight, the shoulder’s "
            "between trunk and upper arm. Lengths in mm. Weight 0 shows a figure without "
            "judging by it."
        ),
        address=style_address(slug),
        places=places(session, style_address(slug)),
        trigger="change delay:200ms",
        style_name=(typed or now).get("style_name", row.name),
        name_error=told.at_field.get("style_name", ""),
        windows=form.groups,
        form=replace(form, groups=()),
        edit=edit_form(now, texts, merged),
        errors=told.errors,
        shifts=shifts,
        problem=problem,
    )
    return whole(request, context, told.status)
