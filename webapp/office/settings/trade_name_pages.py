"""The page of trade names: what readers are shown in place of a code."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.common.errors import Invalid
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr, trn
from webapp.common.web.dependencies import CurrentEngine, ReadingSession
from webapp.common.web.templating import page
from webapp.office.forms.submitted import PRIVATE, Texts
from webapp.office.settings.trade_names import NAME, WAS, keep_names, names_in_use

router = APIRouter(prefix="/office/settings/names", include_in_schema=False)


@dataclass(frozen=True, kw_only=True)
class NameField:
    """One code's field; ``hint`` says how it is shown without a name, and where it is used."""

    field: str
    was_field: str
    code: str
    value: str
    was: str
    hint: str
    error: str


@dataclass(frozen=True, kw_only=True)
class NamesPage:
    """Every code and its name."""

    person: Person
    fields: tuple[NameField, ...]
    unnamed: int
    errors: tuple[tuple[str, str], ...]


@router.get("")
def names(request: Request, person: Builder, session: ReadingSession) -> HTMLResponse:
    """Every code in use, with the name it has."""
    return page(
        request, "pages/office/settings/trade_names.html", _page(person, session), headers=PRIVATE
    )


@router.post("")
def keep(request: Request, person: Builder, engine: CurrentEngine, texts: Texts) -> Response:
    """Keep the names that were changed."""
    try:
        with writing(engine) as session:
            keep_names(session, who=person.name, texts=texts)
    except Invalid as error:
        with reading(engine) as session:
            shown = _page(person, session, texts, error)
        return page(
            request,
            "pages/office/settings/trade_names.html",
            shown,
            status=error.status,
            headers=PRIVATE,
        )
    return RedirectResponse("/office/settings/names", 303)


def _page(
    person: Person,
    session: ReadingSession,
    texts: dict[str, str] | None = None,
    error: Invalid | None = None,
) -> NamesPage:
    lines = names_in_use(session)
    wrong = {p.field.removesuffix(".name"): p.remedy for p in error.problems} if error else {}
    typed = texts or {}
    return NamesPage(
        person=person,
        fields=tuple(
            NameField(
                field=NAME + line.code,
                was_field=WAS + line.code,
                code=line.code,
                value=typed.get(NAME + line.code, line.name),
                was=typed.get(WAS + line.code, line.name),
                hint=_hint(line.used, "" if line.name else line.shown),
                error=wrong.get(line.code, ""),
            )
            for line in lines
        ),
        unnamed=sum(not line.name for line in lines),
        errors=tuple((NAME + code, f"{code}: {remedy}") for code, remedy in wrong.items()),
    )


def _hint(used: int, shown: str) -> str:
    where = (
        trn("carried by {count} part or revision", "carried by {count} parts or revisions", used)
        if used
        else tr("not used")
    )
    return (
        tr("no name yet, shown as “{shown}”; {where}", shown=shown, where=where) if shown else where
    )
