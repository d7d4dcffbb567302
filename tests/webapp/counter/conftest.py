"""The counter for tests: a service with people signed in, and quotes to work on."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Mapping
from datetime import date, datetime

import pypdf
import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from httpx import Response
from sqlmodel import Session

from tests.webapp.accounts.conftest import (
    COOKIE,
    SAME,
    Clock,
    MakePerson,
    at,
    password_hash,
    put_person,
)
from webapp.accounts.people import account_of
from webapp.accounts.sessions import open_session
from webapp.builds.choice.build_choice import read_choice
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.writing.models import publish, put_draft, put_size
from webapp.catalogue.writing.parts import put_part_price, retire_part
from webapp.common.storage.database import reading, writing
from webapp.quote.customer import Customer
from webapp.quote.lifecycle.request import ask_for_quote
from webapp.quote.storage.read import QuoteView, quote_by_number, view_of

__all__ = ["COOKIE", "SAME", "Clock", "at", "password_hash", "put_person"]

CUSTOMER = Customer(name="Ada Marl", mail="ada@marl.example", note="Mostly forest tracks.")


class Desk:
    """Somebody of the shop in a browser."""

    def __init__(self, client: TestClient) -> None:
        self.client = client

    def get(self, path: str) -> Response:
        answer: Response = self.client.get(path)
        return answer

    def post(self, path: str, form: Mapping[str, str] | None = None) -> Response:
        answer: Response = self.client.post(path, data=dict(form or {}), headers=SAME)
        return answer

    def page(self, number: str) -> str:
        return self.get(f"/counter/quotes/{number}").text

    def hidden(self, html: str) -> dict[str, str]:
        """The hidden fields of the first form that has a key."""
        return {
            name: re.findall(rf'name="{name}" value="([^"]*)"', html)[0]
            for name in ("key", "seen", "state", "sendings")
            if f'name="{name}"' in html
        }

    def do(self, number: str, what: str, **fields: str) -> Response:
        """One thing done to a quote, as its page has it now."""
        form = self.hidden(self.page(number)) | fields
        return self.post(f"/counter/quotes/{number}/{what}", form)

    def terms(self, number: str, **fields: str) -> Response:
        """Other terms typed into the form as it stands now."""
        form = all_fields(self.get(f"/counter/quotes/{number}/terms").text) | fields
        return self.post(f"/counter/quotes/{number}/terms", form)


def all_fields(html: str) -> dict[str, str]:
    """Every field of a page's forms with what stands in it."""
    import html as entities

    found: dict[str, str] = {}
    for tag in re.findall(r"<input[^>]*>", html):
        name, value = re.search(r'name="([^"]*)"', tag), re.search(r'value="([^"]*)"', tag)
        if name and 'type="radio"' not in tag:
            found[name[1]] = entities.unescape(value[1]) if value else ""
    for name_, body in re.findall(
        r'<textarea[^>]*name="([^"]*)"[^>]*>(.*?)</textarea>', html, re.S
    ):
        found[name_] = entities.unescape(body)
    for name_, body in re.findall(r'<select[^>]*name="([^"]*)".*?>(.*?)</select>', html, re.S):
        chosen = re.search(r'value="([^"]*)" selected', body)
        found[name_] = chosen[1] if chosen else ""
    return found


SignIn = Callable[..., Desk]


@pytest.fixture
def sign_in(client: TestClient, app: FastAPI, put_person: MakePerson, at: Clock) -> SignIn:
    """Put somebody of the shop before a browser of their own, already signed in."""

    def signed_in(role: str = "staff", name: str = "Edda") -> Desk:
        number = put_person(role, name)
        with writing(app.state.engine) as session:
            token = open_session(session, account_of(session, number), at=at())
        browser = TestClient(
            app, follow_redirects=False, raise_server_exceptions=False, cookies={COOKIE: token}
        )
        return Desk(browser)

    return signed_in


@pytest.fixture
def desk(sign_in: SignIn) -> Desk:
    """Edda, staff."""
    return sign_in()


