"""Customers in the database: found, made, changed, joined, erased; every change is logged."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any

from sqlmodel import Session, col, or_, select

from webapp.catalogue.lookup import row_id
from webapp.common.errors import NotFound
from webapp.common.folding import folded
from webapp.common.text.language import tr
from webapp.customers.phone import phone_digits
from webapp.customers.tables import CustomerConsent, CustomerEvent, CustomerRow

MADE, CHANGED, JOINED = "made", "changed", "joined"
AGREED, WITHDRAWN = "consent given", "consent withdrawn"
FIELDS = ("name", "mail", "phone", "address", "country", "company", "tax_number", "price_group")
"""What an entry says of a person, in the order it is shown."""
FOUND_BY = ("name", "company", "mail", "address", "tax_number")


def mail_key(mail: str) -> str:
    """A mail address as it is compared: without regard to case or spaces around it.

    >>> mail_key(" Ada@Marl.example ")
    'ada@marl.example'
    """
    return mail.strip().casefold()


def customer_row(session: Session, number: int, *, locked: bool = False) -> CustomerRow:
    """The customer of that number.

    Raises
    ------
    NotFound
        When there is none, or none any more.
    """
    query = select(CustomerRow).where(CustomerRow.id == number)
    found = session.exec(query.with_for_update() if locked else query).first()
    if found is None:
        raise NotFound("customer", number, tr("one of the list of customers; this one is gone"))
    return found


def find_or_make(session: Session, *, name: str, mail: str, who: str, at: datetime) -> CustomerRow:
    """The customer of this name and mail address, made where there is none.

    The same address under another name may be a household's: that is another entry, and
    the two are offered to be joined. Without an address nobody is taken for somebody else.

    Parameters
    ----------
    session : Session
        A writing session.
    name, mail : str
        As kept with a quote.
    who : str
    at : datetime
    """
    found = known(session, name=name, mail=mail)
    return found or make(session, {"name": name, "mail": mail}, who=who, at=at)


def known(session: Session, *, name: str, mail: str) -> CustomerRow | None:
    """The customer of this name and mail address, if there is one."""
    same = (row for row in with_mail(session, mail) if row.name.casefold() == name.casefold())
    return next(same, None)


def make(session: Session, said: Mapping[str, str], *, who: str, at: datetime) -> CustomerRow:
    """A new entry that says this of a customer."""
    made = CustomerRow(name=said["name"], created_at=at)
    for name, value in said.items():
        setattr(made, name, value)
    _put(session, made)
    note(session, made, who=who, what=MADE, at=at)
    return made


def _put(session: Session, row: CustomerRow) -> None:
    """Write an entry, with the values it is searched by."""
    row.mail_key, row.phone_digits = mail_key(row.mail), phone_digits(row.phone)
    found_by = " ".join(getattr(row, name) for name in FOUND_BY)
    row.found_by = " ".join([*dict.fromkeys(folded(found_by)), row.phone_digits])
    session.add(row)
    session.flush()


def with_mail(session: Session, mail: str) -> Sequence[CustomerRow]:
    """Everybody with this mail address, oldest entry first; nobody for none."""
    if not mail_key(mail):
        return ()
    query = select(CustomerRow).where(CustomerRow.mail_key == mail_key(mail))
    return session.exec(query.order_by(col(CustomerRow.id))).all()


def change(
    session: Session, row: CustomerRow, said: Mapping[str, str], *, who: str, at: datetime
) -> bool:
    """Put other values into an entry; the former ones are noted.

    Parameters
    ----------
    session : Session
        A writing session.
    row : CustomerRow
    said : mapping of str to str
        Some of `FIELDS`, read and checked.
    who : str
    at : datetime

    Returns
    -------
    bool
        Whether anything is different.
    """
    before = {name: getattr(row, name) for name in said if getattr(row, name) != said[name]}
    if not before:
        return False
    for name in before:
        setattr(row, name, said[name])
    _put(session, row)
    note(session, row, who=who, what=CHANGED, at=at, before=before)
    return True


def note(
    session: Session, row: CustomerRow, *, who: str, what: str, at: datetime, **detail: Any
) -> None:
    """Remember what was done to an entry."""
    event = CustomerEvent(customer_id=row_id(row), at=at, who=who, what=what, detail=detail)
    session.add(event)
    session.flush()


def events_of(session: Session, row: CustomerRow) -> Sequence[CustomerEvent]:
    """What was done to an entry, oldest first."""
    query = select(CustomerEvent).where(CustomerEvent.customer_id == row_id(row))
    return session.exec(query.order_by(col(CustomerEvent.id))).all()


def consents_of(session: Session, row: CustomerRow) -> Sequence[CustomerConsent]:
    """What a customer agreed to, oldest first, with what was withdrawn since."""
    query = select(CustomerConsent).where(CustomerConsent.customer_id == row_id(row))
    return session.exec(query.order_by(col(CustomerConsent.id))).all()


def agree(
    session: Session, row: CustomerRow, *, what: str, how: str, on: date, who: str, at: datetime
) -> None:
    """Note that a customer has agreed to something."""
    given = CustomerConsent(customer_id=row_id(row), what=what, how=how, given_on=on, who=who)
    session.add(given)
    session.flush()
    note(session, row, who=who, what=AGREED, at=at, text=what)


def withdraw_consent(
    session: Session, row: CustomerRow, number: int, *, on: date, who: str, at: datetime
) -> None:
    """Note that a customer agrees to something no longer.

    Raises
    ------
    NotFound
        For a consent that is not this customer's.
    """
    given = session.get(CustomerConsent, number)
    if given is None or given.customer_id != row_id(row):
        raise NotFound("consent", number, tr("one of those shown with the customer"))
    if given.withdrawn_on is None:
        given.withdrawn_on = on
        session.add(given)
        session.flush()
        note(session, row, who=who, what=WITHDRAWN, at=at, text=given.what)


def alike(session: Session, row: CustomerRow) -> Sequence[CustomerRow]:
    """Other entries that may be the same person: by mail address or telephone number."""
    same = [col(CustomerRow.mail_key) == row.mail_key] if row.mail_key else []
    same += [col(CustomerRow.phone_digits) == row.phone_digits] if row.phone_digits else []
    if not same:
        return ()
    query = select(CustomerRow).where(or_(*same), CustomerRow.id != row.id)
    return session.exec(query.order_by(col(CustomerRow.id))).all()


def taken_over(kept: CustomerRow, gone: CustomerRow) -> tuple[dict[str, str], dict[str, str]]:
    """What an entry gains when another is joined to it, and what is kept in its history only.

    Returns
    -------
    tuple of (dict, dict)
        Fields that were empty with the other's values; the other's values of those that
        were not and differ.
    """
    theirs = {name: getattr(gone, name) for name in FIELDS if getattr(gone, name)}
    gained = {name: value for name, value in theirs.items() if not getattr(kept, name)}
    left = {
        name: value
        for name, value in theirs.items()
        if name not in gained and getattr(kept, name) != value
    }
    return gained, left


def join(session: Session, kept: CustomerRow, gone: CustomerRow, *, who: str, at: datetime) -> None:
    """Make one entry of two: what both agreed to and what was done to both stays.

    Rows that refer to the deleted entry must have been changed to the other before.
    """
    gained, left = taken_over(kept, gone)
    for row in (*consents_of(session, gone), *events_of(session, gone)):
        row.customer_id = row_id(kept)
        session.add(row)
    session.flush()
    change(session, kept, gained, who=who, at=at)
    note(session, kept, who=who, what=JOINED, at=at, before=left)
    session.delete(gone)
    session.flush()


def forget(session: Session, row: CustomerRow) -> None:
    """Delete an entry; other rows must no longer refer to it."""
    for each in (*consents_of(session, row), *events_of(session, row)):
        session.delete(each)
    session.flush()
    session.delete(row)
    session.flush()
