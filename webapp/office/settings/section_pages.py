"""The shop's settings, a section a page, with a preview of what a quote would say."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.catalogue.reading.prices import price_list_on
from webapp.catalogue.tables import ShopSetting
from webapp.catalogue.writing.shop import put_settings
from webapp.common.errors import DomainError, Invalid
from webapp.common.storage.database import reading, writing
from webapp.common.timestamps import day_of
from webapp.common.two_edits import Merged, edit_form, merged_if_changed
from webapp.common.web.dependencies import CurrentEngine, Now, ReadingSession
from webapp.office.forms.submitted import Texts, refusal
from webapp.office.settings.preview import SettingsPreview, settings_preview
from webapp.office.settings.sections import SECTIONS, Section, section_named
from webapp.office.settings.shared_pages import PreviewPart, SettingsPage, part, places, whole
from webapp.office.settings.shop_form import AT, ShopForm, shop_form

router = APIRouter(prefix="/office/settings", include_in_schema=False)


@router.get("")
def first(request: Request, person: Builder, at: Now, session: ReadingSession) -> HTMLResponse:
    """The first section."""
    return _answer(request, person, session, SECTIONS[0], at=at)


@router.get("/{name}")
def section(
    name: str, request: Request, person: Builder, at: Now, session: ReadingSession
) -> HTMLResponse:
    """A section of the shop's settings."""
    return _answer(request, person, session, section_named(name), at=at)


@router.post("/{name}/preview")
def preview(
    name: str, *, request: Request, _person: Builder, at: Now, session: ReadingSession, texts: Texts
) -> HTMLResponse:
    """How a quote would look with the section as typed."""
    found, problem = _previewed(session, section_named(name), texts, at)
    return part(request, PreviewPart(preview=found, problem=problem))


@router.post("/{name}")
def keep(
    name: str, *, request: Request, person: Builder, at: Now, engine: CurrentEngine, texts: Texts
) -> Response:
    """Save a section, or only preview it."""
    shown = section_named(name)
    if texts.get("do") == "preview":
        with reading(engine) as session:
            return _answer(request, person, session, shown, at=at, texts=texts)
    merged: Merged | None = None
    try:
        with writing(engine) as session:
            data = _kept(session, locked=True)
            form = _form_on(session, at)
            merged = merged_if_changed(texts, form.texts(data, shown))
            if merged is None:
                put_settings(session, who=person.name, data=form.read(texts, data, shown))
    except Invalid as error:
        with reading(engine) as session:
            return _answer(request, person, session, shown, at=at, texts=texts, error=error)
    if merged is None:
        return RedirectResponse(shown.address, 303)
    with reading(engine) as session:
        return _answer(request, person, session, shown, at=at, merged=merged)


def _kept(session: Session, *, locked: bool = False) -> dict[str, Any]:
    row = session.get(ShopSetting, 1, with_for_update=locked)
    return dict(row.data) if row else {}


def _currency_on(session: Session, at: Now) -> tuple[str, bool]:
    """The currency of prices on a day, and whether they include the tax."""
    listed = price_list_on(session, day_of(at))
    return (listed.currency, listed.tax_included) if listed else ("EUR", True)


def _form_on(session: Session, at: Now) -> ShopForm:
    return shop_form(session, _currency_on(session, at)[0])


def _previewed(
    session: Session, shown: Section, texts: Mapping[str, str], at: Now
) -> tuple[SettingsPreview | None, str]:
    if not shown.quoted:
        return None, ""
    currency, included = _currency_on(session, at)
    try:
        data = shop_form(session, currency).read(texts, _kept(session), shown)
        found = settings_preview(data, currency=currency, tax_included=included, today=day_of(at))
    except Invalid as error:
        return None, str(error.remedy)
    return found, ""


def _answer(
    request: Request,
    person: Person,
    session: Session,
    shown: Section,
    *,
    at: Now,
    texts: dict[str, str] | None = None,
    error: DomainError | None = None,
    merged: Merged | None = None,
) -> HTMLResponse:
    data, form = _kept(session), _form_on(session, at)
    now = form.texts(data, shown)
    typed = (merged.fields if merged else texts) or now
    found, problem = _previewed(session, shown, typed, at)
    told = refusal(error, AT, merged=merged)
    has_parts = any("part" in name.split(".") for name in now)
    context = SettingsPage(
        person=person,
        title=shown.label,
        lead=shown.lead,
        address=shown.address,
        places=places(session, shown.address),
        trigger="input delay:200ms" if shown.quoted else "",
        proposed=form.offered if has_parts else (),
        form=form.group(data, shown, typed, told.at_field),
        edit=edit_form(now, texts, merged),
        errors=told.errors,
        preview=found,
        problem=problem,
    )
    return whole(request, context, told.status)
