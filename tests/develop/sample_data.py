"""Sample data of a working shop: quotes in several states, staff, a draft, bench records.

Everything is written through the services that the pages use, so that it is what a shop would
have. All people are invented; everybody's password is `PASSWORD`.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy import Engine
from sqlmodel import Session

from webapp.accounts.links import set_password
from webapp.accounts.passwords import hash_password
from webapp.accounts.people import put_person
from webapp.accounts.tables import BUILDER, STAFF
from webapp.builds.choice.build_choice import read_choice
from webapp.builds.evaluation import compute
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.common.storage.database import reading, writing
from webapp.office.bench.check import check_bike
from webapp.office.bench.readings import read_readings
from webapp.office.bench.records import save_bench
from webapp.office.revisions.drafts import begin_draft
from webapp.quote.customer import Customer
from webapp.quote.lifecycle import transitions
from webapp.quote.lifecycle.request import ask_for_quote
from webapp.quote.storage.read import QuoteView, quote_by_number

PASSWORD = "a long password to try things"
PEOPLE = (("Edda Kiln", "edda@shop.example", BUILDER), ("Jory Pell", "jory@shop.example", STAFF))
RIDERS = (
    ("Ada Marl", "knapweed", {"size": "m"}),
    ("Bo Loam", "knapweed", {"size": "xl", "fork": "rigid-long"}),
    ("Cy Fenn", "burdock", {"size": "l"}),
    ("Dov Scree", "knapweed", {"size": "s", "slot": "12"}),
)
_BUILT = ("head_angle", "chainstay_length", "rear_centre", "wheelbase", "bb_drop", "bb_height")


def fill(engine: Engine, *, at: datetime) -> None:
    """Write it all into a database with the demo catalogue.

    Parameters
    ----------
    engine : Engine
        Of a migrated database.
    at : datetime
        Now; some of it happened in the weeks before.
    """
    with reading(engine) as session:
        catalogues = {model: load_catalogue(session, model) for model in ("knapweed", "burdock")}
    with writing(engine) as session:
        hire(session, at=at - timedelta(days=90))
        begin_draft(session, who=PEOPLE[0][0], model="knapweed")
        quotes = [
            ask(session, catalogues[model], name, query, at=at - timedelta(days=9 * number))
            for number, (name, model, query) in enumerate(RIDERS)
        ]
        accept(session, quotes[1], at=at)
        decline(session, quotes[2], at=at)
        measure(session, catalogues["knapweed"], at=at)


def hire(session: Session, *, at: datetime) -> None:
    """The builder and one member of staff, who can sign in."""
    secret = hash_password(PASSWORD)
    for name, mail, role in PEOPLE:
        person = put_person(session, name=name, mail=mail, role=role, who="sample data", at=at)
        set_password(session, person, password_hash=secret, at=at)


def ask(
    session: Session, catalogue: Catalogue, name: str, query: dict[str, str], *, at: datetime
) -> QuoteView:
    """A quote as a rider asks for it."""
    choice = read_choice(catalogue, {key: [value] for key, value in query.items()}).strict()
    mail = f"{name.split(maxsplit=1)[0].lower()}@rider.example"
    return ask_for_quote(session, catalogue, choice, Customer(name=name, mail=mail), at=at)


def accept(session: Session, view: QuoteView, *, at: datetime) -> None:
    """The shop confirms it, and the customer orders it."""
    quote = quote_by_number(session, view.number)
    transitions.approve(session, quote, who=PEOPLE[1][0], at=at)
    transitions.accept(
        session,
        quote,
        view.content,
        version=1,
        name="Bo Loam",
        who=transitions.CUSTOMER,
        at=at,
    )


def decline(session: Session, view: QuoteView, *, at: datetime) -> None:
    """The customer does not want it."""
    quote = quote_by_number(session, view.number)
    transitions.decline(session, quote, who=transitions.CUSTOMER, reason="too heavy", at=at)


def measure(session: Session, catalogue: Catalogue, *, at: datetime) -> None:
    """Three bikes of a batch, the last with its BB 6 mm too low."""
    choice = read_choice(catalogue, {"size": ["m"]}).strict()
    drawn = compute(catalogue, choice).states["unloaded"].figures
    for number, off in enumerate((0.4, -0.7, 6.0), 1):
        found = {key: drawn[key] + (off if key == "bb_drop" else 0.0) for key in _BUILT}
        found["bb_height"] -= off
        taken = read_readings([(key, f"{value:.1f}", "") for key, value in found.items()])
        save_bench(
            session,
            check_bike(catalogue, choice, taken),
            taken,
            who=PEOPLE[1][0],
            serial=f"K2-{number:03d}",
            batch="autumn",
            note="",
            quote_number="",
            measured_on=at.date(),
        )
