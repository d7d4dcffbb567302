"""The version accepted is the version; what is drafted or offered later says so everywhere."""

from __future__ import annotations

import csv
import io
import re
from datetime import UTC, date, datetime

import pypdf
import pytest
from alembic import command
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import Engine, text
from sqlmodel import select

from tests.webapp.counter.conftest import (
    ORDER,
    Clock,
    Desk,
    PutQuote,
    View,
    make,
    pdf_text,
    put,
    sentences,
)
from webapp.common.storage.database import reading, writing
from webapp.counter.changing import change_quote
from webapp.migrations import configuration, upgrade
from webapp.quote.lifecycle import transitions
from webapp.quote.storage import privacy
from webapp.quote.storage.read import QuoteView, quote_by_number, view_of
from webapp.quote.storage.search import find_quotes, read_wanted
from webapp.quote.tables import Quote, QuoteEvent

AT = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
DEARER = {"delivery": "333.00", "workshop_note": "Only in the draft"}


def accept(client: TestClient, token: str, version: int = 1) -> int:
    form = ORDER | {"version": str(version), "accepted_by": "Ada Marl"}
    status: int = client.post(f"/q/{token}/accept", data=form).status_code
    return status


@pytest.fixture
def ordered(desk: Desk, quote: PutQuote, client: TestClient) -> QuoteView:
    """Version 1 accepted, and a dearer version 2 drafted since."""
    asked = quote()
    assert accept(client, asked.token) == 303
    assert desk.terms(asked.number, **DEARER).status_code == 303
    return asked


def row_of(desk: Desk, number: str) -> dict[str, str]:
    table = desk.get("/counter/records/quotes.csv").text
    return next(row for row in csv.DictReader(io.StringIO(table)) if row["number"] == number)


def table_row(html: str, number: str) -> str:
    """The row of the quote in the list of quotes, as words."""
    found = html.partition('id="found"')[2]
    row = re.search(rf'<tr[^>]*><th[^>]*><a href="[^"]*{number}">.*?</tr>', found, re.S)
    assert row
    return sentences(row[0])


def test_the_accepted_version_is_what_is_built_listed_and_counted(
    desk: Desk, ordered: QuoteView, client: TestClient
) -> None:
    number, total = ordered.number, ordered.content.price.gross
    for address in (f"/counter/quotes/{number}/workshop",):
        page = sentences(desk.get(address).text)
        assert "version 1" in page
        assert "Build this one. Version 2 is not accepted." in page
        assert "Only in the draft" not in page
    paper = pdf_text(desk.get(f"/counter/quotes/{number}/sheet.pdf?copy=workshop").content)
    assert "Only in the draft" not in paper
    assert "Not ordered" not in paper
    listed = table_row(desk.get("/counter").text, number)
    assert total.printed in listed
    assert "accepted, version 1; version 2 is a draft" in listed
    row = row_of(desk, number)
    assert (row["total_minor"], row["state"]) == (str(total.minor), "accepted")
    assert (row["accepted_version"], row["total_of_version"], row["version"]) == ("1", "1", "2")
    page = desk.page(number)
    assert f"Quote {number}: Knapweed, Medium, {total.printed}" in page
    assert "Accepted: version 1." in page
    assert ordered.content.price.gross.printed in client.get(f"/q/{ordered.token}").text


def test_a_later_draft_says_so_on_every_page_and_print(desk: Desk, ordered: QuoteView) -> None:
    address = f"/counter/quotes/{ordered.number}"
    draft = "Draft: version 2 is not sent and cannot be ordered."
    counts = "Version 1 is accepted and is the one that counts."
    for page in (f"{address}?version=2", f"{address}/workshop?version=2"):
        said = sentences(desk.get(page).text)
        assert draft in said
        assert counts in said
        assert "This quote is accepted." not in said
    for copy in ("customer", "workshop"):
        answer = desk.get(f"{address}/sheet.pdf?version=2&copy={copy}")
        reader = pypdf.PdfReader(io.BytesIO(answer.content))
        assert all("2, draft" in sheet.extract_text() for sheet in reader.pages), copy
        assert draft in pdf_text(answer.content)
        assert counts in pdf_text(answer.content)
        assert "version-2-draft" in answer.headers["content-disposition"]
    assert "version 2, draft" in desk.get(f"{address}/compare?a=1&b=2").text


