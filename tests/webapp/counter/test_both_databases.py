"""What the counter stands on, on SQLite and on PostgreSQL alike."""

from __future__ import annotations

import json
import threading
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import Engine, text
from sqlmodel import select

from tests.webapp.counter.conftest import CUSTOMER, put
from webapp.common.errors import NotFound
from webapp.common.storage.database import reading, writing
from webapp.counter.changing import Collision, change_quote
from webapp.mail.outbox import Message, post
from webapp.mail.tables import Mail
from webapp.quote.customer import Customer
from webapp.quote.lifecycle import transitions
from webapp.quote.storage import export, privacy
from webapp.quote.storage.current_version import standing_version
from webapp.quote.storage.read import QuoteView, quote_by_number, view_of
from webapp.quote.storage.search import PAGE, Found, Wanted, find_quotes, inbox, read_wanted
from webapp.quote.tables import Quote, QuoteEvent, QuoteVersion

AT = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
TODAY = AT.date()


def found(engine: Engine, query: str) -> list[str]:
    with reading(engine) as session:
        return [e.number for e in find_quotes(session, read_wanted(query), today=TODAY).entries]


def current(engine: Engine, number: str) -> QuoteView:
    with reading(engine) as session:
        return view_of(session, quote_by_number(session, number))


def standing(engine: Engine, number: str) -> QuoteView:
    """The version that lists and totals are about."""
    with reading(engine) as session:
        quote = quote_by_number(session, number)
        return view_of(session, quote, standing_version(quote))


def test_search_folds_combines_and_follows_changes(engine: Engine) -> None:
    silt = Customer(name="Märta Groß-Silt", mail="m.silt@mail.example")
    one = put(engine, at=AT, customer=silt)
    two = put(engine, at=AT + timedelta(days=40), model="burdock")
    newest_first = [two.number, one.number]
    assert found(engine, "") == newest_first
    assert found(engine, "2026") == newest_first
    names = ("marta", "MÄRTA", "gross", "silt m.si", "knap", one.number, "1 silt", "märta sent")
    within = ("ilt", "ross")
    days = ("2026-03-02", "02.03.2026", "2.3.2026", "2026-03", "march")
    for query in names + days + within:
        assert found(engine, query) == [one.number], query
    for query in ("martha", "silt burdock", "2026-05", "accepted", "artha", "nobody"):
        assert found(engine, query) == [], query
    change_quote(engine, one.number, seen=1, typed={"name": "Bo Loam"}, who="Edda", at=AT)
    assert found(engine, "bo loam") == [one.number]
    assert found(engine, "marta") == []


def test_states_in_a_search_are_what_they_are_on_the_day(engine: Engine) -> None:
    one = put(engine, at=AT)
    late = TODAY + timedelta(days=31)
    with reading(engine) as session:
        for state, day, count in (("sent", TODAY, 1), ("expired", TODAY, 0), ("sent", late, 0),
                                  ("expired", late, 1), ("draft", TODAY, 0)):  # fmt: skip
            wanted = Wanted(words=("ada",), states=(state,))
            entries = find_quotes(session, wanted, today=day).entries
            assert len(entries) == count, (state, day)
    assert one.state == "sent"


def test_pages_by_key_lead_through_everything_and_back(engine: Engine) -> None:
    from webapp.quote.storage.search_index import put_words

    count = 2 * PAGE + 7
    with writing(engine) as session:
        for n in range(count):
            quote = Quote(
                number=f"2026-{n:04d}", token=f"t{n}", token_hash=f"h{n}", created_at=AT,
                customer_name="Ada", customer_mail="a@b.example", model="M", size="S",
            )  # fmt: skip
            session.add(quote)
            session.flush()
            put_words(session, quote)
    for wanted in (Wanted(), Wanted(words=("ada",))):
        with reading(engine) as session:
            pages: list[Found] = []
            before = 0
            while not pages or before:
                page = find_quotes(session, wanted, today=TODAY, before=before)
                pages.append(page)
                before = page.later
            assert [len(page.entries) for page in pages] == [PAGE, PAGE, 7]
            everything = [e.number for page in pages for e in page.entries]
            assert everything == sorted(everything, reverse=True)
            assert len(set(everything)) == count
            assert [bool(page.earlier) for page in pages] == [False, True, True]
            back = find_quotes(session, wanted, today=TODAY, after=pages[2].earlier)
            assert back.entries == pages[1].entries
            first = find_quotes(session, wanted, today=TODAY, after=back.earlier)
            assert first.entries == pages[0].entries
            assert not first.earlier


