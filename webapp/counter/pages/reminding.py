"""Reminding a customer: the letter proposed, written over and sent by a person."""

from __future__ import annotations

from dataclasses import replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from webapp.accounts.dependencies import Staff
from webapp.common.errors import Conflict, DomainError, Invalid
from webapp.common.storage.database import reading, writing
from webapp.common.web.dependencies import BaseUrl, CurrentEngine, CurrentSettings, Now
from webapp.common.web.templating import page
from webapp.counter.inbox.letters import reminder
from webapp.counter.inbox.reminder_page import reminder_page
from webapp.counter.lists import DESK
from webapp.counter.pages.forms import PRIVATE, Fields
from webapp.mail.outbox import post
from webapp.quote.lifecycle.action_checks import done_before
from webapp.quote.lifecycle.new_versions import form_hash_of
from webapp.quote.lifecycle.reminding import remind
from webapp.quote.lifecycle.situation import offered_view
from webapp.quote.storage.read import quote_by_number

router = APIRouter()

REMIND = DESK + "/quotes/{number}/remind"


@router.get(REMIND)
def write_reminder(
    *,
    number: str,
    request: Request,
    person: Staff,
    engine: CurrentEngine,
    settings: CurrentSettings,
    base: BaseUrl,
) -> HTMLResponse:
    """The letter as it is proposed."""
    with reading(engine) as session:
        quote = quote_by_number(session, number)
        letter = reminder(offered_view(session, quote), f"{base}/q/{quote.token}")
    shown = reminder_page(number, letter, person, sends_mail=settings.sends_mail)
    return page(request, "pages/counter/remind.html", shown, headers=PRIVATE)


@router.post(REMIND)
def send_reminder(
    *,
    number: str,
    request: Request,
    person: Staff,
    engine: CurrentEngine,
    settings: CurrentSettings,
    base: BaseUrl,
    fields: Fields,
    at: Now,
) -> Response:
    """Send the letter as it was written, where mail is set up, and note it."""
    form_hash = form_hash_of(fields.get("key", ""), "remind", number)
    text = fields.get("text", "")
    error: DomainError
    try:
        with writing(engine) as session:
            quote = quote_by_number(session, number, locked=True)
            if not done_before(session, form_hash):
                said = remind(
                    session, quote, text=text, who=person.name, at=at, form_hash=form_hash
                )
                letter = reminder(offered_view(session, quote), f"{base}/q/{quote.token}")
                if settings.sends_mail and letter.to_mail:
                    key = f"reminded-{number}-{(form_hash or at.isoformat())[:16]}"
                    post(session, replace(letter, body=said), key=key, about=number, at=at)
    except (Invalid, Conflict) as refused:
        error = refused
    else:
        return RedirectResponse(DESK, 303)
    with reading(engine) as session:
        quote = quote_by_number(session, number)
        letter = reminder(offered_view(session, quote), f"{base}/q/{quote.token}")
    shown = reminder_page(
        number, replace(letter, body=text), person, sends_mail=settings.sends_mail, error=error
    )
    return page(request, "pages/counter/remind.html", shown, status=error.status, headers=PRIVATE)
