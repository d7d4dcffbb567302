"""The workshop copy: what to build and how it is set, no prices, the same bytes each time."""

from __future__ import annotations

import io
import logging
import re
from dataclasses import replace
from typing import Literal

import pypdf
import pytest
from sqlalchemy import Engine

from tests.webapp.quote.conftest import Ask
from webapp.quote.agreed_terms.deal import Deal
from webapp.quote.customer import Customer
from webapp.quote.printing.pdf import Copy, quote_pdf
from webapp.quote.storage.read import QuoteView

LINK = "https://shop.example/q/x"


def text_of(quote: QuoteView, copy: Copy = "workshop") -> str:
    document = quote_pdf(quote, link=LINK, paper="A4", copy=copy)
    pages = pypdf.PdfReader(io.BytesIO(document)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_it_tells_how_to_build_and_set_up_and_what_it_is_for(shop: Engine, ask: Ask) -> None:
    quote = ask(shop, slot="7.5")
    text = text_of(quote)
    for line in quote.content.price.lines:
        assert " ".join(line.item.split()) in text
    for setting in quote.content.assembly:
        assert setting.label in text
    assert "7.5 mm" in text
    assert "Before the first ride" in text


def test_it_holds_no_price(shop: Engine, ask: Ask) -> None:
    quote = ask(shop)
    text = text_of(quote)
    assert "EUR" not in text
    assert not re.search(r"\b[0-9]{1,3}(,[0-9]{3})+\.[0-9]{2}\b", text)
    assert quote.customer.mail not in text


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_it_is_accessible_and_prints_the_same_bytes(
    shop: Engine, ask: Ask, paper: Literal["A4", "Letter"], caplog: pytest.LogCaptureFixture
) -> None:
    quote = ask(shop)
    with caplog.at_level(logging.WARNING):
        one, two = (quote_pdf(quote, link=LINK, paper=paper, copy="workshop") for _ in range(2))
    assert one == two
    assert "PDF/UA" not in caplog.text
    assert b"pdfuaid" in one
    assert len(pypdf.PdfReader(io.BytesIO(one)).pages) == 2


def test_hostile_text_prints_as_text(shop: Engine, ask: Ask) -> None:
    hostile = '#panic("x") *b* $x$ `#read("/etc/passwd")` <a> \\'
    quote = ask(shop, customer=Customer(name=hostile, mail="a@b.example"))
    deal = Deal(workshop_note=hostile, message=hostile)
    content = quote.content.model_copy(update={"deal": deal})
    quote = replace(quote, content=content)
    copies: tuple[Copy, ...] = ("customer", "workshop")
    for copy in copies:
        assert '#panic("x") *b* $x$' in text_of(quote, copy)