def test_of_many_who_change_one_version_one_wins_and_all_others_are_told(engine: Engine) -> None:
    asked = put(engine, at=AT)
    outcomes: list[str] = []

    def change(n: int) -> None:
        typed = {"message": f"from {n}"}
        try:
            change_quote(engine, asked.number, seen=1, typed=typed, who=f"p{n}", at=AT)
            outcomes.append("made")
        except Collision as collision:
            kept = collision.merged.fields["message"] == f"from {n}"
            outcomes.append("told" if kept else "lost")

    threads = [threading.Thread(target=change, args=(n,)) for n in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(outcomes) == ["made", "told", "told", "told"]
    with reading(engine) as session:
        rows = session.exec(select(QuoteVersion.number)).all()
    assert sorted(rows) == [1, 2]


def test_accepting_and_withdrawing_at_once_leaves_one_of_the_two(engine: Engine) -> None:
    asked = put(engine, at=AT)
    done: list[str] = []

    def do(what: str) -> None:
        from webapp.common.errors import Conflict

        try:
            with writing(engine) as session:
                quote = quote_by_number(session, asked.number, locked=True)
                if what == "accept":
                    transitions.accept(
                        session, quote, asked.content, version=1, name="Ada",
                        who=transitions.CUSTOMER, at=AT,
                    )  # fmt: skip
                else:
                    transitions.withdraw(session, quote, reason="", who="Edda", at=AT)
            done.append(what)
        except Conflict:
            pass

    threads = [threading.Thread(target=do, args=(what,)) for what in ("accept", "withdraw")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(done) == 1
    assert (
        current(engine, asked.number).state
        == {"accept": "accepted", "withdraw": "withdrawn"}[done[0]]
    )


def test_erasing_takes_the_person_out_of_everything_and_keeps_the_figures(engine: Engine) -> None:
    secret = Customer(name="Quirina Zott", mail="Quirina@Zott.example", note="Knee of 1987")
    asked = put(engine, at=AT, customer=secret)
    other = put(engine, at=AT)
    change_quote(
        engine, asked.number, seen=1, who="Edda", at=AT,
        typed={"discount": "5 %", "discount_reason": "cousin of Quirina", "message": "Dear Quirina",
               "delivery": "10.00", "delivery_words": "to Zott Lane", "off_fork": "10.00",
               "off_fork_reason": "Zott scratched it", "workshop_note": "Zott knows",
               "added_1": "Rack of Quirina", "added_1_amount": "20", "added_1_count": "2"},
    )  # fmt: skip
    with writing(engine) as session:
        quote = quote_by_number(session, asked.number, locked=True)
        transitions.say(session, quote, text="Zott asks", who=transitions.CUSTOMER, at=AT)
        transitions.accept(
            session, quote, asked.content, version=1, name="Quirina Zott",
            who=transitions.CUSTOMER, at=AT,
        )  # fmt: skip
        message = Message(to_name="Quirina", to_mail=secret.mail, subject="s", body="Zott")
        post(session, message, key="k", about=asked.number, at=AT)
    with reading(engine) as session:
        taken = json.dumps(privacy.person_as_json(session, " quirina@zott.example "))
    for word in ("Quirina Zott", "Knee of 1987", "cousin of", "Zott asks", "to Zott Lane"):
        assert word in taken
    before = current(engine, asked.number).content.price
    with writing(engine) as session:
        quotes = privacy.quotes_of(session, secret.mail)
        assert privacy.erase(session, quotes, who="Holt", at=AT) == 1
    after = current(engine, asked.number)
    assert (after.content.price.gross, after.content.price.tax) == (before.gross, before.tax)
    assert [t.amount for t in after.content.price.totals] == [t.amount for t in before.totals]
    assert after.state == "accepted"
    assert [line.amount for line in after.content.price.lines] == [
        line.amount for line in before.lines
    ]
    assert everything_kept(engine, "zott") == everything_kept(engine, "quirina") == []
    assert found(engine, "quirina") == []
    assert current(engine, other.number).customer == CUSTOMER
    with reading(engine) as session, pytest.raises(NotFound):
        privacy.person_as_json(session, secret.mail)


def everything_kept(engine: Engine, word: str) -> list[str]:
    """Tables that hold a word anywhere, searched as raw text."""
    holding = []
    with reading(engine) as session:
        for table in (Quote, QuoteVersion, QuoteEvent, Mail):
            for row in session.exec(select(table)).all():
                if word in row.model_dump_json().lower():
                    holding.append(str(table.__tablename__))
        words = session.connection().execute(text("SELECT words FROM quote_words")).all()
        holding += ["quote_words" for (kept,) in words if word in str(kept)]
    return holding


def test_an_address_with_wildcards_is_nobody_elses(engine: Engine) -> None:
    put(engine, at=AT, customer=Customer(name="A", mail="a_b@c.example"))
    put(engine, at=AT, customer=Customer(name="B", mail="axb@c.example"))
    with reading(engine) as session:
        assert len(privacy.quotes_of(session, "a_b@c.example")) == 1
        assert len(privacy.quotes_of(session, "A_B@C.example")) == 1
        for nobody in ("%", "a%", "", "nobody@c.example"):
            with pytest.raises(NotFound):
                privacy.quotes_of(session, nobody)


def test_what_is_overdue_never_holds_an_order(engine: Engine) -> None:
    kept, over = put(engine, at=AT), put(engine, at=AT)
    with writing(engine) as session:
        quote = quote_by_number(session, kept.number, locked=True)
        transitions.accept(session, quote, kept.content, version=1, name="Ada", who="Edda", at=AT)
    years_later = TODAY + timedelta(days=800)
    with reading(engine) as session:
        assert privacy.overdue(session, today=TODAY, months=24) == []
        late = privacy.overdue(session, today=years_later, months=24)
        assert [quote.number for quote in late] == [over.number]
    with writing(engine) as session:
        late = privacy.overdue(session, today=years_later, months=24)
        privacy.erase(session, late, who="Holt", at=AT)
    with reading(engine) as session:
        assert privacy.overdue(session, today=years_later, months=24) == []


def test_the_export_holds_every_quote_piece_by_piece(
    engine: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(export, "AT_ONCE", 2)
    monkeypatch.setattr(export, "WHOLE_AT_ONCE", 2)
    made = [put(engine, at=AT).number for _ in range(5)]
    rows = json.loads("".join(export.as_json(engine)))
    assert [row["number"] for row in rows] == made
    table = list(export.as_csv(engine, today=TODAY))
    assert len(table) == 6
    assert ",4584.00,458400,EUR," in table[1]


def test_the_inbox_is_in_order(engine: Engine) -> None:
    first, second = put(engine, at=AT), put(engine, at=AT + timedelta(hours=1))
    with writing(engine) as session:
        quote = quote_by_number(session, first.number, locked=True)
        transitions.settle(session, quote, who="Edda", at=AT)
        transitions.say(session, quote, text="?", who=transitions.CUSTOMER, at=AT)
    with reading(engine) as session:
        waiting = inbox(session, today=TODAY)
    assert [(e.number, e.waiting_for) for e in waiting] == [
        (second.number, "request"),
        (first.number, "question"),
    ]
