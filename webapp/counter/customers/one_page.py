"""What the page of one customer shows, and the page that says what joining two will do."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session

from webapp.accounts.people import Person
from webapp.catalogue.lookup import row_id
from webapp.common.errors import DomainError, form_errors
from webapp.common.text.countries import countries, country_name
from webapp.common.text.dates import day_in_words, moment_in_words
from webapp.common.text.language import tr, trn
from webapp.common.text.money import Money
from webapp.common.timestamps import day_of
from webapp.common.web.choices import Option
from webapp.counter.customers.list_page import CUSTOMERS, address_of_customer
from webapp.counter.lists import Row, address_of
from webapp.customers import store
from webapp.customers.tables import CustomerEvent, CustomerRow
from webapp.quote.states import State, on_day
from webapp.quote.storage.people import quotes_of_customer
from webapp.quote.tables import Quote

LABELS = {
    "name": tr("Name"),
    "mail": tr("Mail address"),
    "phone": tr("Telephone"),
    "address": tr("Address"),
    "country": tr("Country"),
    "company": tr("Company"),
    "tax_number": tr("VAT number"),
    "price_group": tr("Prices of"),
    "what": tr("What they agree to"),
    "how": tr("How they said so"),
    "given_on": tr("On which day"),
}
_DONE = {
    store.MADE: tr("entered"),
    store.CHANGED: tr("changed"),
    store.JOINED: tr("joined with another entry"),
    store.AGREED: tr("agreed to something"),
    store.WITHDRAWN: tr("withdrew an agreement"),
}


@dataclass(frozen=True, kw_only=True)
class Alike:
    """Another entry that may be the same person: who, why, and the address to join the two."""

    name: str
    href: str
    why: str
    join: str


@dataclass(frozen=True, kw_only=True)
class ConsentLine:
    """One thing agreed to; ``withdraw`` is where that is taken back, empty once it is."""

    words: str
    withdraw: str


@dataclass(frozen=True, kw_only=True)
class CustomerPage:
    """A customer; a new one has the number 0 and nothing but the form."""

    person: Person
    number: int
    heading: str
    new_quote: str
    lead: str
    action: str
    values: Mapping[str, str]
    countries: tuple[Option, ...]
    groups: tuple[Option, ...]
    button: str
    alike: tuple[Alike, ...]
    quotes: tuple[Row, ...]
    consents: tuple[ConsentLine, ...]
    consent_open: bool
    events: tuple[tuple[str, str, str], ...]
    errors: tuple[tuple[str, str], ...]
    field_errors: Mapping[str, str]
    done: str


@dataclass(frozen=True, kw_only=True)
class JoinPage:
    """Two entries that may be one person, and what joining them does."""

    person: Person
    heading: str
    action: str
    back: str
    other_way: str
    kept: str
    gone: str
    will: tuple[str, ...]


def customer_page(
    session: Session,
    row: CustomerRow | None,
    person: Person,
    *,
    at: datetime,
    groups: tuple[tuple[str, str], ...] = (),
    typed: Mapping[str, str] | None = None,
    error: DomainError | None = None,
    done: str = "",
) -> CustomerPage:
    """The page of one customer, or the empty form of a new one.

    Parameters
    ----------
    session : Session
        A reading session.
    row : CustomerRow or None
    person : Person
        Who looks.
    at : datetime
    groups : tuple of (str, str)
        Groups of customers with prices of their own: key and name.
    typed : mapping, optional
        The texts of the forms in place of what is kept.
    error : DomainError, optional
    done : str
        What was just done, in a sentence.
    """
    kept = {name: getattr(row, name) for name in store.FIELDS} if row else {}
    values = dict.fromkeys(LABELS, "") | kept | dict(typed or {})
    quotes = quotes_of_customer(session, row) if row else ()
    summary, messages = form_errors(error)
    return CustomerPage(
        person=person,
        number=row_id(row) if row else 0,
        heading=row.name if row else tr("New customer"),
        new_quote=f"/counter/new?customer={row_id(row)}" if row else "",
        lead=_lead(row, len(quotes)) if row else "",
        action=address_of_customer(row_id(row)) if row else f"{CUSTOMERS}/new",
        values={name: values[name] for name in LABELS}
        | {"given_on": values["given_on"] or day_of(at).isoformat()},
        countries=(
            Option(value="", label=tr("not said")),
            *(Option(value=code, label=name) for code, name in countries()),
        ),
        groups=(
            Option(value="", label=tr("everybody")),
            *(Option(value=slug, label=name) for slug, name in groups),
        )
        if groups
        else (),
        button=tr("Save") if row else tr("Enter this customer"),
        alike=tuple(_alike(row, other) for other in store.alike(session, row)) if row else (),
        quotes=tuple(_quote_row(quote, at) for quote in quotes),
        consents=_consents(session, row) if row else (),
        consent_open=bool({"what", "how", "given_on"} & messages.keys()),
        events=tuple(map(_event, reversed(store.events_of(session, row)))) if row else (),
        errors=summary,
        field_errors=messages,
        done=done,
    )


def _lead(row: CustomerRow, quotes: int) -> str:
    reached = ", ".join(filter(None, (row.company, row.mail, row.phone)))
    since = day_in_words(day_of(row.created_at))
    said = trn(
        "{count} quote; entered on {since}.", "{count} quotes; entered on {since}.", quotes,
        since=since,
    )  # fmt: skip
    return tr("{reached}. {said}", reached=reached, said=said) if reached else said


def _alike(row: CustomerRow, other: CustomerRow) -> Alike:
    same_mail = bool(row.mail_key) and row.mail_key == other.mail_key
    return Alike(
        name=other.name,
        href=address_of_customer(row_id(other)),
        why=tr("has the same mail address") if same_mail else tr("has the same telephone number"),
        join=f"{address_of_customer(row_id(row))}/join/{row_id(other)}",
    )


def _quote_row(quote: Quote, at: datetime) -> Row:
    state = on_day(quote.state, quote.valid_until, day_of(at))
    return Row(
        href=address_of(quote.number),
        faded=state in (State.DECLINED, State.EXPIRED, State.WITHDRAWN),
        cells=(
            quote.number,
            f"{quote.model}, {quote.size}",
            tr("open") if state == State.SENT else str(state),
            day_in_words(day_of(quote.created_at)),
            Money(quote.gross_minor, quote.currency).format() if quote.currency else "",
        ),
    )


def _consents(session: Session, row: CustomerRow) -> tuple[ConsentLine, ...]:
    return tuple(
        ConsentLine(
            words=_consent_words(
                each.what,
                each.how,
                day_in_words(each.given_on),
                day_in_words(each.withdrawn_on) if each.withdrawn_on else "",
            ),
            withdraw=""
            if each.withdrawn_on
            else f"{address_of_customer(row_id(row))}/consents/{row_id(each)}/withdraw",
        )
        for each in store.consents_of(session, row)
    )


def _consent_words(what: str, how: str, given: str, withdrawn: str) -> str:
    if withdrawn:
        return tr(
            "{what}: agreed {how} on {given}, withdrawn on {withdrawn}",
            what=what, how=how, given=given, withdrawn=withdrawn,
        )  # fmt: skip
    return tr("{what}: agreed {how} on {given}", what=what, how=how, given=given)


def _event(event: CustomerEvent) -> tuple[str, str, str]:
    """When, what by whom, and the former values."""
    what = tr("{done} by {who}", done=_DONE.get(event.what, event.what), who=event.who)
    before = event.detail.get("before", {})
    said = [
        tr("{label} was {value}", label=LABELS.get(name, name), value=value or tr("empty"))
        for name, value in before.items()
    ]
    text = event.detail.get("text", "")
    return moment_in_words(event.at), what, "; ".join([*said, *([text] if text else [])])


def join_page(session: Session, kept: CustomerRow, gone: CustomerRow, person: Person) -> JoinPage:
    """What will happen when two entries are made one."""
    return JoinPage(
        person=person,
        heading=tr("Join two entries of one person"),
        action=f"{address_of_customer(row_id(kept))}/join/{row_id(gone)}",
        back=address_of_customer(row_id(kept)),
        other_way=f"{address_of_customer(row_id(gone))}/join/{row_id(kept)}",
        kept=_in_short(kept, len(quotes_of_customer(session, kept))),
        gone=_in_short(gone, len(quotes_of_customer(session, gone))),
        will=tuple(_will(session, kept, gone)),
    )


def _in_short(row: CustomerRow, quotes: int) -> str:
    said = [row.name, row.company, row.mail, row.phone]
    said.append(trn("{count} quote", "{count} quotes", quotes))
    return ", ".join(filter(None, said))


def _will(session: Session, kept: CustomerRow, gone: CustomerRow) -> list[str]:
    """Everything that joining does, a sentence each."""
    count = len(quotes_of_customer(session, gone))
    gained, left = store.taken_over(kept, gone)
    will = []
    if count:
        will.append(
            trn(
                "{count} quote of {gone} will belong to {kept}; it still names the customer it "
                "was made for.",
                "{count} quotes of {gone} will belong to {kept}; they still name the customer "
                "they were made for.",
                count,
                gone=gone.name,
                kept=kept.name,
            )
        )
    for name, value in gained.items():
        will.append(
            tr("{label} is taken over: {value}.", label=LABELS[name], value=_shown(name, value))
        )
    for name, value in left.items():
        will.append(
            tr(
                "{label} stays {mine}; {theirs} is kept in the history only.",
                label=LABELS[name],
                mine=_shown(name, getattr(kept, name)),
                theirs=_shown(name, value),
            )
        )
    will.append(tr("What both agreed to and the history of both are kept, under one name."))
    will.append(tr("The entry of {gone} is removed. This cannot be undone.", gone=gone.name))
    return will


def _shown(name: str, value: str) -> str:
    return country_name(value) if name == "country" else value.replace("\n", ", ")
