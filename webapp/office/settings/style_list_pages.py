"""The page of riding styles, where they are added, moved, removed and brought back."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.catalogue.tables import ACTIVE
from webapp.common.errors import DomainError
from webapp.common.storage.database import reading, writing
from webapp.common.web.choices import Option
from webapp.common.web.dependencies import CurrentEngine, ReadingSession, WritingSession
from webapp.common.web.templating import page
from webapp.office.forms.submitted import PRIVATE, Texts, refusal
from webapp.office.settings.styles import (
    add_style,
    all_styles,
    bring_back_style,
    move_style,
    remove_style,
)

_AT = "/office/settings/styles"
router = APIRouter(prefix=_AT, include_in_schema=False)


@dataclass(frozen=True, kw_only=True)
class StyleLine:
    """One style in the list."""

    name: str
    address: str
    removed: bool
    first: bool
    last: bool


@dataclass(frozen=True, kw_only=True)
class StylesPage:
    """Every riding style, and the form of another one."""

    person: Person
    styles: tuple[StyleLine, ...]
    patterns: tuple[Option, ...]
    name: str
    like: str
    field_errors: dict[str, str]
    errors: tuple[tuple[str, str], ...]


@router.get("")
def styles(request: Request, person: Builder, session: ReadingSession) -> HTMLResponse:
    """Every riding style."""
    return _answer(request, person, session)


@router.post("")
def add(*, request: Request, person: Builder, engine: CurrentEngine, texts: Texts) -> Response:
    """Add a style with the windows of an existing one, then open its page."""
    name, like = texts.get("style_name", ""), texts.get("like", "")
    try:
        with writing(engine) as session:
            slug = add_style(session, who=person.name, name=name, like=like)
    except DomainError as error:
        with reading(engine) as session:
            return _answer(request, person, session, texts, error)
    return RedirectResponse(f"{_AT}/{slug}", 303)


@router.post("/{slug}/place")
def place(slug: str, person: Builder, session: WritingSession, texts: Texts) -> RedirectResponse:
    """Move a style one place up or down in every list."""
    move_style(session, who=person.name, slug=slug, up=texts.get("to") == "up")
    return RedirectResponse(_AT, 303)


@router.post("/{slug}/remove")
def remove(*, slug: str, request: Request, person: Builder, engine: CurrentEngine) -> Response:
    """Stop offering a style."""
    try:
        with writing(engine) as session:
            remove_style(session, who=person.name, slug=slug)
    except DomainError as error:
        with reading(engine) as session:
            return _answer(request, person, session, error=error)
    return RedirectResponse(_AT, 303)


@router.post("/{slug}/bring-back")
def bring_back(slug: str, person: Builder, session: WritingSession) -> RedirectResponse:
    """Offer a removed style again."""
    bring_back_style(session, who=person.name, slug=slug)
    return RedirectResponse(_AT, 303)


def _answer(
    request: Request,
    person: Person,
    session: Session,
    texts: dict[str, str] | None = None,
    error: DomainError | None = None,
) -> HTMLResponse:
    rows, typed, told = all_styles(session), texts or {}, refusal(error)
    offered = [each.slug for each in rows if each.state == ACTIVE]
    context = StylesPage(
        person=person,
        styles=tuple(
            StyleLine(
                name=each.name,
                address=f"{_AT}/{each.slug}",
                removed=each.slug not in offered,
                first=[each.slug] == offered[:1],
                last=[each.slug] == offered[-1:],
            )
            for each in sorted(rows, key=lambda row: row.state != ACTIVE)
        ),
        patterns=tuple(Option(value=each.slug, label=each.name) for each in rows),
        name=typed.get("style_name", ""),
        like=typed.get("like", ""),
        field_errors=told.at_field,
        errors=told.errors,
    )
    template = "pages/office/settings/styles.html"
    return page(request, template, context, status=told.status, headers=PRIVATE)
