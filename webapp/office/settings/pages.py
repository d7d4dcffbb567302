"""Settings of the shop and posture windows of riding styles, with a preview of each."""

from __future__ import annotations

from dataclasses import dataclass, replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.catalogue.reading.prices import price_list_on
from webapp.catalogue.schema.shop import PostureWindows
from webapp.catalogue.schema.validation import checked
from webapp.catalogue.tables import ACTIVE, RETIRED, RidingStyle, ShopSetting
from webapp.catalogue.writing.shop import put_settings, put_style
from webapp.common.errors import DomainError, Invalid
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.common.timestamps import day_of
from webapp.common.two_edits import EditForm, Merged, edit_form, merged_if_changed
from webapp.common.web.choices import Link
from webapp.common.web.dependencies import CurrentEngine, Now, ReadingSession
from webapp.common.web.templating import page
from webapp.office.forms.data_form import DataGroup, form_of, raw_of, texts_of
from webapp.office.forms.submitted import (
    PRIVATE,
    Texts,
    field_errors,
    summary,
)
from webapp.office.save import one_save
from webapp.office.settings.preview import (
    ModelShift,
    SettingsPreview,
    settings_preview,
    style_preview,
)
from webapp.office.settings.shop_form import ShopForm, shop_form
from webapp.office.settings.styles import all_styles, own_name, style_row

_SHOP = "/office/settings"
router = APIRouter(prefix=_SHOP, include_in_schema=False)


@dataclass(frozen=True, kw_only=True)
class PreviewPart:
    """What the settings would come to; ``problem`` says why it cannot be shown."""

    preview: SettingsPreview | None
    shifts: tuple[ModelShift, ...]
    problem: str


@dataclass(frozen=True, kw_only=True)
class SettingsPage:
    """A form of settings: the shop's, or one riding style's."""

    person: Person
    title: str
    lead: str
    address: str
    places: tuple[Link, ...]
    trigger: str
    proposed: tuple[str, ...]
    style_name: str
    name_error: str
    windows: tuple[DataGroup, ...]
    form: DataGroup
    edit: EditForm
    errors: tuple[tuple[str, str], ...]
    preview: SettingsPreview | None
    shifts: tuple[ModelShift, ...]
    problem: str


@router.get("")
def shop(request: Request, person: Builder, at: Now, session: ReadingSession) -> HTMLResponse:
    """The shop's settings."""
    return _shop(request, person, session, at=at)


@router.post("/preview")
def preview(
    *, request: Request, _person: Builder, at: Now, session: ReadingSession, texts: Texts
) -> HTMLResponse:
    """How a quote would look with the settings as typed."""
    found, problem = _previewed(session, texts, at)
    return _part(request, PreviewPart(preview=found, shifts=(), problem=problem))


@router.post("")
def keep(
    *, request: Request, person: Builder, at: Now, engine: CurrentEngine, texts: Texts
) -> Response:
    """Keep the shop's settings, or only show them as they would be."""
    if texts.get("do") == "preview":
        with reading(engine) as session:
            return _shop(request, person, session, at=at, texts=texts)
    merged: Merged | None = None
    try:
        with writing(engine) as session:
            row = session.get(ShopSetting, 1, with_for_update=True)
            form = _form_on(session, at)
            merged = merged_if_changed(texts, form.texts(row.data if row else {}))
            if merged is None:
                put_settings(session, who=person.name, data=form.read(texts))
    except Invalid as error:
        with reading(engine) as session:
            return _shop(request, person, session, at=at, texts=texts, error=error)
    if merged is None:
        return RedirectResponse("/office/settings", 303)
    with reading(engine) as session:
        return _shop(request, person, session, at=at, merged=merged)


@router.get("/styles/{slug}")
def style(slug: str, request: Request, person: Builder, session: ReadingSession) -> HTMLResponse:
    """A riding style's posture windows."""
    return _style(request, person, session, slug)


@router.post("/styles/{slug}/preview")
def try_style(
    slug: str, *, request: Request, _person: Builder, session: ReadingSession, texts: Texts
) -> HTMLResponse:
    """Which sizes some riders would be told with the windows as typed."""
    shifts, problem = _shifted(session, slug, texts)
    return _part(request, PreviewPart(preview=None, shifts=shifts, problem=problem))