def test_a_print_carries_the_link_only_of_the_version_it_opens(
    desk: Desk, quote: PutQuote, view: View
) -> None:
    def of_draft(number: str, version: int) -> tuple[str, str]:
        page = desk.get(f"/counter/quotes/{number}?version={version}").text
        pdf = desk.get(f"/counter/quotes/{number}/sheet.pdf?version={version}").content
        return page.partition('id="sheet"')[2], pdf_text(pdf).replace("\u200b", "").replace(" ", "")

    fresh = make(desk)
    asked = quote()
    desk.terms(asked.number, delivery="10.00")
    for number, version in ((fresh, 1), (asked.number, 2)):
        page, paper = of_draft(number, version)
        token = view(number).token
        assert token not in page + paper
        assert "<svg" not in page.partition("Find it again")[2].partition("</section>")[0]
        assert "untilitissent" in paper
    desk.do(asked.number, "send")
    page, paper = of_draft(asked.number, 1)
    assert asked.token not in page + paper
    assert "opensversion2" in paper
    assert "1,replaced" in paper
    assert asked.token in "".join(of_draft(asked.number, 2))


def test_no_message_to_copy_speaks_of_a_draft(desk: Desk, quote: PutQuote) -> None:
    number = make(desk)
    assert "Read it, ask about it or accept it here" not in desk.page(number)
    asked = quote()
    desk.terms(asked.number, message="Only in the draft")
    page = desk.page(asked.number).partition("Message to copy")[2].partition("</details>")[0]
    assert "version 1" in page
    assert "Only in the draft" not in page


def test_a_change_to_an_order_is_offered_and_the_order_stands_until_it_is_accepted(
    desk: Desk, ordered: QuoteView, client: TestClient, view: View
) -> None:
    number, total = ordered.number, ordered.content.price.gross
    assert desk.do(number, "send").status_code == 303
    assert view(number).state == "accepted"
    listed = table_row(desk.get("/counter").text, number)
    assert "accepted, version 1; version 2 offered as a change" in listed
    assert total.printed in listed
    shown = sentences(client.get(f"/q/{ordered.token}").text)
    assert "Version 1 was accepted by Ada Marl" in shown
    assert "A change to the order: version 2 is not accepted." in shown
    copy = sentences(desk.get(f"/counter/quotes/{number}/workshop").text)
    assert "version 1" in copy
    assert "2, a change" in pdf_text(client.get(f"/q/{ordered.token}/sheet.pdf").content)
    assert accept(client, ordered.token, 2) == 303
    row = row_of(desk, number)
    assert row["accepted_version"] == "2"
    assert int(row["total_minor"]) == total.minor + 33_300
    assert "Only in the draft" in desk.get(f"/counter/quotes/{number}/workshop").text


@pytest.mark.parametrize("what", ["decline", "withdraw"])
def test_a_change_that_is_not_taken_leaves_the_order(
    desk: Desk, ordered: QuoteView, client: TestClient, view: View, what: str
) -> None:
    number = ordered.number
    desk.do(number, "send")
    assert desk.do(number, what, text="Not this").status_code == 303
    now = view(number)
    assert (now.state, now.sent_version, now.accepted_version) == ("accepted", 1, 1)
    shown = sentences(client.get(f"/q/{ordered.token}").text)
    assert "This quote is accepted." in shown
    assert "Accept and order" not in shown
    assert desk.do(number, what).status_code == 409  # the order itself is neither
    assert accept(client, ordered.token, 1) == 409


