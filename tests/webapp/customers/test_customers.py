"""Customers: found or made, joined with both histories, and nothing left of who is erased."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import Engine, make_url, select
from sqlmodel import col

from tests.webapp.counter.conftest import put
from webapp.catalogue.lookup import row_id
from webapp.common.errors import Invalid, NotFound
from webapp.common.storage.database import reading, writing
from webapp.common.storage.scrubbing import scrub
from webapp.customers import store
from webapp.customers.details import read_consent, read_details
from webapp.customers.finding import find_customers
from webapp.customers.phone import phone_digits, read_phone
from webapp.customers.tables import CustomerRow
from webapp.mail.outbox import Message, post
from webapp.migrations.models import metadata
from webapp.quote.customer import Customer
from webapp.quote.lifecycle import transitions
from webapp.quote.storage import privacy
from webapp.quote.storage.people import change_customer, join_customers, quotes_of_customer
from webapp.quote.storage.read import quote_by_number

AT = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
ADA = Customer(name="Ada Marl", mail="ada@marl.example")


def entries(engine: Engine) -> list[tuple[str, str, int]]:
    """Name, mail address and number of quotes of every customer, in the order of entry."""
    with reading(engine) as session:
        rows = session.execute(select(CustomerRow).order_by(col(CustomerRow.id))).scalars().all()
        return [(r.name, r.mail, len(quotes_of_customer(session, r))) for r in rows]


def found(engine: Engine, query: str) -> list[str]:
    with reading(engine) as session:
        return [row.name for row in find_customers(session, query).rows]


def test_a_request_finds_its_customer_or_makes_one(engine: Engine) -> None:
    put(engine, at=AT, customer=ADA)
    put(engine, at=AT, customer=Customer(name="ADA MARL", mail="Ada@Marl.example"))
    put(engine, at=AT, customer=Customer(name="Bo Marl", mail="ada@marl.example"))
    assert entries(engine) == [
        ("Ada Marl", "ada@marl.example", 2),
        ("Bo Marl", "ada@marl.example", 1),
    ]
    with reading(engine) as session:
        ada = store.customer_row(session, 1)
        assert [other.name for other in store.alike(session, ada)] == ["Bo Marl"]


def test_customers_are_found_within_words_and_by_telephone(engine: Engine) -> None:
    with writing(engine) as session:
        said = read_details(
            {"name": "Søren Kold", "phone": "+47 (0)22 33-44 55", "company": "Birkelund AS",
             "address": "Mølleveien 3\n0182 Oslo"}, groups=(),
        )  # fmt: skip
        store.make(session, said, who="Edda", at=AT)
        store.make(session, {"name": "Bo Loam"}, who="Edda", at=AT)
    for query in ("soren", "lund", "kold birke", "22334455", "022 33 44", "0047 22 33", "mollev"):
        assert found(engine, query) == ["Søren Kold"], query
    assert found(engine, "") == ["Bo Loam", "Søren Kold"]
    assert found(engine, "%") == ["Bo Loam", "Søren Kold"]  # nothing to look for
    assert found(engine, "nobody") == []


def test_joining_keeps_both_histories(engine: Engine) -> None:
    one = put(engine, at=AT, customer=ADA)
    two = put(engine, at=AT, customer=Customer(name="A. Marl", mail="ada@marl.example"))
    with writing(engine) as session:
        kept, gone = store.customer_row(session, 1), store.customer_row(session, 2)
        change_customer(session, gone, {"phone": "0170 12345"}, who="Edda", at=AT)
        store.agree(session, gone, what="news", how="here", on=AT.date(), who="Edda", at=AT)
        assert store.taken_over(kept, gone) == ({"phone": "0170 12345"}, {"name": "A. Marl"})
        join_customers(session, kept, gone, who="Holt", at=AT)
    assert entries(engine) == [("Ada Marl", "ada@marl.example", 2)]
    with reading(engine) as session:
        row = store.customer_row(session, 1)
        assert {quote.number for quote in quotes_of_customer(session, row)} == {
            one.number,
            two.number,
        }
        assert (row.phone, row.phone_digits) == ("0170 12345", "017012345")
        assert [each.what for each in store.consents_of(session, row)] == ["news"]
        told = [event.what for event in store.events_of(session, row)]
        assert sorted(told) == ["changed", "changed", "consent given", "joined", "made", "made"]
        assert quote_by_number(session, two.number).customer_name == "A. Marl"
        with pytest.raises(NotFound):
            store.customer_row(session, 2)


def test_a_name_corrected_in_a_quote_is_corrected_in_the_entry(engine: Engine) -> None:
    from webapp.counter.changing import change_quote

    asked = put(engine, at=AT, customer=ADA)
    change_quote(engine, asked.number, seen=1, typed={"name": "Ada Maerl"}, who="Edda", at=AT)
    with writing(engine) as session:
        row = store.customer_row(session, 1)
        assert row.name == "Ada Maerl"
        change_customer(session, row, {"name": "Ada Holm"}, who="Edda", at=AT)
    change_quote(engine, asked.number, seen=2, typed={"name": "A. Maerl"}, who="Edda", at=AT)
    assert entries(engine) == [("Ada Holm", "ada@marl.example", 1)]  # said otherwise by itself


SECRETS = {
    "name": "Quirina Zott", "mail": "quirina@zott.example", "phone": "+47 98 76 54 321",
    "address": "Zottveien 7", "company": "Zott and Sons", "tax_number": "NO998877ZOTT",
}  # fmt: skip


@pytest.mark.parametrize("mail", [SECRETS["mail"], ""], ids=["with mail", "without mail"])
def test_nothing_of_an_erased_customer_is_left_anywhere(engine: Engine, mail: str) -> None:
    secret = Customer(name=SECRETS["name"], mail=mail, note="Quirina's knee")
    asked = put(engine, at=AT, customer=secret, stature="1777")
    put(engine, at=AT, customer=ADA)
    with writing(engine) as session:
        quote = quote_by_number(session, asked.number, locked=True)
        row = store.customer_row(session, quote.customer_id or 0)
        said = SECRETS | {"mail": mail}
        change_customer(session, row, said, who="Edda", at=AT)
        store.agree(session, row, what="news of Zott", how="here", on=AT.date(), who="E", at=AT)
        transitions.say(session, quote, text="Zott asks", who=transitions.CUSTOMER, at=AT)
        message = Message(to_name="Quirina", to_mail="q@zott.example", subject="s", body="Zott")
        post(session, message, key="k", about=asked.number, at=AT)
        held = json.dumps(privacy.customer_as_json(session, row), ensure_ascii=False)
        for word in ("Zott and Sons", "+47 98 76 54 321", "news of Zott", "Zott asks", "knee"):
            assert word in held, word
        number = row_id(row)
    words = ("zott", "quirina", "9876543", "998877")
    assert all(everything_kept(engine, word) for word in words)
    with writing(engine) as session:
        row = store.customer_row(session, number)
        assert privacy.erase_customer(session, row, who="Holt", at=AT) == 1
    scrub(engine)
    for word in words:
        assert everything_kept(engine, word) == [], word
        assert word not in bytes_kept(engine), word
    assert entries(engine) == [("Ada Marl", "ada@marl.example", 1)]
    assert "marl" in bytes_kept(engine) or engine.dialect.name != "sqlite"


def everything_kept(engine: Engine, word: str) -> list[str]:
    """Tables that hold a word anywhere, whatever they are: packed versions are unpacked."""
    holding = []
    with reading(engine) as session:
        for table in metadata.sorted_tables:
            for row in session.connection().execute(select(table)).mappings():
                if word in json.dumps(dict(row), default=str, ensure_ascii=False).lower():
                    holding.append(table.name)
        rows = session.connection().exec_driver_sql("SELECT words FROM quote_words").all()
        holding += ["quote_words" for (kept,) in rows if word in str(kept)]
    return holding


def bytes_kept(engine: Engine) -> str:
    """What SQLite's files hold byte for byte, deleted pages and log too; nothing elsewhere."""
    if engine.dialect.name != "sqlite":
        return ""
    file = str(make_url(str(engine.url)).database)
    read = b""
    for end in ("", "-wal"):
        try:
            with open(file + end, "rb") as opened:
                read += opened.read()
        except FileNotFoundError:
            continue
    return read.decode("utf-8", "replace").lower()


