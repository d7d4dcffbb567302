"""What a customer types, cleaned and checked."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.common.errors import Invalid
from webapp.customers.typed import one_line, several_lines
from webapp.quote.customer import Customer, read_customer


def test_a_good_customer_is_kept_as_typed() -> None:
    read = read_customer(name="Zoë Ó Brádaigh", mail="zoe@marl.example", note="Two\nlines")
    assert read == Customer(name="Zoë Ó Brádaigh", mail="zoe@marl.example", note="Two\nlines")


@pytest.mark.parametrize("name", ["", "   ", "\x00", "\u202e", "x" * 121])
def test_a_name_needs_1_to_120_characters(name: str) -> None:
    with pytest.raises(Invalid) as refused:
        read_customer(name=name, mail="a@b.example", note="")
    assert refused.value.field == "name"
    assert refused.value.value == name


@pytest.mark.parametrize(
    "mail",
    ["", "ada", "ada@", "@marl.example", "ada@marl", "a b@marl.example", "ada@@marl.example",
     "a@b.example, c@d.example", "ada@marl..example", "a\r\nBcc: x@y.example",
     f"{'a' * 250}@b.example"],
)  # fmt: skip
def test_a_mail_address_must_look_like_one(mail: str) -> None:
    with pytest.raises(Invalid) as refused:
        read_customer(name="Ada", mail=mail, note="")
    assert refused.value.field == "mail"


@pytest.mark.parametrize(
    "mail", ["a@b.example", "a+b@c.d.example", "o'h@b.example", "zoë@ö.example"]
)
def test_usual_mail_addresses_pass(mail: str) -> None:
    assert read_customer(name="Ada", mail=mail, note="").mail == mail


def test_a_note_may_be_empty_or_long_but_not_endless() -> None:
    assert read_customer(name="A", mail="a@b.example", note="n" * 2000).note == "n" * 2000
    with pytest.raises(Invalid, match="at most 2000 characters; this has 2001"):
        read_customer(name="A", mail="a@b.example", note="n" * 2001)


def test_every_wrong_field_is_told_at_once() -> None:
    with pytest.raises(Invalid) as refused:
        read_customer(name="", mail="x", note="n" * 3000)
    assert [problem.field for problem in refused.value.problems] == ["name", "mail", "note"]


@given(st.text(max_size=80))
def test_what_is_kept_can_be_printed(text: str) -> None:
    line, lines = one_line(text), several_lines(text)
    assert line.isprintable() or not any(ord(c) < 32 or 127 <= ord(c) < 160 for c in line)
    assert "\x00" not in lines
    assert not any(ord(c) < 32 and c != "\n" for c in lines)
    assert not set(line + lines) & set("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
    assert one_line(line) == line
    assert several_lines(lines) == lines
