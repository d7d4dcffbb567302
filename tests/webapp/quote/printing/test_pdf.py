"""The sheet on paper: same figures, same bytes, hostile text printed as text."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from typing import Any

import pypdf
import pytest
from sqlalchemy import Engine

from tests.webapp.quote.conftest import CUSTOMER, Ask
from webapp.quote.agreed_terms.deal import Deal
from webapp.quote.customer import Customer
from webapp.quote.printing.pdf import Paper, fonts, quote_pdf, template_of
from webapp.quote.storage.read import QuoteView

LINK = "https://shop.example/q/abcdefgh"
POINTS_PER_MM = 72 / 25.4
PAPERS: tuple[Paper, ...] = ("A4", "Letter")


@pytest.fixture
def quote(shop: Engine, ask: Ask) -> QuoteView:
    """A quote of the trail bike."""
    return ask(shop, slot="7.5")


def read(document: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(document))


def text_of(document: bytes) -> str:
    """All text, without the invisible marks where long words may break."""
    pages = (page.extract_text() for page in read(document).pages)
    return "\n".join(pages).replace("\u200b", "")


@pytest.mark.parametrize(
    ("paper", "width", "height"), [("A4", 210.0, 297.0), ("Letter", 215.9, 279.4)]
)
def test_two_pages_of_the_right_paper(
    quote: QuoteView, paper: Paper, width: float, height: float
) -> None:
    pages = read(quote_pdf(quote, link=LINK, paper=paper)).pages
    assert len(pages) == 2
    for at, page in enumerate(pages, start=1):
        assert float(page.mediabox.width) / POINTS_PER_MM == pytest.approx(width, abs=0.1)
        assert float(page.mediabox.height) / POINTS_PER_MM == pytest.approx(height, abs=0.1)
        assert f"{at} of 2" in page.extract_text()


@pytest.mark.parametrize("query", [{}, {"stature": "178", "inseam": "84"}, {"scope": "frame"}])
def test_letter_takes_as_few_pages_as_a4_whatever_is_said(
    shop: Engine, ask: Ask, query: dict[str, str]
) -> None:
    customer = Customer(name="Ada Marl", mail="ada@marl.example", note="Forest tracks. " * 12)
    quote = ask(shop, customer=customer, **query)
    message = Deal(message="Bars a little higher, as agreed.\n" * 6)
    said = replace(quote, content=quote.content.model_copy(update={"deal": message}))
    for one in (quote, said):
        for paper in PAPERS:
            assert len(read(quote_pdf(one, link=LINK, paper=paper)).pages) == 2


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_no_page_holds_a_few_lines_alone(quote: QuoteView, paper: Paper) -> None:
    """What goes on to a third page takes the figures along, however much is said."""
    for count in range(8, 26, 3):
        said = "\n".join(f"line {at} of what is said" for at in range(count))
        deal = quote.content.deal.model_copy(update={"message": said})
        content = quote.content.model_copy(update={"deal": deal})
        pages = read(quote_pdf(replace(quote, content=content), link=LINK, paper=paper)).pages
        last = pages[-1].extract_text()
        assert "Wheelbase" in last, (count, len(pages), last)
        assert "Frozen on" in last


def test_the_first_page_carries_a_drawing_and_is_filled(shop: Engine, ask: Ask) -> None:
    for query in ({}, {"scope": "frame"}):
        quote = ask(shop, **query)
        first = read(quote_pdf(quote, link=LINK, paper="A4")).pages[0]
        words = first.extract_text()
        assert "wheelbase" in words
        assert "stack" in words
        # Between the letterhead and the cautions at its foot, text reaches below the middle.
        foot = 45 * POINTS_PER_MM
        lowest = min(y for y in _heights(first) if y > foot)
        assert lowest < float(first.mediabox.height) / 2


def _heights(page: pypdf.PageObject) -> list[float]:
    """Where the lines of a page stand [points from its foot]."""
    found: list[float] = []

    def seen(text: str, whole: list[float], at: list[float], *_: Any) -> None:
        if text.strip():
            found.append(at[4] * whole[1] + at[5] * whole[3] + whole[5])

    page.extract_text(visitor_text=seen)
    return found


def test_name_mail_and_link_can_be_copied(shop: Engine, ask: Ask) -> None:
    """As they are, without marks that are not seen; long ones are set smaller instead."""
    name, mail = (
        "Maximiliana " + "Featherstonehaughcholmondeley",
        f"{'maximiliana.' * 3}marl@post.example",
    )
    link = f"https://{'long-name-of-a-shop.' * 3}example/q/{'x' * 24}"
    for query in ({}, {"scope": "frame"}):
        quote = ask(shop, customer=Customer(name=name, mail=mail), **query)
        first = read(quote_pdf(quote, link=link, paper="A4")).pages[0].extract_text()
        for words in (*name.split(), mail, link):
            assert words in first


def test_a_version_from_before_keeps_the_layout_it_was_frozen_for(quote: QuoteView) -> None:
    drawing = quote.content.drawing.model_copy(update={"small": "", "small_width": 0.0})
    old = replace(quote, content=quote.content.model_copy(update={"drawing": drawing}))
    assert template_of(old, "customer") == "quote_1.typ"
    assert template_of(quote, "customer") == "quote.typ"
    assert "wheelbase" not in read(quote_pdf(old, link=LINK, paper="A4")).pages[0].extract_text()


def test_the_same_quote_gives_the_same_bytes(quote: QuoteView) -> None:
    first = quote_pdf(quote, link=LINK, paper="A4")
    assert quote_pdf(quote, link=LINK, paper="A4") == first
    assert quote_pdf(quote, link=LINK, paper="Letter") != first


def test_its_clock_is_the_quotes(quote: QuoteView) -> None:
    metadata = read(quote_pdf(quote, link=LINK, paper="A4")).metadata
    assert metadata is not None
    assert metadata.creation_date == quote.created_at
    assert metadata.title == f"Quote {quote.number}, version 1"


def test_everything_quoted_is_on_paper(quote: QuoteView) -> None:
    text = " ".join(text_of(quote_pdf(quote, link=LINK, paper="A4")).replace("\u202f", " ").split())
    content = quote.content
    for figure in content.figures:
        (first, *rest), off = figure.cells, figure.tolerances[0]
        assert " ".join((first, "±", off, *rest)) in text, figure.name
    for line in content.price.lines:
        assert line.item in text
        assert line.amount.printed.removesuffix(" EUR") in text
    for total in content.price.totals:
        assert total.amount.removesuffix(" EUR") in text
    for words in (*content.cautions, *content.terms, *content.letterhead.lines):
        assert words in text
    for setting in content.settings:
        assert setting.value in text
    for words in (quote.number, "1 March 2026", "31 March 2026", CUSTOMER.name, CUSTOMER.mail):
        assert words in text
    assert CUSTOMER.note in text
    assert LINK in text


def test_it_is_tagged_and_says_so(quote: QuoteView) -> None:
    reader = read(quote_pdf(quote, link=LINK, paper="A4"))
    root: Any = reader.root_object
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
    xmp = reader.xmp_metadata
    assert xmp is not None
    # ISO 14289-1 marks a conforming file with pdfuaid:part 1.
    assert re.search(rb"pdfuaid:part[^0-9]*1", xmp.stream.get_data())


def test_only_the_fonts_of_the_project_are_used(quote: QuoteView) -> None:
    assert fonts().families() == ["DejaVu Sans", "Sofia Sans"]
    reader = read(quote_pdf(quote, link=LINK, paper="A4"))
    resources: list[Any] = [page["/Resources"] for page in reader.pages]
    embedded = {
        str(font.get_object()["/BaseFont"]).partition("+")[2]
        for resource in resources
        for font in resource["/Font"].values()
    }
    assert embedded
    assert all(name.startswith(("SofiaSans", "DejaVuSans")) for name in embedded)


HOSTILE = [
    '#eval("1+1") #import "parts.typ": * #read("quote.typ")',
    "$x^2$ *bold* _thin_ `raw` // gone? /* gone */ <label> @ref \\ \\u{41} = Title",
    "#{ panic() } [ ] ] } { ) ( #",
    "Ω≈ç√ — “quotes” ‘single’ … fi ﬁ",
]


@pytest.mark.parametrize("text", HOSTILE)
def test_markup_in_a_text_is_printed_as_text(quote: QuoteView, text: str) -> None:
    customer = replace(quote.customer, name=text, note=text)
    printed = text_of(quote_pdf(replace(quote, customer=customer), link=LINK, paper="A4"))
    close = re.sub(r"\s", "", printed).replace("ﬁ", "fi")
    assert close.count(re.sub(r"\s", "", text).replace("ﬁ", "fi")) >= 2


@pytest.mark.parametrize("text", ["x" * 10_000, "word " * 2_000], ids=["one word", "many words"])
def test_a_text_of_any_length_stays_on_the_paper(quote: QuoteView, text: str) -> None:
    """An x of 8.4 points is about 4 points wide: 510 points of paper hold under 135 of them."""
    customer = replace(quote.customer, name=text[:120], note=text)
    printed = text_of(quote_pdf(replace(quote, customer=customer), link=LINK, paper="Letter"))
    letter = text[0]
    assert printed.count(letter) >= text.count(letter)
    assert max(len(line) for line in printed.splitlines()) < 180
    assert max(line.count(letter * 10) for line in printed.splitlines()) < 14


def test_right_to_left_names_are_printed(quote: QuoteView) -> None:
    customer = replace(quote.customer, name="שלום עולם")
    printed = text_of(quote_pdf(replace(quote, customer=customer), link=LINK, paper="A4"))
    assert "שלום" in printed


@pytest.mark.parametrize("name", ["山田太郎", "🚲 Ada", "\U000e0041x"])
def test_a_name_no_font_here_has_still_gets_its_sheet(
    quote: QuoteView, name: str, caplog: pytest.LogCaptureFixture
) -> None:
    customer = replace(quote.customer, name=name)
    document = quote_pdf(replace(quote, customer=customer), link=LINK, paper="A4")
    assert len(read(document).pages) == 2
    assert quote.content.price.gross.printed.removesuffix(" EUR") in text_of(document)


def test_the_other_model_fits_its_pages_too(shop: Engine, ask: Ask) -> None:
    for paper in PAPERS:
        assert len(read(quote_pdf(ask(shop, "burdock"), link=LINK, paper=paper)).pages) == 2
