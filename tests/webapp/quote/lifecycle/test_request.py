"""Asking for a quote: numbered, once, refused with reasons, frozen for good."""

from __future__ import annotations

import io
import json
import threading
from datetime import UTC, date, datetime
from typing import Any

import pypdf
import pytest
from sqlalchemy import Engine
from sqlmodel import select

from tests.webapp.quote.conftest import CUSTOMER, MOMENT, Ask
from webapp.builds.choice.build_choice import read_choice
from webapp.builds.evaluation import compute
from webapp.builds.fitting.calculations.loads import PERSONAL
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.schema.part_kinds import SaddleData
from webapp.catalogue.writing.models import withdraw
from webapp.catalogue.writing.parts import put_offer, put_part, put_part_price, retire_part
from webapp.catalogue.writing.shop import put_settings
from webapp.common.errors import Invalid, NotFound
from webapp.common.storage.database import reading, writing
from webapp.quote.customer import Customer
from webapp.quote.freezing.content import QuoteContent
from webapp.quote.printing.pdf import quote_pdf
from webapp.quote.storage.read import quote_by_token
from webapp.quote.tables import Quote, QuoteEvent, QuoteVersion

LINK = "https://shop.example/q/x"


def test_a_quote_says_what_was_computed(shop: Engine, ask: Ask) -> None:
    quote = ask(shop, slot="7.5", spacers="15")
    with reading(shop) as session:
        catalogue = load_catalogue(session, "knapweed")
        assert quote_by_token(session, quote.token) == quote
    result = compute(catalogue, read_choice(catalogue, {"slot": ["7.5"], "spacers": ["15"]}).choice)
    content = quote.content
    assert content.price.gross.minor == result.price.gross.minor
    assert content.price.gross.printed == result.price.gross.format()
    assert [line.amount.minor for line in content.price.lines] == [
        line.amount.minor for line in result.price.lines if line.amount
    ]
    assert content.states == ("unloaded", "sagged", "bottomed")
    assert content.valid_until == date(2026, 3, 31)
    impersonal = [check for check in result.checks if check.code not in PERSONAL]
    assert len(content.checks) == len(impersonal) < len(result.checks)
    assert quote.customer == CUSTOMER
    assert (quote.state, quote.version, quote.created_at) == ("sent", 1, MOMENT)


def test_the_saddle_stands_as_deep_as_the_post_leaves_it(shop: Engine, ask: Ask) -> None:
    """Height over the saddle gained is post drawn out, millimetre for millimetre."""
    low, high = (ask(shop, saddle_height=height) for height in ("650", "700"))
    depths = [
        float(next(n for n in quote.content.assembly if n.label == "Post insertion").value[:-3])
        for quote in (low, high)
    ]
    assert depths[0] - depths[1] == pytest.approx(50.0, abs=0.1)


def test_numbers_count_up_and_begin_anew_each_year(engine: Engine, ask: Ask) -> None:
    next_year = datetime(2027, 1, 1, tzinfo=UTC)
    numbers = [ask(engine, at=at).number for at in (MOMENT, MOMENT, next_year, MOMENT)]
    assert numbers == ["2026-0001", "2026-0002", "2027-0001", "2026-0003"]


def test_the_same_form_makes_one_quote(engine: Engine, ask: Ask) -> None:
    first = ask(engine, key="k" * 24)
    assert ask(engine, key="k" * 24) == first
    with reading(engine) as session:
        assert len(session.exec(select(Quote)).all()) == 1
        assert [event.what for event in session.exec(select(QuoteEvent)).all()] == ["asked"]


@pytest.mark.parametrize(
    "changed",
    [{"key": "l" * 24}, {"spacers": "5"}, {"customer": Customer(name="Bo", mail="b@c.example")}],
    ids=["another form", "another build", "another customer"],
)
def test_anything_changed_is_another_request(
    shop: Engine, ask: Ask, changed: dict[str, Any]
) -> None:
    first, second = ask(shop, key="k" * 24), ask(shop, **({"key": "k" * 24} | changed))
    assert first.number != second.number
    assert first.token != second.token


def test_a_key_that_is_none_of_ours_opens_nobodys_quote(shop: Engine, ask: Ask) -> None:
    assert ask(shop, key="1").number != ask(shop, key="1").number


def test_a_form_sent_many_times_at_once_makes_one_quote(engine: Engine, ask: Ask) -> None:
    found: list[str] = []
    sending = [
        threading.Thread(target=lambda: found.append(ask(engine, key="k" * 24).token))
        for _ in range(4)
    ]
    for thread in sending:
        thread.start()
    for thread in sending:
        thread.join()
    assert len(found) == 4
    assert len(set(found)) == 1


def test_many_at_once_get_numbers_of_their_own(engine: Engine, ask: Ask) -> None:
    found: list[str] = []
    asking = [threading.Thread(target=lambda: found.append(ask(engine).number)) for _ in range(4)]
    for thread in asking:
        thread.start()
    for thread in asking:
        thread.join()
    assert sorted(found) == [f"2026-{n:04d}" for n in range(1, 5)]


# --- what is refused --------------------------------------------------------------


def nothing_written(engine: Engine) -> bool:
    with reading(engine) as session:
        return not [*session.exec(select(Quote)), *session.exec(select(QuoteVersion))]


def test_a_failed_check_is_no_quote(shop: Engine, ask: Ask) -> None:
    with pytest.raises(Invalid) as refused:
        ask(shop, hub="single-coaster-135")
    problems = refused.value.problems
    assert "hub" in {problem.field for problem in problems}
    assert all(problem.remedy for problem in problems)
    assert nothing_written(shop)


