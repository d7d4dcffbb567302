"""What the tests of quotes share: a build asked for, and a limit that starts afresh."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime

import pytest
from sqlalchemy import Engine

from webapp.builds.choice.build_choice import read_choice
from webapp.catalogue.reading.load import load_catalogue
from webapp.common.storage.database import reading, writing
from webapp.quote.customer import Customer
from webapp.quote.lifecycle.request import ask_for_quote
from webapp.quote.storage.read import QuoteView

Ask = Callable[..., QuoteView]

MOMENT = datetime(2026, 3, 1, 9, 30, tzinfo=UTC)
CUSTOMER = Customer(name="Ada Marl", mail="ada@marl.example", note="Mostly forest tracks.")


@pytest.fixture
def ask() -> Ask:
    """Ask for a quote as the page does: read in one session, write in another."""

    def ask(
        engine: Engine,
        model: str = "knapweed",
        *,
        customer: Customer = CUSTOMER,
        key: str = "",
        at: datetime = MOMENT,
        revision: int | None = None,
        **query: str,
    ) -> QuoteView:
        with reading(engine) as session:
            catalogue = load_catalogue(session, model, revision)
        choice = read_choice(catalogue, {name: [value] for name, value in query.items()}).strict()
        with writing(engine) as session:
            return ask_for_quote(session, catalogue, choice, customer, form_key=key, at=at)

    return ask
