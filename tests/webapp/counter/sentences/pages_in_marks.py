"""Pages, mails and paper of a service whose sentences stand between marks.

Run by ``test_marks.py`` in a process of its own, with ``SERVICE_LANGUAGE=pseudo``:
many sentences are read when the code is imported. Text outside all marks must be
the builder's own (the catalogue), the customer's, a number, a unit or a symbol.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import select

from geometry.glossary import GLOSSARY
from tests.webapp.counter.conftest import CUSTOMER, Desk, PutQuote, SignIn, pdf_text
from tests.webapp.counter.versions.test_accepted_version import accept
from webapp.catalogue.schema.part_kinds import PART_KINDS
from webapp.catalogue.schema.validation import checked
from webapp.common.errors import Invalid
from webapp.common.paths import ROOT
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import CLOSING, OPENING
from webapp.mail.tables import Mail
from webapp.office.revisions.drafts import begin_draft
from webapp.office.settings.sections import SECTIONS

MARKED = re.compile(f"{OPENING}[^{OPENING}{CLOSING}]*{CLOSING}")
BREAK = "\x00"
WORD = re.compile(r"[^\W\d_]{3,}")

NO_SENTENCES = {
    # units, currencies, standards and formats, the same in every language
    "EUR", "deg", "ISO", "CFR", "CSV", "JSON", "PDF", "DIN", "UTC", "rpm", "BB", "VAT",
    "Letter", "SQLite", "PostgreSQL", "Stancewright", "QR",
    # names of the JSON interface and codes shown as such beside their words
    "json", "csv", "html",
}  # fmt: skip
HIDDEN = {"script", "style", "head"}


class Texts(HTMLParser):
    """The text people read, and the labels read to them."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.within: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in HIDDEN | {"code", "pre", "option"}:
            self.within.append(tag)
        for name, value in attrs:
            if name in {"aria-label", "title", "placeholder", "alt"} and value:
                self.found.append(value)

    def handle_endtag(self, tag: str) -> None:
        if self.within and self.within[-1] == tag:
            self.within.pop()

    def handle_data(self, data: str) -> None:
        if not self.within:
            self.found.append(data)


SYMBOLS = {found.symbol for found in GLOSSARY.values()}
DATE = re.compile(r"\b\d{1,2} [A-Z][a-z]+ \d{4}\b")
TERMS = re.compile(r"\S{1,4} = .*")  # a formula, with symbols or with numbers: everybody's
ADDRESS = re.compile(r"\S*/\S*|\S+@\S+")


CODES = {"place", "part"}  # never shown, so that a page which shows one is found


def of_the_builder() -> list[str]:
    """Every text of the demo catalogue, longest first."""
    found: set[str] = set()

    def gather(value: object) -> None:
        if isinstance(value, str):
            found.add(value)
        elif isinstance(value, dict):
            for key, each in value.items():
                if key not in CODES:
                    gather(each)
        elif isinstance(value, list):
            for each in value:
                gather(each)

    for file in (ROOT / "demo_data").rglob("*.toml"):
        gather(tomllib.loads(file.read_text()))
    texts = {each for text in found for each in (text, *text.splitlines())}
    return sorted((t for t in texts if WORD.search(t)), key=len, reverse=True)


BUILDER = of_the_builder()
# who made an edit is kept as it was written
THEIRS = [CUSTOMER.name, CUSTOMER.mail, CUSTOMER.note, "Edda", "edda", "demo data"]
OWN = [each.lower() for each in (*THEIRS, *BUILDER)]


@cache
def unmarked(text: str) -> list[str]:
    """Words outside all marks that nobody but the program can have written."""
    before = None
    while before != text:
        before, text = text, MARKED.sub(" ", text)
    text = text.replace(OPENING, " ").replace(CLOSING, " ").strip()
    if TERMS.fullmatch(text) or text in SYMBOLS:
        return []
    text = ADDRESS.sub(" ", DATE.sub(" ", text))
    lowered = text.lower()
    for own in OWN if WORD.search(text) else ():
        at = lowered.find(own)
        while at >= 0:
            text = f"{text[:at]} {text[at + len(own) :]}"
            lowered = text.lower()
            at = lowered.find(own)
    return [word for word in WORD.findall(text) if word not in NO_SENTENCES]


def of_page(html: str) -> list[str]:
    """Pieces of a page with words outside all marks."""
    parser = Texts()
    parser.feed(html)
    joined = BREAK.join(parser.found)
    before = None
    while before != joined:
        before, joined = joined, MARKED.sub(" ", joined)
    return [each.strip()[:120] for each in joined.split(BREAK) if unmarked(each)]


