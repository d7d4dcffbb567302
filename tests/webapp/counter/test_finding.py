"""Finding quotes: search, pages of the list, and what is taken out as a file."""

from __future__ import annotations

import json
import re

import pytest
from fastapi import FastAPI

from tests.webapp.counter.conftest import (
    Clock,
    Desk,
    PutQuote,
    SignIn,
    View,
    make,
    numbers,
)
from webapp.common.storage.database import writing


def test_search_finds_as_one_types_and_pages_by_key(desk: Desk, app: FastAPI, at: Clock) -> None:
    from webapp.quote.storage.search import PAGE

    one = make(desk, "Märta Silt", mail="marta@silt.example")
    for n in range(PAGE):
        make(desk, f"Bo {n}")
    desk.client.headers["HX-Request-Type"] = "partial"
    for words in ("marta", "MÄRT si", "marta@silt", one, "draft märta", "märta 2026-03-02"):
        assert numbers(desk.get(f"/counter?q={words}").text) == [one], words
    assert numbers(desk.get("/counter?q=marta accepted").text) == []
    first = desk.get("/counter?q=bo").text
    assert len(numbers(first)) == PAGE
    everything = desk.get("/counter").text
    later = re.search(r'href="(/counter\?before=[0-9]+)" rel="next"', everything)
    assert later
    second = desk.get(later[1]).text
    assert numbers(second) == [one]
    back = re.search(r'href="(/counter\?after=[0-9]+)" rel="prev"', second)
    assert back
    assert numbers(desk.get(back[1]).text) == numbers(everything)


def test_found_within_names_without_accents_by_parts_finish_and_staff(
    desk: Desk, sign_in: SignIn, view: View
) -> None:
    one = make(desk, "Søren Kvæslund-Łęg", query="size=m&fork=rigid-long")
    other = make(sign_in(name="Thorvi"), "Bo Loam", query="size=m")
    found = {words: numbers(desk.get(f"/counter?q={words}").text) for words in (
        "soren", "SØREN", "kvaes", "slund", "leg", "oren burdock", "thorvi", "edda", "rigid",
        "bo knapweed thorvi", "lund draft", "lund accepted",
    )}  # fmt: skip
    for words in ("soren", "SØREN", "kvaes", "slund", "leg", "edda", "rigid", "lund draft"):
        assert found[words] == [one], words
    assert found["thorvi"] == found["bo knapweed thorvi"] == [other]
    assert found["oren burdock"] == found["lund accepted"] == []
    finish = next(line.item for line in view(one).content.price.lines if line.key == "finish")
    assert numbers(desk.get(f"/counter?q={finish.split()[0]}").text) == [other, one]
    # Whoever does something to a quote is found with it, also without a new version.
    sign_in(name="Ragna").do(one, "answer", text="It will be ready in May.")
    assert numbers(desk.get("/counter?q=ragna").text) == [one]


def test_found_by_telephone_company_and_serial_number(desk: Desk, app: FastAPI, at: Clock) -> None:
    from webapp.customers import store
    from webapp.quote.storage.people import change_customer
    from webapp.quote.storage.read import quote_by_number
    from webapp.quote.storage.write import note_event
    from webapp.serials.register import FrameKind, take_serial

    one, _ = make(desk, "Ada Marl"), make(desk, "Bo Loam")
    with writing(app.state.engine) as session:
        quote = quote_by_number(session, one)
        entry = store.customer_row(session, quote.customer_id or 0)
        said = {"phone": "+49 177 234 5678", "company": "Håndverk Sør"}
        change_customer(session, entry, said, who="Edda", at=at())
        kind = FrameKind(model="knapweed", revision=2, size="m")
        take_serial(session, "K2-0815", kind, quote_id=quote.id or 0, who="Edda", at=at())
        note_event(session, quote, who="Edda", what="serial number", at=at())
    for words in ("0177 2345678", "+49 177 234 56 78", "(0177) 234-5678", "345678", "handverk",
                  "verk sor", "k2-0815", "0815", "ada 0177/2345678"):  # fmt: skip
        assert numbers(desk.client.get("/counter", params={"q": words}).text) == [one], words


def test_the_words_of_a_former_edition_are_set_anew_at_the_next_start(
    desk: Desk, app: FastAPI
) -> None:
    from sqlalchemy import text

    from webapp.quote.storage.search_index import renew_words

    one = make(desk, "Søren Kvæslund")
    with app.state.engine.begin() as connection:
        connection.execute(text("UPDATE quote_words SET words = 'sren' WHERE rowid > 0"))
    renew_words(app.state.engine)
    assert numbers(desk.get("/counter?q=soren").text) == []  # of this edition, so left alone
    with app.state.engine.begin() as connection:
        connection.execute(text("UPDATE quote_words SET words = 'edition1' WHERE rowid = 0"))
    renew_words(app.state.engine)
    assert numbers(desk.get("/counter?q=soren").text) == [one]


@pytest.mark.parametrize(
    "query", ['"', "' OR 1=1", "a*", "NEAR(", "AND OR NOT", "é" * 300, "\x00", "%", "\u202e", "{}"]
)
def test_any_text_can_be_looked_for(desk: Desk, quote: PutQuote, query: str) -> None:
    quote()
    assert desk.client.get("/counter", params={"q": query}).status_code == 200


def test_a_list_takes_few_queries(desk: Desk, quote: PutQuote, app: FastAPI) -> None:
    from sqlalchemy import event

    for _ in range(3):
        quote()
    seen: list[str] = []

    def note(_connection: object, _cursor: object, statement: str, *_: object) -> None:
        if statement.startswith("SELECT"):
            seen.append(statement)

    event.listen(app.state.engine, "before_cursor_execute", note)
    desk.get("/counter?q=ada")
    event.remove(app.state.engine, "before_cursor_execute", note)
    # What the shop is called, who asks, what is found, and what is no longer offered.
    assert len(seen) == 4, seen


def test_exports_hold_every_quote_and_no_formula(desk: Desk, app: FastAPI) -> None:
    make(desk, '=HYPERLINK("http://evil.example")')
    make(desk, 'Zwei\u0308, "Komma"')
    table = desk.get("/counter/records/quotes.csv")
    assert table.text.splitlines()[0].startswith("number,state,made,")
    assert "'=HYPERLINK" in table.text
    rows = json.loads(desk.get("/counter/records/quotes.json").text)
    assert [row["number"] for row in rows] == ["2026-0001", "2026-0002"]
    version = rows[1]["versions"][0]
    assert version["customer"]["name"] == 'Zweï, "Komma"'
    assert version["content"]["price"]["gross"]["minor"] == 458400
    assert [event["what"] for event in rows[0]["events"]] == ["made at the counter"]
