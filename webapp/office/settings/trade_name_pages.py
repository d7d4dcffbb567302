"""The page of fitting standards: what readers are shown in place of a code, and the lists."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.catalogue.standards import JOINTS
from webapp.common.errors import DomainError
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr, trn
from webapp.common.text.sentences import capitalized
from webapp.common.web.choices import Option
from webapp.common.web.dependencies import CurrentEngine, ReadingSession
from webapp.common.web.templating import page
from webapp.office.forms.submitted import PRIVATE, Texts
from webapp.office.settings.trade_names import (
    DROP,
    NAME,
    WAS,
    NameLine,
    add_standard,
    keep_names,
    names_in_use,
)

router = APIRouter(prefix="/office/settings/names", include_in_schema=False)


@dataclass(frozen=True, kw_only=True)
class NameField:
    """One code's field; ``hint`` says how it is shown without a name, and where it is used.

    ``drop_field`` is the tick that takes it out of its list; empty where something carries it.
    """

    field: str
    was_field: str
    drop_field: str
    code: str
    value: str
    was: str
    hint: str
    error: str
    dropped: bool


@dataclass(frozen=True, kw_only=True)
class NameGroup:
    """The standards of one joint."""

    heading: str
    fields: tuple[NameField, ...]


@dataclass(frozen=True, kw_only=True)
class NamesPage:
    """Every code and its name, by joints; ``joints`` is what another can be added to."""

    person: Person
    groups: tuple[NameGroup, ...]
    unnamed: int
    joints: tuple[Option, ...]
    joint: str
    name: str
    name_error: str
    joint_error: str
    asks: bool
    errors: tuple[tuple[str, str], ...]


@router.get("")
def names(request: Request, person: Builder, session: ReadingSession) -> HTMLResponse:
    """Every code in use, with the name it has."""
    return _answer(request, person, session)


@router.post("")
def keep(request: Request, person: Builder, engine: CurrentEngine, texts: Texts) -> Response:
    """Save the names that were changed, and remove what is ticked."""
    try:
        with writing(engine) as session:
            keep_names(session, who=person.name, texts=texts)
    except DomainError as error:
        with reading(engine) as session:
            return _answer(request, person, session, texts, error)
    return RedirectResponse("/office/settings/names", 303)


@router.post("/add")
def add(
    request: Request,
    person: Builder,
    engine: CurrentEngine,
    *,
    joint: Annotated[str, Form(max_length=60)] = "",
    name: Annotated[str, Form(max_length=400)] = "",
    sure: Annotated[str, Form(max_length=10)] = "",
) -> Response:
    """Put a standard into a list."""
    try:
        with writing(engine) as session:
            add_standard(session, who=person.name, joint=joint, name=name, sure=bool(sure))
    except DomainError as error:
        with reading(engine) as session:
            texts = {"joint": joint, "name": name}
            return _answer(request, person, session, texts, error)
    return RedirectResponse("/office/settings/names", 303)


def _answer(
    request: Request,
    person: Person,
    session: Session,
    texts: dict[str, str] | None = None,
    error: DomainError | None = None,
) -> HTMLResponse:
    return page(
        request,
        "pages/office/settings/trade_names.html",
        _page(person, session, texts or {}, error),
        status=error.status if error else 200,
        headers=PRIVATE,
    )


def _page(
    person: Person, session: Session, typed: dict[str, str], error: DomainError | None
) -> NamesPage:
    lists = names_in_use(session)
    problems = error.problems if error else ()
    wrong = {p.field.removesuffix(".name").removeprefix(DROP): p.remedy for p in problems}
    codes = {line.code for each in lists for line in each.lines}
    return NamesPage(
        person=person,
        groups=tuple(
            NameGroup(
                heading=capitalized(each.label),
                fields=tuple(_field(line, typed, wrong.get(line.code, "")) for line in each.lines),
            )
            for each in lists
        ),
        unnamed=sum(not line.name for each in lists for line in each.lines),
        joints=tuple(Option(value=joint, label=label) for joint, label in JOINTS.items()),
        joint=typed.get("joint", ""),
        name=typed.get("name", ""),
        name_error=wrong.get("name", ""),
        joint_error=wrong.get("joint", ""),
        asks=bool(wrong.get("name") and typed.get("name")),
        errors=tuple(
            (NAME + key if key in codes else key, f"{key}: {remedy}")
            for key, remedy in wrong.items()
        ),
    )


def _field(line: NameLine, typed: dict[str, str], error: str) -> NameField:
    return NameField(
        field=NAME + line.code,
        was_field=WAS + line.code,
        drop_field="" if line.used else DROP + line.code,
        code=line.code,
        value=typed.get(NAME + line.code, line.name),
        was=typed.get(WAS + line.code, line.name),
        hint=_hint(line.used, "" if line.name else line.shown),
        error=error,
        dropped=DROP + line.code in typed,
    )


def _hint(used: int, shown: str) -> str:
    where = (
        trn("used by {count} part or size", "used by {count} parts or sizes", used)
        if used
        else tr("not used")
    )
    return (
        tr("no name yet, shown as “{shown}”; {where}", shown=shown, where=where) if shown else where
    )