RIDER = [
    "/", "/fit/knapweed", "/fit/knapweed?stature=1750&inseam=820&weight=80",
    "/fit/burdock?stature=1500", "/build/knapweed?size=m", "/build/knapweed?size=xs&stature=1900",
    "/build/burdock?size=m", "/build/knapweed/drive?size=m",
    "/side-by-side?build=knapweed%3Fsize%3Dm&build=knapweed%3Fsize%3Dl",
    "/table/knapweed", "/quote/knapweed?size=m",
]  # fmt: skip
SHOP = [
    "/counter", "/counter/new/knapweed?size=m", "/counter/records", "/account",
    "/counter/customers", "/counter/customers/new",
]  # fmt: skip


OFFICE = [
    "/office", "/office/models/knapweed", "/office/models/knapweed/1",
    "/office/models/knapweed/2/effect", "/office/models/knapweed/changes?from=1&to=2",
    "/office/models/knapweed/3", "/office/models/knapweed/3/shared",
    "/office/models/knapweed/3/size/m", "/office/models/knapweed/3/publish",
    "/office/parts", *(f"/office/parts?kind={kind}" for kind in PART_KINDS),
    *(f"/office/parts/{kind}/new" for kind in PART_KINDS), "/office/parts/fork/suspension-130",
    "/office/prices", "/office/prices/eur-2026?kind=fork", "/office/settings",
    *(each.address for each in SECTIONS), "/office/shop",
    "/office/settings/names", "/office/settings/styles/trail", "/office/history",
    "/office/bench", "/office/bench/measure?model=knapweed&size=m", "/office/keeping",
    "/office/people", "/office/people/refusals", "/office/import",
    "/office/bench/serials", "/office/part-changes", "/office/price-groups",
    "/office/prices/eur-2026/rise", "/office/learned", "/office/shop", "/office/models/new",
]  # fmt: skip


def check(pages: Iterator[tuple[str, str]]) -> None:
    wrong = [f"{path}: {each!r}" for path, html in pages for each in of_page(html)]
    assert not wrong, f"{len(wrong)} texts\n" + "\n".join(dict.fromkeys(wrong))


def test_the_rider_s_pages(client: TestClient) -> None:
    def pages() -> Iterator[tuple[str, str]]:
        for path in RIDER:
            answer = client.get(path, follow_redirects=True)
            assert OPENING in answer.text, path
            yield path, answer.text

    check(pages())


def test_the_customer_s_page_and_the_paper(
    quote: PutQuote, client: TestClient, desk: Desk, sign_in: SignIn
) -> None:
    asked = quote(size="m")
    check(iter([("quote", client.get(f"/q/{asked.token}").text)]))
    accept(client, asked.token)
    check(iter([("accepted", client.get(f"/q/{asked.token}").text)]))
    desks = f"/counter/quotes/{asked.number}/sheet.pdf?copy=workshop"
    for path in (f"/q/{asked.token}/sheet.pdf", desks):
        paper = desk.get(path)
        assert paper.status_code == 200, path
        # the link, which is printed with places to break, is no sentence
        words = [w for w in unmarked(pdf_text(paper.content)) if w not in asked.token]
        assert not words, (path, words)


def test_the_shop_s_pages(sign_in: SignIn, quote: PutQuote) -> None:
    number = quote(size="m").number
    builder = sign_in("builder", "Edda")

    def pages() -> Iterator[tuple[str, str]]:
        own = [f"/counter/quotes/{number}", f"/counter/quotes/{number}/terms"]
        for path in SHOP + own:
            answer = builder.client.get(path, follow_redirects=True)
            if answer.status_code == 404:
                pytest.fail(f"no page {path}")
            yield path, answer.text

    check(pages())


def test_the_builder_s_pages(sign_in: SignIn, app: FastAPI) -> None:
    with writing(app.state.engine) as session:
        begin_draft(session, who="Edda", model="knapweed")
    builder = sign_in("builder", "Edda")

    def pages() -> Iterator[tuple[str, str]]:
        for path in OFFICE:
            answer = builder.client.get(path, follow_redirects=True)
            assert answer.status_code == 200, path
            assert OPENING in answer.text, path
            yield path, answer.text

    check(pages())


def test_what_is_refused_of_data_is_a_sentence() -> None:
    for kind in PART_KINDS.values():
        with pytest.raises(Invalid) as caught:
            checked(kind, {"mass": 1e6, "note": "x" * 5000})
        for problem in caught.value.problems:
            assert not unmarked(problem.remedy), problem


def test_mails(app: FastAPI, quote: PutQuote, client: TestClient) -> None:
    accept(client, quote(size="m").token)
    with reading(app.state.engine) as session:
        for mail in session.scalars(select(Mail)):
            assert not unmarked(f"{mail.subject}\n{mail.body}"), mail.subject


def test_marks_are_seen(tmp_path: Path) -> None:
    assert unmarked(f"{OPENING}The axle sits at 6 mm{CLOSING}") == []
    assert unmarked("The grips stand at 6 mm") == ["The", "grips", "stand"]