ORDER = {"address": "Mill Lane 3\n4051 Reedham", "agreed": "yes"}
"""What a customer gives with the typed name when they order."""

SAME_SITE = {"Sec-Fetch-Site": "same-origin"}
"""What a browser says when a form is sent from the service's own page."""

PutQuote = Callable[..., QuoteView]
View = Callable[[str], QuoteView]


def put(
    session_for: object,
    *,
    at: datetime,
    customer: Customer = CUSTOMER,
    model: str = "knapweed",
    approved: bool = True,
    **query: str,
) -> QuoteView:
    """A quote as a rider asks for it, and the shop confirms it, straight into a database."""
    with reading(session_for) as session:  # type: ignore[arg-type]
        catalogue = load_catalogue(session, model)
    choice = read_choice(catalogue, {name: [value] for name, value in query.items()}).strict()
    with writing(session_for) as session:  # type: ignore[arg-type]
        made = ask_for_quote(session, catalogue, choice, customer, at=at)
        if approved:
            row = quote_by_number(session, made.number, locked=True)
            row.unapproved = False
            session.add(row)
        return made


@pytest.fixture
def quote(app: FastAPI, client: TestClient, at: Clock) -> PutQuote:
    """Make quotes as riders do."""

    def made(**kinds: str | bool) -> QuoteView:
        return put(app.state.engine, at=at(), **kinds)  # type: ignore[arg-type]

    return made


def current(session: Session, number: str) -> QuoteView:
    """A quote's current version."""
    return view_of(session, quote_by_number(session, number))


@pytest.fixture
def view(app: FastAPI) -> View:
    """Read a quote's current version."""

    def read(number: str) -> QuoteView:
        with reading(app.state.engine) as session:
            return current(session, number)

    return read


def numbers(html: str) -> list[str]:
    """Numbers of the quotes a page links to, in its order."""
    return re.findall(r'href="/counter/quotes/(2[0-9-]+)"', html)


def pdf_text(content: bytes) -> str:
    """All words of a PDF, one space between them."""
    pages = pypdf.PdfReader(io.BytesIO(content)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def make(desk: Desk, name: str = "Bo Loam", query: str = "size=m", **fields: str) -> str:
    """A new quote for a walk-in; gives its number."""
    page = desk.get(f"/counter/new/knapweed?{query}").text
    form = all_fields(page)
    answer = desk.post(
        f"/counter/new/knapweed?{query}", {"name": name, "key": form["key"]} | fields
    )
    assert answer.status_code == 303, answer.text
    return answer.headers["location"].rpartition("/")[2]


def sentences(html: str) -> str:
    """The words of a page, without its markup."""
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def step(desk: Desk, number: str, what: str, **typed: str) -> int:
    """One step of an order, with the form as its page has it now."""
    return desk.do(number, what, steps=steps_on(desk, number), **typed).status_code


def steps_on(desk: Desk, number: str) -> str:
    """How many steps an order's page has seen."""
    return str(re.findall(r'name="steps" value="(\d+)"', desk.page(number))[0])


def change_catalogue(app: FastAPI) -> None:
    """New prices, a part gone, and a new revision with other geometry."""
    with writing(app.state.engine) as session:
        catalogue = load_catalogue(session, "knapweed")
        put_part_price(
            session, who="t", price_list="eur-2026", kind="fork",
            slug=catalogue.offered("fork")[0].slug, minor=99_900,
        )  # fmt: skip
        retire_part(session, who="t", kind="saddle", slug=catalogue.offered("saddle")[0].slug)
        data = catalogue.revision.data.model_dump(mode="json")
        draft = put_draft(session, who="t", model="knapweed", data=data, changelog="Longer")
        for size in catalogue.sizes:
            put_size(
                session, who="t", model="knapweed", revision=draft.number, slug=size.slug,
                name=size.name, position=size.position, data=size.data.model_dump(mode="json"),
            )  # fmt: skip
        publish(session, who="t", model="knapweed", revision=draft.number, on=date(2026, 3, 2))