def test_entries_without_quotes_are_not_kept_for_ever(engine: Engine) -> None:
    with writing(engine) as session:
        store.make(session, {"name": "Bo"}, who="Edda", at=AT)
    put(engine, at=AT, customer=ADA)
    with reading(engine) as session:
        later = (AT + timedelta(days=800)).date()
        over = privacy.overdue_entries(session, today=later, months=24)
        assert [row.name for row in over] == ["Bo"]
        assert privacy.overdue_entries(session, today=AT.date(), months=24) == []


@given(st.text(max_size=60))
def test_a_telephone_number_is_refused_or_found_by_its_digits(typed: str) -> None:
    try:
        kept = read_phone(typed)
    except Invalid:
        return
    digits = phone_digits(kept)
    assert digits == phone_digits(typed)
    assert (not kept and not digits) or 4 <= len(digits) <= 15
    assert set(digits) <= set("0123456789")


def test_what_cannot_be_used_is_said_at_its_field() -> None:
    fields = {"name": " ", "mail": "ada", "phone": "call me", "country": "??", "company": "x" * 121,
              "price_group": "dealers"}  # fmt: skip
    with pytest.raises(Invalid) as refused:
        read_details(fields, groups=())
    wrong = {problem.field for problem in refused.value.problems}
    assert wrong == {"name", "mail", "phone", "country", "company", "price_group"}
    for day in ("2026-03-03", "yesterday"):
        with pytest.raises(Invalid):
            read_consent({"what": "a", "how": "b", "given_on": day}, today=date(2026, 3, 2))