@router.post("/styles/{slug}")
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
        return RedirectResponse(f"/office/settings/styles/{slug}", 303)
    with reading(engine) as session:
        return _style(request, person, session, slug, merged=merged)


def _style_texts(row: RidingStyle) -> dict[str, str]:
    return {"style_name": row.name, **texts_of(PostureWindows, row.data)}


def _previewed(
    session: Session, texts: dict[str, str], at: Now
) -> tuple[SettingsPreview | None, str]:
    currency, included = _currency_on(session, at)
    try:
        data = shop_form(session, currency).read(texts)
        shown = settings_preview(data, currency=currency, tax_included=included, today=day_of(at))
        return shown, ""
    except Invalid as error:
        return None, str(error.remedy)


def _currency_on(session: Session, at: Now) -> tuple[str, bool]:
    """The currency prices are in on a day, and whether they include the tax."""
    listed = price_list_on(session, day_of(at))
    return (listed.currency, listed.tax_included) if listed else ("EUR", True)


def _form_on(session: Session, at: Now) -> ShopForm:
    return shop_form(session, _currency_on(session, at)[0])


def _shifted(
    session: Session, slug: str, texts: dict[str, str]
) -> tuple[tuple[ModelShift, ...], str]:
    try:
        return style_preview(session, slug, texts), ""
    except DomainError as error:
        return (), str(error.remedy)


def _part(request: Request, part: PreviewPart) -> HTMLResponse:
    template = "partials/office/settings/preview.html"
    return page(request, template, part, partial=template, headers=PRIVATE)


def _places(session: Session, address: str) -> tuple[Link, ...]:
    """The shop's settings and every riding style; that at the address is shown."""
    shop = Link(label=tr("Shop"), address=_SHOP, present=address == _SHOP)
    return (
        shop,
        *(
            Link(
                label=tr("Posture: {name}", name=row.name),
                address=_address_of(row.slug),
                present=address == _address_of(row.slug),
            )
            for row in all_styles(session)
            if row.state == ACTIVE or _address_of(row.slug) == address
        ),
    )


def _address_of(style: str) -> str:
    return f"{_SHOP}/styles/{style}"


def _shop(
    request: Request,
    person: Person,
    session: Session,
    *,
    at: Now,
    texts: dict[str, str] | None = None,
    error: DomainError | None = None,
    merged: Merged | None = None,
) -> HTMLResponse:
    row = session.get(ShopSetting, 1)
    data = dict(row.data) if row else {}
    form = _form_on(session, at)
    now = form.texts(data)
    typed = (merged.fields if merged else texts) or now
    found, problem = _previewed(session, typed, at)
    context = SettingsPage(
        person=person,
        title=tr("Settings"),
        lead=tr("Letterhead, tax, times, texts and units. Quotes already made keep theirs."),
        address=_SHOP,
        places=_places(session, _SHOP),
        trigger="input delay:200ms",
        style_name="",
        name_error="",
        proposed=form.offered,
        windows=(),
        form=form.group(data, typed, field_errors(error.problems, "settings") if error else {}),
        edit=edit_form(now, texts, merged),
        errors=summary(error, "settings"),
        preview=found,
        shifts=(),
        problem=problem,
    )
    return _whole(request, context, error, merged)


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
    form = _form(dict(row.data), typed, error, slug)
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
        address=_address_of(slug),
        places=_places(session, _address_of(slug)),
        trigger="change delay:200ms",
        style_name=(typed or now).get("style_name", row.name),
        proposed=(),
        name_error=field_errors(error.problems, slug).get("style_name", "") if error else "",
        windows=form.groups,
        form=replace(form, groups=()),
        edit=edit_form(now, texts, merged),
        errors=summary(error, slug),
        preview=None,
        shifts=shifts,
        problem=problem,
    )
    return _whole(request, context, error, merged)


def _form(
    data: dict[str, object],
    typed: dict[str, str] | None,
    error: DomainError | None,
    at: str,
) -> DataGroup:
    errors = field_errors(error.problems, at) if error else {}
    return form_of(PostureWindows, data, typed=typed, errors=errors)


def _whole(
    request: Request, context: SettingsPage, error: DomainError | None, merged: Merged | None
) -> HTMLResponse:
    status = 409 if merged else error.status if error else 200
    return page(
        request, "pages/office/settings/settings.html", context, status=status, headers=PRIVATE
    )
