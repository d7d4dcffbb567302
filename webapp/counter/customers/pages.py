"""Customers at the counter: found, entered, changed, joined, handed out, erased."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Annotated

from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.accounts.confirmation import CONFIRMED
from webapp.accounts.dependencies import Builder, Staff
from webapp.catalogue.lookup import row_id
from webapp.catalogue.reading.prices import groups
from webapp.common.errors import DomainError, Invalid
from webapp.common.storage.database import reading, writing
from webapp.common.storage.scrubbing import scrub
from webapp.common.text.language import tr, trn
from webapp.common.timestamps import day_of
from webapp.common.web.dependencies import BeforeRow, CurrentEngine, Now, ReadingSession, RowNumber
from webapp.common.web.templating import page
from webapp.counter.customers.held_page import held_page
from webapp.counter.customers.list_page import CUSTOMERS, address_of_customer, customers_page
from webapp.counter.customers.one_page import customer_page, join_page
from webapp.counter.pages.forms import PRIVATE, Fields
from webapp.customers import store
from webapp.customers.details import read_consent, read_details
from webapp.customers.store import customer_row
from webapp.customers.tables import CustomerRow
from webapp.quote.storage import privacy
from webapp.quote.storage.people import change_customer, join_customers

router = APIRouter()

CUSTOMER = CUSTOMERS + "/{customer}"
_DONE = {
    "saved": tr("Saved. Quotes already made stay as they are."),
    "joined": tr("Joined: both histories are here."),
}


@router.get(CUSTOMERS)
def all_customers(
    *,
    request: Request,
    person: Staff,
    session: ReadingSession,
    q: Annotated[str, Query()] = "",
    before: BeforeRow = 0,
    after: BeforeRow = 0,
    erased: Annotated[int | None, Query(ge=0)] = None,
) -> HTMLResponse:
    """The customers, newest entry first, or those whose entries hold some words."""
    done = "" if erased is None else _erased_words(erased)
    shown = customers_page(session, person, query=q, before=before, after=after, done=done)
    return page(
        request,
        "pages/counter/customers/list.html",
        shown,
        partial="partials/counter/customers_found.html",
        headers=PRIVATE,
    )


def _erased_words(count: int) -> str:
    return trn(
        "The customer was erased, from {count} quote too.",
        "The customer was erased, from {count} quotes too.",
        count,
    )


@router.get(CUSTOMERS + "/new")
def new_customer(
    *, request: Request, person: Staff, session: ReadingSession, at: Now
) -> HTMLResponse:
    """The form of a new entry."""
    shown = customer_page(session, None, person, at=at, groups=_groups(session))
    return page(request, "pages/counter/customers/one.html", shown, headers=PRIVATE)


@router.get(CUSTOMER)
def one_customer(
    *,
    customer: RowNumber,
    request: Request,
    person: Staff,
    session: ReadingSession,
    at: Now,
    done: str = "",
) -> HTMLResponse:
    """One customer: how they are reached, their quotes, what they agreed to."""
    shown = customer_page(
        session,
        customer_row(session, customer),
        person,
        at=at,
        groups=_groups(session),
        done=_DONE.get(done, ""),
    )
    return page(request, "pages/counter/customers/one.html", shown, headers=PRIVATE)


def _groups(session: Session) -> tuple[tuple[str, str], ...]:
    """Groups of customers with prices of their own: key and name."""
    return tuple((group.slug, group.name) for group in groups(session))


class _Doing:
    """One thing done to an entry with one form."""

    def __init__(
        self,
        *,
        request: Request,
        engine: CurrentEngine,
        person: Staff,
        fields: Fields,
        at: Now,
    ) -> None:
        self.request = request
        self.engine = engine
        self.person = person
        self.fields = fields
        self.at = at

    def do(self, customer: int, deed: Deed) -> Response:
        """Do it and go back to the entry, or show why not with what was typed."""
        try:
            with writing(self.engine) as session:
                deed(session, customer_row(session, customer, locked=True))
        except Invalid as error:
            return self.refused(customer, error)
        return RedirectResponse(f"{address_of_customer(customer)}?done=saved", 303)

    def refused(self, customer: int | None, error: DomainError) -> HTMLResponse:
        """The page again, with what was typed and what is wrong with it."""
        with reading(self.engine) as session:
            row = None if customer is None else customer_row(session, customer)
            shown = customer_page(
                session,
                row,
                self.person,
                at=self.at,
                groups=_groups(session),
                typed=self.fields,
                error=error,
            )
        return page(
            self.request,
            "pages/counter/customers/one.html",
            shown,
            status=error.status,
            headers=PRIVATE,
        )


def _doing(
    *, request: Request, engine: CurrentEngine, person: Staff, fields: Fields, at: Now
) -> _Doing:
    return _Doing(request=request, engine=engine, person=person, fields=fields, at=at)


Doing = Annotated[_Doing, Depends(_doing)]
Deed = Callable[[Session, CustomerRow], None]


@router.post(CUSTOMERS + "/new")
def enter(doing: Doing) -> Response:
    """Make a new entry."""
    try:
        with writing(doing.engine) as session:
            known = tuple(slug for slug, _ in _groups(session))
            said = read_details(doing.fields, groups=known)
            made = store.make(session, said, who=doing.person.name, at=doing.at)
            number = row_id(made)
    except Invalid as error:
        return doing.refused(None, error)
    return RedirectResponse(address_of_customer(number), 303)


@router.post(CUSTOMER)
def change(customer: RowNumber, doing: Doing) -> Response:
    """Put other details into an entry."""

    def deed(session: Session, row: CustomerRow) -> None:
        known = tuple(slug for slug, _ in _groups(session))
        said = read_details(doing.fields, groups=known)
        change_customer(session, row, said, who=doing.person.name, at=doing.at)

    return doing.do(customer, deed)


@router.post(CUSTOMER + "/consents")
def agree(customer: RowNumber, doing: Doing) -> Response:
    """Note that the customer agrees to something."""

    def deed(session: Session, row: CustomerRow) -> None:
        who, at = doing.person.name, doing.at
        what, how, day = read_consent(doing.fields, today=day_of(at))
        store.agree(session, row, what=what, how=how, on=day, who=who, at=at)

    return doing.do(customer, deed)


@router.post(CUSTOMER + "/consents/{consent}/withdraw")
def withdraw_consent(customer: RowNumber, consent: RowNumber, doing: Doing) -> Response:
    """Note that the customer agrees to it no longer."""

    def deed(session: Session, row: CustomerRow) -> None:
        who, at = doing.person.name, doing.at
        store.withdraw_consent(session, row, consent, on=day_of(at), who=who, at=at)

    return doing.do(customer, deed)


@router.get(CUSTOMER + "/join/{other}")
def ask_to_join(
    *,
    customer: RowNumber,
    other: RowNumber,
    request: Request,
    person: Staff,
    session: ReadingSession,
) -> HTMLResponse:
    """What joining two entries would do."""
    kept, gone = customer_row(session, customer), customer_row(session, other)
    shown = join_page(session, kept, gone, person)
    return page(request, "pages/counter/customers/join.html", shown, headers=PRIVATE)


@router.post(CUSTOMER + "/join/{other}")
def join(
    *, customer: RowNumber, other: RowNumber, person: Staff, engine: CurrentEngine, at: Now
) -> Response:
    """Make one entry of two."""
    with writing(engine) as session:
        first, second = sorted((customer, other))  # locked in one order, whoever comes at once
        rows = {number: customer_row(session, number, locked=True) for number in (first, second)}
        join_customers(session, rows[customer], rows[other], who=person.name, at=at)
    return RedirectResponse(f"{address_of_customer(customer)}?done=joined", 303)


@router.get(CUSTOMER + "/held", dependencies=[CONFIRMED])
def held(
    *, customer: RowNumber, request: Request, person: Staff, session: ReadingSession
) -> HTMLResponse:
    """Everything kept about a customer, to be read and printed."""
    row = customer_row(session, customer)
    found = privacy.customer_as_json(session, row)
    shown = held_page(found, person, name=row.name, back=address_of_customer(customer))
    return page(request, "pages/counter/customers/held.html", shown, headers=PRIVATE)


@router.get(CUSTOMER + "/person.json", dependencies=[CONFIRMED])
def as_json(*, customer: RowNumber, session: ReadingSession) -> Response:
    """Everything kept about a customer, for them to take away."""
    found = privacy.customer_as_json(session, customer_row(session, customer))
    headers = PRIVATE | {"Content-Disposition": 'attachment; filename="person.json"'}
    said = json.dumps(found, ensure_ascii=False, indent=1)
    return Response(said, media_type="application/json", headers=headers)


@router.post(CUSTOMER + "/erase", dependencies=[CONFIRMED])
def erase(*, customer: RowNumber, person: Builder, engine: CurrentEngine, at: Now) -> Response:
    """Erase a customer; the figures of their quotes stay."""
    with writing(engine) as session:
        row = customer_row(session, customer, locked=True)
        count = privacy.erase_customer(session, row, who=person.name, at=at)
    scrub(engine)
    return RedirectResponse(f"{CUSTOMERS}?erased={count}", 303)
