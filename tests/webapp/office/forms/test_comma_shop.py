"""In a shop that writes a decimal comma its people's fields do so too, and are read so."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html.parser import HTMLParser

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import Session

from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.writing.shop import put_settings
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import use_number_style
from webapp.common.text.money import Money
from webapp.common.text.typed_numbers import read_amount
from webapp.office.forms.typed_numbers import read_in_file, read_number

POINT = re.compile(r"[-\N{MINUS SIGN}]?\d+\.\d+( ?%| [A-Z]{3})?")
COMMA = re.compile(r"[-\N{MINUS SIGN}]?\d+,\d+( ?%| [A-Z]{3})?")
TYPED = {"name": "Ada Marl", "mail": "ada@marl.example"}
DRAFT = "/office/models/knapweed/3"
SAVED = {  # pages whose form is sent as it stands, and what it is sent to
    DRAFT: f"{DRAFT}/sizes",
    f"{DRAFT}/shared": f"{DRAFT}/shared",
    f"{DRAFT}/size/m": f"{DRAFT}/size/m",
    "/office/parts/fork/suspension-130": "/office/parts/fork/suspension-130",
    "/office/parts/headset/semi-integrated": "/office/parts/headset/semi-integrated",
    "/office/prices/eur-2026?kind=fork": "/office/prices/eur-2026/amounts?kind=fork",
    "/office/settings/styles/trail": "/office/settings/styles/trail",
    "/office/settings/sizes": "/office/settings/sizes",
}
SHOWN = (
    "/office/shop",
    "/office/models/new",
    "/office/bench/measure?model=knapweed",
    "/office/coverage/knapweed?men=62,5",
    "/office/coverage/knapweed/batch?men=62,5",
    "/office/models/knapweed/changes?from=1&to=2&slot=7.5",
)
FILES = ("/office/import/parts.csv", "/table/knapweed/revision/2/drawn.csv",
         "/table/knapweed/revision/2/drawn.json", "/api/v1/models/knapweed/table.csv")  # fmt: skip


class Fields(HTMLParser):
    """What a form would send, and the texts that people see in its fields."""

    def __init__(self, page: str, action: str = "") -> None:
        super().__init__()
        self.sent: dict[str, str] = {}
        self.seen: dict[str, str] = {}
        self._inside, self._area, self._select = not action, "", ""
        self._action = action
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        if tag == "form" and self._action and found.get("method") == "post":
            self._inside = found.get("action") == self._action
        name = found.get("name", "")
        if not self._inside or not name:
            if self._select and tag == "option" and "selected" in found:
                self.sent[self._select] = found.get("value", "")
            return
        kind = found.get("type", "text")
        if tag == "input" and kind in {"checkbox", "radio"}:
            if "checked" in found:
                self.sent[name] = found.get("value", "on")
        elif tag == "input":
            self.sent[name] = found.get("value", "")
            if kind == "text":
                self.seen[name] = self.sent[name]
        elif tag == "textarea":
            self._area, self.sent[name] = name, ""
        elif tag == "select":
            self._select = name
            self.sent.setdefault(name, "")

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea" and self._area:
            self.seen[self._area] = self.sent[self._area] = self.sent[self._area].removeprefix("\n")
            self._area = ""
        elif tag == "select":
            self._select = ""

    def handle_data(self, data: str) -> None:
        if self._area:
            self.sent[self._area] += data


@pytest.fixture
def comma_shop(builder: TestClient, app: FastAPI) -> Iterator[TestClient]:
    """The builder of a shop that writes numbers as in Norway, with a draft."""
    with writing(app.state.engine) as session:
        _write_like(session, "nb_NO")
    builder.post("/office/models/knapweed/draft")
    yield builder
    use_number_style("")


def _write_like(session: Session, code: str) -> None:
    data = settings_data(session).model_dump(mode="json") | {"number_style": code}
    put_settings(session, who="test", data=data)


def test_every_number_in_a_field_has_a_comma(comma_shop: TestClient) -> None:
    comma_shop.post("/quote/knapweed", data=TYPED)
    commas = 0
    for path in (*SAVED, *SHOWN):
        answer = comma_shop.get(path)
        assert answer.status_code == 200, path
        seen = Fields(answer.text).seen
        lines = [(name, line) for name, text in seen.items() for line in text.split("\n")]
        assert [each for each in lines if POINT.fullmatch(each[1].strip())] == [], path
        commas += sum(bool(COMMA.fullmatch(line.strip())) for _, line in lines)
    assert commas > 50


def test_a_form_sent_as_it_stands_changes_nothing(comma_shop: TestClient) -> None:
    for path, action in SAVED.items():
        before = Fields(comma_shop.get(path).text, action).sent
        opened = {name: before[name] for name in ("stamp", "base") if name in before}
        answer = comma_shop.post(action, data=before, follow_redirects=False)
        assert answer.status_code == 303, (path, answer.text[:3000])
        assert Fields(comma_shop.get(path).text, action).sent | opened == before


def test_both_signs_are_read_and_what_was_typed_wrongly_comes_back(comma_shop: TestClient) -> None:
    own, action = Fields(comma_shop.get(DRAFT).text, SAVED[DRAFT]).sent, SAVED[DRAFT]
    kept = []
    for typed in ("66,25", "66.75"):
        comma_shop.post(action, data=own | {"m.head_angle": typed})
        own = Fields(comma_shop.get(DRAFT).text, action).sent
        kept.append(own["m.head_angle"])
    assert kept == ["66,25", "66,75"]
    refused = comma_shop.post(action, data=own | {"m.head_angle": "6.6.5"})
    assert refused.status_code == 422
    assert Fields(refused.text, action).sent["m.head_angle"] == "6.6.5"


def test_terms_of_a_quote_are_written_and_read_with_a_comma(comma_shop: TestClient) -> None:
    comma_shop.post("/quote/knapweed", data=TYPED)
    number = re.search(r"/counter/quotes/([\d-]+)", comma_shop.get("/counter").text)
    assert number
    quote = f"/counter/quotes/{number[1]}"
    form = Fields(comma_shop.get(f"{quote}/terms").text, f"{quote}/terms").sent
    given = {"discount": "7,5 %", "discount_reason": "friend", "delivery": "1 250,50",
             "deposit": "12,5 %", "delivery_tax": "12.5"}  # fmt: skip
    answer = comma_shop.post(f"{quote}/terms", data=form | given, follow_redirects=False)
    assert answer.status_code == 303, answer.text[:3000]
    shown = Fields(comma_shop.get(f"{quote}/terms").text).seen
    assert (shown["discount"], shown["delivery"]) == ("7,5 %", "1250,50")
    assert (shown["deposit"], shown["delivery_tax"]) == ("12,5 %", "12,5 %")


def test_files_for_machines_keep_the_point(comma_shop: TestClient, app: FastAPI) -> None:
    with_comma = [comma_shop.get(path).content for path in FILES]
    with writing(app.state.engine) as session:
        _write_like(session, "en")
    assert [comma_shop.get(path).content for path in FILES] == with_comma
    assert any(re.search(rb"\d\.\d", each) for each in with_comma)


def test_an_amount_with_three_places_is_read_as_it_is_printed(
    comma_shop: TestClient, app: FastAPI
) -> None:
    comma_shop.get("/office")
    with reading(app.state.engine) as session:
        assert settings_data(session).number_style == "nb_NO"
    amount = Money(1250, "KWD")
    assert amount.typed() == "1,250"
    assert read_amount("price", amount.typed(), "KWD") == amount
    assert read_amount("price", amount.plain(), "KWD") == amount


# What people of countries with a comma write for a thousand is written elsewhere for one, and the
# reverse (ISO 80000-1:2022, section 7.3, allows both signs): neither is read without asking.
@pytest.mark.parametrize(
    ("typed", "with_comma", "with_point"),
    [
        ("1,5", 1.5, 1.5), ("1.5", 1.5, 1.5), ("12,75", 12.75, 12.75),
        ("1.250", None, 1.25), ("1,250", 1.25, None), ("-12.500", None, -12.5),
        ("0.250", 0.25, 0.25), ("0,250", 0.25, 0.25), ("1250", 1250, 1250),
        ("1.234,5", None, None), ("1,234.5", None, None), ("1 234,5", None, None),
        ("1\u00a0234,5", 1234.5, 1234.5), ("1234.567", 1234.567, 1234.567),
    ],
)  # fmt: skip
def test_no_number_is_read_as_a_thousandth_of_it(
    typed: str, with_comma: float | None, with_point: float | None
) -> None:
    try:
        for style, wanted in (("nb_NO", with_comma), ("en", with_point)):
            use_number_style(style)
            assert read_number(typed) == (typed if wanted is None else wanted), style
            if typed.count(",") + typed.count(".") == 1 and " " not in typed:
                assert read_in_file(typed) == (with_comma or with_point)
    finally:
        use_number_style("")
