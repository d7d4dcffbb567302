"""The builder's page of people: inviting, new links, switching off."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.accounts import links, people
from webapp.accounts.confirmation import CONFIRMED
from webapp.accounts.dependencies import Builder
from webapp.accounts.pages.forms import PRIVATE, Typed
from webapp.accounts.people import ListedPerson, Person
from webapp.accounts.tables import BUILDER, ROLES, STAFF
from webapp.common.errors import Conflict, DomainError, Invalid, form_errors
from webapp.common.text.language import tr
from webapp.common.web.choices import Option
from webapp.common.web.dependencies import BaseUrl, Now, ReadingSession, RowNumber, WritingSession
from webapp.common.web.templating import page

router = APIRouter()

EVENTS_SHOWN = 30
_WORDS = {
    STAFF: tr("Staff: the counter"),
    BUILDER: tr("Builder: the counter and the drawing office"),
}


@dataclass(frozen=True, kw_only=True)
class PersonRow:
    """One person in the list; ``switch`` is what the button does, empty for one's own account."""

    id: int
    name: str
    mail: str
    role_words: str
    state: str
    active: bool
    switch: str
    switch_whom: str
    switch_to: str


@dataclass(frozen=True, kw_only=True)
class TypedPerson:
    """The texts in the form."""

    name: str = ""
    mail: str = ""
    role: str = STAFF


@dataclass(frozen=True, kw_only=True)
class PeoplePage:
    """Everything the page of people knows; ``link`` is shown once, when it was just made."""

    person: Person
    people: tuple[PersonRow, ...]
    roles: tuple[Option, ...]
    typed: TypedPerson
    link: str
    link_for: str
    events: tuple[str, ...]
    errors: tuple[tuple[str, str], ...]
    field_errors: dict[str, str]


@router.get("/office/people")
def everybody(request: Request, person: Builder, session: ReadingSession) -> HTMLResponse:
    """The list, and the form to invite."""
    return _people(request, person, session)


@router.post("/office/people", dependencies=[CONFIRMED])
def invite(
    *,
    request: Request,
    person: Builder,
    session: WritingSession,
    base: BaseUrl,
    at: Now,
    name: Typed = "",
    mail: Typed = "",
    role: Typed = STAFF,
) -> HTMLResponse:
    """Make an account and show its first link."""
    try:
        made = people.put_person(session, name=name, mail=mail, role=role, who=person.name, at=at)
    except (Invalid, Conflict) as error:
        typed = TypedPerson(name=name[:200], mail=mail[:300], role=role[:20])
        return _people(request, person, session, typed=typed, error=error)
    link = base + links.issue_link(session, made, who=person.name, at=at)
    return _people(request, person, session, link=link, link_for=made.name)


@router.post("/office/people/{number}/link", dependencies=[CONFIRMED])
def new_link(
    *,
    number: RowNumber,
    request: Request,
    person: Builder,
    session: WritingSession,
    base: BaseUrl,
    at: Now,
) -> HTMLResponse:
    """A link with which somebody sets a new password; shown once."""
    account = people.account_of(session, number)
    link = base + links.issue_link(session, account, who=person.name, at=at)
    return _people(request, person, session, link=link, link_for=account.name)


@router.post("/office/people/{number}/active")
def switch(
    number: RowNumber, person: Builder, session: WritingSession, at: Now, active: Typed = "no"
) -> Response:
    """Switch an account on or off; switched off, its sessions end at once."""
    account = people.account_of(session, number)
    people.switch(session, account, active=active == "yes", who=person, at=at)
    return RedirectResponse("/office/people", 303)


def _people(
    request: Request,
    person: Person,
    session: Session,
    *,
    typed: TypedPerson | None = None,
    link: str = "",
    link_for: str = "",
    error: DomainError | None = None,
) -> HTMLResponse:
    errors, field_errors = form_errors(error)
    everyone = people.list_people(session)
    context = PeoplePage(
        person=person,
        people=tuple(_row(each, own=each.id == person.id) for each in everyone),
        roles=tuple(Option(value=role, label=_WORDS[role]) for role in ROLES),
        typed=typed or TypedPerson(),
        link=link,
        link_for=link_for,
        events=people.latest_events(session, EVENTS_SHOWN),
        errors=errors,
        field_errors=field_errors,
    )
    status = error.status if error else 200
    return page(request, "pages/accounts/people.html", context, status=status, headers=PRIVATE)


def _row(each: ListedPerson, *, own: bool) -> PersonRow:
    switch = tr("Switch off") if each.active else tr("Switch on")
    whom = tr("Switch off {name}", name=each.name)
    return PersonRow(
        id=each.id,
        name=each.name,
        mail=each.mail,
        role_words=each.role_words,
        state=_state(each),
        active=each.active,
        switch="" if own else switch,
        switch_whom=whom if each.active else tr("Switch on {name}", name=each.name),
        switch_to="no" if each.active else "yes",
    )


def _state(each: ListedPerson) -> str:
    if not each.active:
        return tr("switched off")
    return tr("can sign in") if each.has_password else tr("has not set a password")
