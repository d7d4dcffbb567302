"""One action on a quote by one form: done once; refused where the quote has changed since."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated

from fastapi import Depends, Request
from fastapi.responses import RedirectResponse, Response
from sqlmodel import Session

from webapp.accounts.dependencies import Staff
from webapp.accounts.people import Person
from webapp.common.errors import Conflict, DomainError, Forbidden, Invalid
from webapp.common.storage.database import reading, writing
from webapp.common.web.dependencies import BaseUrl, CurrentEngine, CurrentSettings, Now
from webapp.common.web.templating import page
from webapp.counter.lists import address_of
from webapp.counter.pages.forms import PRIVATE, Fields, number_in
from webapp.counter.quote_page import quote_page
from webapp.quote.letters.posting import Letters
from webapp.quote.lifecycle.action_checks import check_seen, done_before
from webapp.quote.lifecycle.new_versions import form_hash_of
from webapp.quote.storage.read import QuoteView, quote_by_number, view_of
from webapp.quote.tables import Quote

Refused = Callable[[DomainError], Response]
Deed = Callable[[Session, Quote, QuoteView, str | None], None]


class OneDeed:
    """One action on a quote by one form: done once; refused where the quote has changed since."""

    def __init__(
        self,
        *,
        request: Request,
        engine: CurrentEngine,
        settings: CurrentSettings,
        person: Person,
        base: str,
        at: Now,
        fields: dict[str, str],
    ) -> None:
        self.request = request
        self.engine = engine
        self.settings = settings
        self.person = person
        self.letters = Letters(sends_mail=settings.sends_mail, base=base)
        self.at = at
        self.fields = fields

    def do(
        self, number: str, what: str, deed: Deed, *, then: str = "", refused: Refused | None = None
    ) -> Response:
        """Do it and go back to the quote, or show why not with what was typed.

        Parameters
        ----------
        number : str
            Of the quote.
        what : str
            What is done, so that one form does it once.
        deed : callable
        then : str
            Where on the quote's page to go, or on which page below it.
        refused : callable, optional
            Shows why not; by default the page of the quote.
        """
        form_hash = form_hash_of(self.fields.get("key", ""), what, number)
        try:
            with writing(self.engine) as session:
                quote = quote_by_number(session, number, locked=True)
                if not done_before(session, form_hash):
                    seen = number_in(self.fields, "seen")
                    check_seen(quote, version=seen, state=self.fields.get("state", ""))
                    deed(session, quote, view_of(session, quote), form_hash)
        except (Invalid, Conflict, Forbidden) as error:
            return refused(error) if refused else self._refused(number, error)
        return RedirectResponse(f"{address_of(number)}{then}", 303)

    def _refused(self, number: str, error: DomainError) -> Response:
        with reading(self.engine) as session:
            quote = quote_by_number(session, number)
            shown = quote_page(
                session,
                quote,
                self.person,
                version=None,
                link=self.letters.link(quote),
                at=self.at,
                sends_mail=self.settings.sends_mail,
                error=error,
                typed=self.fields,
            )
        return page(
            self.request,
            "pages/counter/quote.html",
            shown,
            status=error.status,
            headers=PRIVATE,
        )

    def confirmed(self) -> list[str]:
        """Keys of items no longer offered that were ticked as still available."""
        return self.fields.get("confirmed", "").split()

    def text(self) -> str:
        """What was typed with it."""
        return self.fields.get("text", "")


def _doing(
    *,
    request: Request,
    engine: CurrentEngine,
    settings: CurrentSettings,
    person: Staff,
    base: BaseUrl,
    at: Now,
    fields: Fields,
) -> OneDeed:
    return OneDeed(
        request=request,
        engine=engine,
        settings=settings,
        person=person,
        base=base,
        at=at,
        fields=fields,
    )


Doing = Annotated[OneDeed, Depends(_doing)]
