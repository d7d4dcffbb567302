"""A customer already in the list, chosen for a new quote: who it is and which prices apply."""

from __future__ import annotations

from dataclasses import dataclass

from sqlmodel import Session

from webapp.catalogue.lookup import row_id
from webapp.catalogue.reading.prices import Buyer, buyer_of
from webapp.counter.customers.list_page import address_of_customer
from webapp.customers import store
from webapp.customers.tables import CustomerRow
from webapp.customers.typed import one_line


@dataclass(frozen=True, kw_only=True)
class ChosenCustomer:
    """Whom a new quote is for, as their entry says; ``href`` is the entry's page."""

    number: int
    name: str
    mail: str
    href: str
    buyer: Buyer


def chosen_customer(session: Session, number: int) -> ChosenCustomer | None:
    """The customer of that number; nobody for 0.

    Raises
    ------
    NotFound
        When there is none, or none any more.
    """
    return _chosen(session, store.customer_row(session, number)) if number else None


def customer_typed(session: Session, *, name: str, mail: str) -> ChosenCustomer | None:
    """The entry that has the name and mail address just typed, if any."""
    row = store.known(session, name=one_line(name), mail=one_line(mail))
    return _chosen(session, row) if row else None


def along_with(chosen: ChosenCustomer | None) -> str:
    """The customer as a field of addresses on the way to a quote; empty without one."""
    return f"customer={chosen.number}&" if chosen else ""


def _chosen(session: Session, row: CustomerRow) -> ChosenCustomer:
    return ChosenCustomer(
        number=row_id(row),
        name=row.name,
        mail=row.mail,
        href=address_of_customer(row_id(row)),
        buyer=buyer_of(session, group=row.price_group, country=row.country),
    )
