"""Asks for a password or code again before what cannot be undone or exports personal data.

A route takes ``CONFIRMED`` among its dependencies. Whoever has proved it in this
session a moment ago passes; anybody else is asked for a code, or for the password
where no codes are used, and what was typed into a form is sent on afterwards.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends, HTTPException, Request

from webapp.accounts import second_step, sessions
from webapp.accounts.dependencies import Staff, Token
from webapp.accounts.people import Person
from webapp.common.security.layers import SAFE_METHODS
from webapp.common.storage.database import reading
from webapp.common.web.dependencies import CurrentEngine, Now

CONFIRM = "/account/confirm"
OWN = "confirm_"  # how the names of the asking page's own fields begin
MOST_FIELDS = 200


@dataclass(frozen=True, kw_only=True)
class Standing:
    """Whether a session was confirmed lately, and how it can be confirmed."""

    confirmed: bool
    by_code: bool


def _standing(person: Staff, token: Token, engine: CurrentEngine, at: Now) -> Standing:
    with reading(engine) as session:
        return Standing(
            confirmed=sessions.is_confirmed(session, token, at=at),
            by_code=second_step.is_on(session, person.id),
        )


SessionStanding = Annotated[Standing, Depends(_standing)]


class ConfirmFirst(Exception):
    """A form was sent that needs a proof first; carries what it takes to send it again."""

    def __init__(self, person: Person, standing: Standing, fields: dict[str, str]) -> None:
        super().__init__("prove again who you are")
        self.person = person
        self.standing = standing
        self.fields = fields


async def text_fields(request: Request) -> dict[str, str]:
    """Every text field of a form; of a field given twice, the last."""
    form = await request.form(max_files=0, max_fields=MOST_FIELDS)
    return {name: value for name, value in form.multi_items() if isinstance(value, str)}


async def _confirmed(request: Request, person: Staff, standing: SessionStanding) -> None:
    if standing.confirmed:
        return
    if request.method in SAFE_METHODS:
        asked = request.url.path + (f"?{request.url.query}" if request.url.query else "")
        address = request.url_for("confirm_form").include_query_params(next=asked)
        location = f"{address.path}?{address.query}"
        raise HTTPException(303, "prove again who you are", {"Location": location})
    raise ConfirmFirst(person, standing, await text_fields(request))


CONFIRMED = Depends(_confirmed)
