"""New versions of a quote: another build, another deal, another customer's name; and copies."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime

from sqlmodel import Session

from webapp.builds.choice.build_choice import BuildChoice
from webapp.builds.evaluation import compute
from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.schema.shop import ShopSettings
from webapp.common.text.language import tr
from webapp.quote.agreed_terms.deal import Deal, fields_of
from webapp.quote.agreed_terms.deal_form import read_deal
from webapp.quote.customer import Customer, read_customer
from webapp.quote.freezing.content import QuoteContent
from webapp.quote.freezing.freeze_build import agreed, freeze
from webapp.quote.freezing.pricing import basis_of
from webapp.quote.lifecycle.action_checks import Stale, done_before
from webapp.quote.lifecycle.request import with_rider
from webapp.quote.states import State
from webapp.quote.storage.read import QuoteView, next_version
from webapp.quote.storage.write import note_event, put_quote, put_version
from webapp.quote.tables import Quote

CUSTOMER_FIELDS = ("name", "mail", "note")
_FORM_KEY = re.compile(r"[A-Za-z0-9_-]{16,64}")


def form_hash_of(key: str, *about: str) -> str | None:
    """A hash of a counter form's key and purpose, by which a repeated form is recognised.

    Returns
    -------
    str or None
        None for a key that was not made by this service.
    """
    if not _FORM_KEY.fullmatch(key):
        return None
    return hashlib.sha256(json.dumps([key, *about]).encode()).hexdigest()


def terms_of(quote: QuoteView) -> dict[str, str]:
    """Everything of a version that is typed at the counter, as the fields of its form."""
    customer = {
        "name": quote.customer.name,
        "mail": quote.customer.mail,
        "note": quote.customer.note,
    }
    return customer | fields_of(quote.content.deal, quote.content.price.gross.currency)


def content_of_build(
    catalogue: Catalogue, choice: BuildChoice, deal: Deal, *, on: date
) -> QuoteContent:
    """Compute a build anew, at today's prices, for a version made at the counter.

    A failed check is no reason to refuse here: it is printed on the draft, which
    cannot be sent.

    Raises
    ------
    Invalid
        For parts that cannot stand together, have no price, or a deal that cannot be.
    """
    return freeze(compute(catalogue, choice), on=on, deal=deal)


def content_of_terms(
    content: QuoteContent, fields: Mapping[str, str], shop: ShopSettings, *, on: date
) -> QuoteContent:
    """The same build, figures and list prices, under the terms typed.

    Raises
    ------
    Invalid
        With every field that cannot be used.
    """
    basis = basis_of(content)
    deal = read_deal(
        fields,
        currency=basis.currency,
        lines=tuple(line.key for line in basis.lines),
        places=shop.destinations,
        today=on,
    )
    return agreed(content, deal, shop, on=on)


def customer_of_terms(before: Customer, fields: Mapping[str, str]) -> Customer:
    """The customer as typed; what is known of their body stays with them.

    Raises
    ------
    Invalid
        With every field that cannot be used.
    """
    typed = {name: fields.get(name, "") for name in CUSTOMER_FIELDS}
    read = read_customer(**typed, mail_needed=False)
    return replace(before, name=read.name, mail=read.mail, note=read.note)


def add_version(
    session: Session,
    quote: Quote,
    content: QuoteContent,
    customer: Customer,
    *,
    seen: int,
    who: str,
    at: datetime,
    form_hash: str | None = None,
) -> int:
    """Write a new version of a quote.

    Parameters
    ----------
    session : Session
        A writing session.
    quote : Quote
        Locked.
    content : QuoteContent
    customer : Customer
    seen : int
        The version the change was made from.
    who : str
    at : datetime
    form_hash : str, optional
        A form sent twice makes one version.

    Returns
    -------
    int
        The version's number.

    Raises
    ------
    Stale
        When somebody else has made a version since; nothing is written.
    """
    if done_before(session, form_hash):
        return quote.current_version
    if quote.current_version != seen:
        raise Stale("version", quote.current_version, tr("look at both and merge them"))
    number = next_version(session, quote)
    put_version(session, quote, content, customer, number=number, who=who, at=at)
    note_event(
        session, quote, who=who, what="new version", at=at, version=number, form_hash=form_hash
    )
    return number


def new_quote(
    session: Session,
    catalogue: Catalogue,
    choice: BuildChoice,
    content: QuoteContent,
    customer: Customer,
    *,
    who: str,
    at: datetime,
    form_hash: str | None = None,
    person: int | None = None,
) -> Quote:
    """Write a quote made at the counter, as a draft; ``person`` as in `put_quote`."""
    known = with_rider(catalogue, choice, customer)
    return put_quote(
        session, content, known,
        who=who, at=at, form_hash=form_hash, state=State.DRAFT, person=person,
    )  # fmt: skip
