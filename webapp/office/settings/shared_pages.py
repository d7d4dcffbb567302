"""What every page of the settings shows: links, form, two edits that met, a preview."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import Request
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from webapp.accounts.people import Person
from webapp.catalogue.tables import ACTIVE
from webapp.common.text.language import tr
from webapp.common.two_edits import EditForm
from webapp.common.web.choices import Link
from webapp.common.web.templating import page
from webapp.office.forms.field import DataGroup
from webapp.office.forms.submitted import PRIVATE
from webapp.office.settings.preview import ModelShift, SettingsPreview
from webapp.office.settings.sections import SECTIONS
from webapp.office.settings.styles import all_styles

OWN_SHOP = "/office/shop"
STYLES = "/office/settings/styles"
NAMES = "/office/settings/names"


@dataclass(frozen=True, kw_only=True)
class PreviewPart:
    """The preview of some settings; ``problem`` says why there is none."""

    preview: SettingsPreview | None = None
    shifts: tuple[ModelShift, ...] = ()
    problem: str = ""


@dataclass(frozen=True, kw_only=True)
class SettingsPage:
    """A form of settings: a section of the shop's, or one riding style's.

    ``trigger`` is what asks for the preview anew; empty where there is none.
    """

    person: Person
    title: str
    lead: str
    address: str
    places: tuple[Link, ...]
    trigger: str
    form: DataGroup
    edit: EditForm
    errors: tuple[tuple[str, str], ...]
    preview: SettingsPreview | None = None
    shifts: tuple[ModelShift, ...] = ()
    problem: str = ""
    proposed: tuple[str, ...] = ()
    style_name: str = ""
    name_error: str = ""
    windows: tuple[DataGroup, ...] = ()


def style_address(style: str) -> str:
    """The address of the windows of a riding style."""
    return f"{STYLES}/{style}"


def places(session: Session, address: str) -> tuple[Link, ...]:
    """Links to every page of the settings; the one at the address is marked as present."""
    found = [
        (tr("Your firm"), OWN_SHOP),
        *((each.label, each.address) for each in SECTIONS),
        (tr("Riding styles"), STYLES),
        *(
            (tr("Posture: {name}", name=row.name), style_address(row.slug))
            for row in all_styles(session)
            if row.state == ACTIVE or style_address(row.slug) == address
        ),
        (tr("Fitting standards"), NAMES),
    ]
    return tuple(Link(label=label, address=at, present=at == address) for label, at in found)


def whole(request: Request, context: SettingsPage, status: int) -> HTMLResponse:
    """The page, with the status that fits the result of the form."""
    template = "pages/office/settings/settings.html"
    return page(request, template, context, status=status, headers=PRIVATE)


def part(request: Request, shown: PreviewPart) -> HTMLResponse:
    """The preview alone."""
    template = "partials/office/settings/preview.html"
    return page(request, template, shown, partial=template, headers=PRIVATE)
