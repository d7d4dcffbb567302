"""No code reaches a reader: every page and the paper of the demo shop, as rendered."""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping
from html.parser import HTMLParser
from typing import Any
from urllib.parse import urlencode

import pypdf
import pytest

from tests.webapp.builds.plain_words import Codes, codes_of, read_by_nobody
from tests.webapp.counter.conftest import Desk, PutQuote, SignIn
from webapp.builds.choice.places import PLACES
from webapp.catalogue.reading.views import Catalogue
from webapp.office.settings.sections import SECTIONS

Catalogues = Mapping[tuple[str, int], Catalogue]

MODELS = ("knapweed", "burdock")
ALONE = ("fork", "hub", "transmission")  # places mismatched one at a time
# Fields of the office and its columns of codes hold codes, for that is what they are for.
_PROSE = frozenset({"reason", "remedy", "name", "label", "words", "note", "source", "figure"})
_UNSEEN = frozenset({"script", "style", "textarea", "code"})
_EMPTY = frozenset({"input", "br", "img", "link", "meta", "hr", "wbr", "source"})


class _Visible(HTMLParser):
    """Collects the text that a browser shows, leaving out what `_UNSEEN` holds."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.texts: list[str] = []

    def handle_starttag(self, tag: str, _attrs: list[tuple[str, str | None]]) -> None:
        if tag not in _EMPTY:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        while tag in self.open and self.open.pop() != tag:
            pass

    def handle_data(self, data: str) -> None:
        if not _UNSEEN & set(self.open):
            self.texts.append(data)


def visible(page: str) -> str:
    """What stands on a page, spaces folded."""
    parser = _Visible()
    parser.feed(page)
    return " ".join(" ".join(parser.texts).split())


def printed(document: bytes) -> str:
    """What stands on paper, without the marks where long words may break."""
    pages = pypdf.PdfReader(io.BytesIO(document)).pages
    words = " ".join(page.extract_text() for page in pages).replace("\u200b", "")
    return " ".join(words.split())


@pytest.fixture(scope="module")
def codes(catalogues: Catalogues) -> Codes:
    return codes_of(catalogues.values())


def _mismatched(catalogue: Catalogue) -> Iterator[str]:
    """The usual build, then parts least like the usual one: some alone, then all of them."""
    last = {
        place.name: offered[-1].slug
        for place in PLACES
        if (offered := catalogue.offered(place.kind))
    }
    yield ""
    for place in ALONE:
        yield urlencode({place: last[place]})
    yield urlencode([*last.items(), *(("extra", one.slug) for one in catalogue.offered("extra"))])


def _newest(catalogues: Catalogues, model: str) -> Catalogue:
    return max(
        (c for (slug, _), c in catalogues.items() if slug == model),
        key=lambda catalogue: catalogue.revision.number,
    )


@pytest.mark.parametrize("model", MODELS)
def test_no_page_of_a_build_shows_a_code(
    model: str, desk: Desk, catalogues: Catalogues, codes: Codes
) -> None:
    shown = {}
    *single, every = _mismatched(_newest(catalogues, model))
    for query in (*single, every):
        shown[query] = desk.get(f"/build/{model}?{query}")
    for page in ("build/{}/drive", "quote/{}", "fit/{}", "table/{}", "counter/new/{}"):
        for query in ("", every):
            address = f"/{page.format(model)}?{query}"
            shown[address] = desk.get(address)
    pair = urlencode([("build", f"{model}?"), ("build", f"{model}?{every}")])
    shown["pair"] = desk.get(f"/side-by-side?{pair}")
    _none_shown({at: visible(answer.text) for at, answer in shown.items()}, codes)


def _none_shown(texts: Mapping[str, str], codes: Codes) -> None:
    assert all(texts.values())
    assert not {at: found for at, text in texts.items() if (found := read_by_nobody(text, codes))}


@pytest.mark.parametrize("model", MODELS)
def test_no_paper_or_counter_page_shows_a_code(
    model: str, desk: Desk, quote: PutQuote, catalogues: Catalogues, codes: Codes
) -> None:
    *_, every = _mismatched(_newest(catalogues, model))
    made = desk.post(f"/counter/new/{model}?{every}", {"name": "Ada", "mail": "ada@marl.example"})
    bad = made.headers["location"].rpartition("/")[2]
    good = quote(model=model)
    desk.terms(good.number, quantity="2", workshop_note="Grease.")
    texts = {}
    texts["sheet"] = visible(desk.get(f"/q/{good.token}").text)
    for number in (good.number, bad):
        at = f"/counter/quotes/{number}"
        for page in ("", "/build", "/terms", "/compare", "/workshop"):
            texts[at + page] = visible(desk.get(at + page).text)
        for copy in ("customer", "workshop"):
            paper = f"{at}/sheet.pdf?copy={copy}"
            texts[paper] = printed(desk.get(paper).content)
    texts["/counter"] = visible(desk.get("/counter").text)
    _none_shown(texts, codes)


def test_no_prose_of_the_office_shows_a_code(
    sign_in: SignIn, catalogues: Catalogues, codes: Codes
) -> None:
    builder = sign_in("builder")
    addresses = ["/office", "/office/parts", "/office/shop", "/office/history"]
    addresses += [section.address for section in SECTIONS]
    for catalogue in (_newest(catalogues, model) for model in MODELS):
        addresses.append(f"/office/models/{catalogue.model.slug}")
        for kind, parts in catalogue.parts.items():
            addresses.append(f"/office/parts?kind={kind}")
            addresses += [f"/office/parts/{kind}/{part.slug}" for part in parts[:2]]
    _none_shown({at: visible(builder.get(at).text) for at in dict.fromkeys(addresses)}, codes)


def _sentences(told: Any) -> Iterator[str]:
    """What an answer in JSON says to people: every reason, remedy, name and note in it."""
    if isinstance(told, dict):
        for key, value in told.items():
            if key in _PROSE and isinstance(value, str):
                yield value
            else:
                yield from _sentences(value)
    elif isinstance(told, list):
        for value in told:
            yield from _sentences(value)


@pytest.mark.parametrize("model", MODELS)
def test_no_sentence_of_the_interface_holds_a_code(
    model: str, desk: Desk, catalogues: Catalogues, codes: Codes
) -> None:
    catalogue = _newest(catalogues, model)
    texts = {}
    wrong = [f"{place.name}=nonsense" for place in PLACES] + ["extra=nonsense", "slot=900"]
    for path in ("checks", "table.json"):
        for query in (*_mismatched(catalogue), *wrong):
            answer = desk.get(f"/api/v1/models/{model}/{path}?{query}")
            assert answer.status_code == (422 if query in wrong else 200), query
            texts[f"{path}?{query}"] = " | ".join(_sentences(answer.json())) or "nothing said"
    _none_shown(texts, codes)


@pytest.mark.parametrize("model", MODELS)
def test_no_refusal_of_a_choice_names_a_code(model: str, desk: Desk, codes: Codes) -> None:
    texts = {
        name: visible(desk.get(f"/build/{model}?{name}=nonsense").text)
        for name in (*(place.name for place in PLACES), "extra")
    }
    assert all("one of these: " in text.lower() for text in texts.values())
    _none_shown(texts, codes)
