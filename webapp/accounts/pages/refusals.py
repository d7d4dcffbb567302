"""The builder's page of who was refused for asking too often."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from webapp.accounts.dependencies import Builder
from webapp.accounts.limits import account_ask
from webapp.accounts.pages.forms import PRIVATE
from webapp.accounts.people import Person, list_people
from webapp.common.text.dates import moment_in_words
from webapp.common.text.language import tr
from webapp.common.web.dependencies import ReadingSession
from webapp.common.web.templating import page
from webapp.rate_limits.counting import Refusals, refusals

router = APIRouter()

SHOWN = 100
_WORDS = {
    "sign-in by sender": tr("Signing in, from one network"),
    "sign-in by account": tr("Signing in, to one account"),
    "sign-in by browser": tr("Signing in, from a known browser"),
    "code by account": tr("One-time codes, for one account"),
    "link": tr("Opening links that set a password"),
    "quote by sender": tr("Asking for quotes, from one network"),
    "quote by mail": tr("Asking for quotes, for one mail address"),
    "answer by sender": tr("Answering quotes, from one network"),
}


@dataclass(frozen=True, kw_only=True)
class RefusedRow:
    """One line of the list."""

    what: str
    who: str
    refused: int
    last: str


@dataclass(frozen=True, kw_only=True)
class RefusalsPage:
    """Who was refused lately."""

    person: Person
    rows: tuple[RefusedRow, ...]


@router.get("/office/people/refusals")
def refused(request: Request, person: Builder, session: ReadingSession) -> HTMLResponse:
    """Who was refused in the last month, and how often."""
    accounts = {account_ask(each.mail).key: each.name for each in list_people(session)}
    rows = tuple(_row(each, accounts) for each in refusals(session, SHOWN))
    context = RefusalsPage(person=person, rows=rows)
    return page(request, "pages/accounts/refusals.html", context, headers=PRIVATE)


def _row(found: Refusals, accounts: dict[str, str]) -> RefusedRow:
    """A line in words; of an account its name, of a mail address nothing."""
    return RefusedRow(
        what=_WORDS.get(found.kind, found.kind),
        who=accounts.get(found.key) or found.who or tr("not kept"),
        refused=found.refused,
        last=moment_in_words(found.refused_at),
    )