def test_an_order_whose_change_expired_is_kept_as_an_order(
    desk: Desk, ordered: QuoteView, client: TestClient, app: FastAPI, at: Clock
) -> None:
    desk.do(ordered.number, "send")
    at.turn(days=31)
    shown = sentences(client.get(f"/q/{ordered.token}").text)
    assert "This change is no longer offered. Version 1 is accepted" in shown
    assert accept(client, ordered.token, 2) == 409
    at.turn(days=4000)
    with reading(app.state.engine) as session:
        assert privacy.overdue(session, today=at().date(), months=24) == []
        found = find_quotes(session, read_wanted("accepted"), today=at().date())
    assert [entry.number for entry in found.entries] == [ordered.number]


def test_what_is_noted_is_noted_of_the_version_the_customer_has(
    desk: Desk, quote: PutQuote, app: FastAPI, client: TestClient, view: View
) -> None:
    asked = quote()
    desk.terms(asked.number, delivery="40.00")
    assert desk.do(asked.number, "accept", accepted_by="Ada").status_code == 303
    with reading(app.state.engine) as session:
        [event] = session.exec(select(QuoteEvent).where(QuoteEvent.what == "accepted")).all()
        assert event.version == 1
    assert view(asked.number).accepted_version == 1
    assert "Version 1 was accepted by Ada" in client.get(f"/q/{asked.token}").text


def test_lists_follow_the_version_the_customer_has(
    desk: Desk, quote: PutQuote, at: Clock, app: FastAPI
) -> None:
    """A draft with a later last day does not keep an expired quote open in lists."""
    asked = quote()
    at.turn(days=25)
    desk.terms(asked.number, delivery="40.00")
    at.turn(days=10)
    with reading(app.state.engine) as session:
        today = at().date()
        states = {
            word: len(find_quotes(session, read_wanted(word), today=today).entries)
            for word in ("sent", "expired")
        }
        [entry] = find_quotes(session, read_wanted(""), today=today).entries
    assert states == {"sent": 0, "expired": 1}
    assert (entry.state, entry.total) == ("expired", asked.content.price.gross.printed)


def test_notices_name_the_version_they_belong_to(
    desk: Desk, quote: PutQuote, client: TestClient
) -> None:
    asked = quote()
    accept(client, asked.token)
    address = f"/counter/quotes/{asked.number}"
    build = {"build": "knapweed?size=m&tyre_rear=74-622", "seen": "1", "key": "k" * 24}
    assert desk.post(f"{address}/build", build).status_code == 303
    first = sentences(desk.get(f"{address}?version=1").text)
    assert "says no in version 2" in first
    assert "not to be ordered" not in first
    assert "not to be ordered" in sentences(desk.get(f"{address}?version=2").text)
    assert asked.content.cautions[0] in first
    assert "not to be ordered" not in sentences(desk.get(f"{address}/workshop").text)


def test_a_database_of_before_gets_the_accepted_version_and_its_totals(engine: Engine) -> None:
    ordered, open_ = (put(engine, at=AT) for _ in range(2))
    with writing(engine) as session:
        transitions.accept(
            session, quote_by_number(session, ordered.number), ordered.content,
            version=1, name="Ada", who=transitions.CUSTOMER, at=AT,
        )  # fmt: skip
    for each in (ordered, open_):
        change_quote(engine, each.number, seen=1, typed={"delivery": "40.00"}, who="Edda", at=AT)
    with writing(engine) as session:
        command.downgrade(configuration(session.connection()), "0007")
    with writing(engine) as session:
        session.connection().execute(
            text("UPDATE quote SET gross_minor = 1, valid_until = :day"), {"day": date(2026, 1, 1)}
        )
        upgrade(session.connection())
    with reading(engine) as session:
        rows = {row.number: row for row in session.exec(select(Quote)).all()}
        gross = view_of(session, rows[ordered.number], 1).content.price.gross.minor
    assert rows[ordered.number].accepted_version == 1
    assert rows[open_.number].accepted_version is None
    for row in rows.values():
        assert row.gross_minor == gross
        assert row.valid_until == ordered.content.valid_until