def test_a_withdrawn_revision_is_no_quote(shop: Engine, ask: Ask) -> None:
    with writing(shop) as session:
        on = date(2026, 2, 28)
        withdraw(session, who="b", model="knapweed", revision=2, reason="Stays too near.", on=on)
    with pytest.raises(Invalid, match=r"withdrawn \(Stays too near\)") as refused:
        ask(shop, revision=2, rev="2")
    assert refused.value.field == "rev"
    assert nothing_written(shop)


def test_a_part_without_a_price_is_no_quote(shop: Engine, ask: Ask) -> None:
    with writing(shop) as session:
        data = SaddleData(stack=50, rail_forward=15, rail_back=15)
        put_part(session, who="b", kind="saddle", slug="new", name="new saddle", data=data)
        put_offer(session, who="b", model="knapweed", kind="saddle", slug="new", position=9)
    with pytest.raises(Invalid) as refused:
        ask(shop, saddle="new")
    assert [(p.field, p.value) for p in refused.value.problems] == [("saddle", "new saddle")]
    assert nothing_written(shop)


# --- frozen ------------------------------------------------------------------------


def change_everything(engine: Engine) -> None:
    """New prices, another fork of the same name, a part no longer made, other texts."""
    with writing(engine) as session:
        catalogue = load_catalogue(session, "knapweed")
        fork = catalogue.part("fork", "suspension-130")
        data = fork.data.model_dump() | {"axle_to_crown": 520.0}
        put_part(session, who="b", kind="fork", slug=fork.slug, name="another fork", data=data)
        for kind, slug in (("fork", fork.slug), ("saddle", "trail")):
            put_part_price(
                session, who="b", price_list="eur-2026", kind=kind, slug=slug, minor=999_00
            )
        retire_part(session, who="b", kind="stem", slug="40-0")
        settings = settings_data(session).model_dump()
        changed = {"cautions": ("Other words.",), "tax_percent": "7", "quote_valid_days": 5}
        put_settings(session, who="b", data=settings | changed)


def test_what_is_quoted_stays_when_the_catalogue_changes(engine: Engine, ask: Ask) -> None:
    quote = ask(engine)
    printed = quote_pdf(quote, link=LINK, paper="A4")
    change_everything(engine)
    with reading(engine) as session:
        again = quote_by_token(session, quote.token)
    assert again == quote
    assert quote_pdf(again, link=LINK, paper="A4") == printed
    now = ask(engine)
    assert now.content.price.gross != quote.content.price.gross
    assert now.content.figures != quote.content.figures
    assert now.content.cautions == ("Other words.",)


def test_an_older_quote_must_always_open() -> None:
    """A new field without a default would shut every quote made before it."""
    needed = set(QuoteContent.model_json_schema()["required"])
    assert needed == {
        "program", "paper", "letterhead", "build", "price", "valid_until", "valid_days",
        "lead_time", "states", "figures", "settings", "assembly", "checks", "drawing",
        "cautions", "terms", "fit_notice",
    }  # fmt: skip


# --- links ---------------------------------------------------------------------------


@pytest.mark.parametrize("spoil", [str.swapcase, lambda t: t[:-1], lambda t: t + "A", lambda _: ""])
def test_a_tampered_link_opens_nothing(shop: Engine, ask: Ask, spoil: Any) -> None:
    token = ask(shop).token
    with reading(shop) as session, pytest.raises(NotFound) as refused:
        quote_by_token(session, spoil(token))
    assert refused.value.value is None


def test_links_cannot_be_guessed(shop: Engine, ask: Ask) -> None:
    tokens = {ask(shop).token for _ in range(3)}
    assert len(tokens) == 3
    assert all(len(token) == 43 for token in tokens)  # 256 bits, six a letter


def test_a_quote_not_answered_in_time_expires(shop: Engine, ask: Ask) -> None:
    quote = ask(shop)
    assert quote.state_on(date(2026, 3, 31)) == "sent"
    assert quote.state_on(date(2026, 4, 1)) == "expired"


# --- the rider ---------------------------------------------------------------------------


def test_a_riders_fit_is_on_the_sheet(shop: Engine, ask: Ask) -> None:
    quote = ask(shop, stature="170", inseam="78", discomfort="knees")
    assert quote.customer.rider == (  # where it hurts is advice alone, and kept by no quote
        ("stature", "1700"), ("inseam", "780"), ("style", "trail"),
    )  # fmt: skip
    summary, quoted, reckoned = quote.customer.fit
    assert summary.startswith("Small and Medium both fit.")
    assert "in 100 riders with your measurements" in quoted
    assert quoted.startswith("Medium is the size quoted")
    assert reckoned == "Reckoned from height 170 cm, crotch height 78 cm; riding style Trail."
    pages = pypdf.PdfReader(io.BytesIO(quote_pdf(quote, link=LINK, paper="A4"))).pages
    printed = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert printed.count(reckoned) == 1


def test_nothing_of_a_person_is_in_the_content(shop: Engine, ask: Ask) -> None:
    """So that a person can be erased and the accounts keep their figures."""
    quote = ask(shop, stature="170", inseam="78")
    with reading(shop) as session:
        row = session.exec(select(QuoteVersion)).one()
        kept = json.dumps([row.content, row.build, row.model])
    for told in (*CUSTOMER.note.split(), CUSTOMER.mail, CUSTOMER.name, "stature", "inseam", "1700"):
        assert told not in kept, told
    assert quote.content.build.query == ask(shop).content.build.query
