"""One's own shop in the place of the demo: nothing of the demo is left, wherever one looks."""

from __future__ import annotations

import re
from html import unescape
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import select

from tests.architecture.test_requests import TYPED
from webapp.accounts.tables import Account
from webapp.archive.row_values import read_lines, tables
from webapp.catalogue.starting import FIRST_MAIL
from webapp.catalogue.tables import FrameModel, PriceList, RidingStyle
from webapp.common.storage.database import reading, writing
from webapp.common.text.colours import PAPER, contrast
from webapp.common.text.language import use_number_style
from webapp.common.timestamps import use_zone
from webapp.quote.states import State
from webapp.quote.tables import Quote

AT = "/office/shop"
OWN = {
    "letterhead.name": "Larch and Rivet", "letterhead.lines": "1 Sample Street\r\n00000 Sample",
    "letterhead.country": "NO", "letterhead.email": "desk@larch.example", "currency": "NOK",
    "tax": "none", "units": "metric", "paper": "A4", "time_zone": "Europe/Oslo",
    "number_style": "fr", "look.accent": "#14506b",
}  # fmt: skip
MARK = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path d="M0 0h9v9z"/></svg>'
DEMO = re.compile(
    rb"cinder|knapweed|burdock|ashlock|long.distance|soot black|lichen|suspension", re.IGNORECASE
)


@pytest.fixture(autouse=True)
def _as_before() -> Any:
    """Numbers and moments are told by one shop's ways in a process: the next test's are its own."""
    yield
    use_number_style("")
    use_zone("UTC")


def opened(builder: TestClient) -> dict[str, str]:
    """What the form says of how it was opened."""
    page = builder.get(AT).text
    found = (re.search(f'name="{name}" value="([^"]*)"', page) for name in ("stamp", "base"))
    stamp, base = (unescape(each[1]) for each in found if each)
    return {"stamp": stamp, "base": base}


def keep(builder: TestClient, **more: str) -> Any:
    file = {"file": ("mark.svg", MARK, "image/svg+xml")}
    sent = OWN | opened(builder) | more
    return builder.post(AT, data=sent, files=file, follow_redirects=False)


def remains(app: FastAPI) -> list[str]:
    """Rows in which anything of the demo stands."""
    found = []
    with app.state.engine.connect() as connection:
        for table in tables():
            found += [table.name for line in read_lines(connection, table) if DEMO.search(line)]
    return found


def test_the_demo_goes_out_in_one_step_and_leaves_nothing(
    builder: TestClient, app: FastAPI
) -> None:
    shown = builder.get("/office").text
    assert 'href="/office/shop"' in shown
    assert "Begin your own shop" in shown
    assert remains(app)
    answer = keep(builder)
    assert (answer.status_code, answer.headers["location"]) == (303, "/office")
    assert remains(app) == []
    with reading(app.state.engine) as session:
        assert session.exec(select(FrameModel)).all() == []
        listed = session.exec(select(PriceList)).one()
        assert (listed.currency, listed.tax_included) == ("NOK", True)
        assert len(session.exec(select(RidingStyle)).all()) == 1
        assert session.exec(select(Account)).all()
    for path in ("/office", AT, "/office/settings", "/office/history", "/office/parts",
                 "/office/prices", "/office/keeping", "/counter", "/fit", "/table", "/build",
                 "/api/v1/models", "/office/models/new"):  # fmt: skip
        shown = builder.get(path).text
        assert not DEMO.search(shown.encode()), path
        if shown.startswith("<!DOCTYPE"):
            assert "Larch and Rivet" in shown, path


def test_live_quotes_stand_in_the_way_until_somebody_says_they_were_trials(
    builder: TestClient, app: FastAPI
) -> None:
    builder.post("/quote/knapweed", data=TYPED)
    refused = keep(builder)
    assert refused.status_code == 409
    with reading(app.state.engine) as session:
        number = session.exec(select(Quote.number)).one()
        assert session.exec(select(FrameModel)).first() is not None
    assert number in refused.text
    assert 'value="Larch and Rivet"' in refused.text  # nothing typed is lost
    with writing(app.state.engine) as session:
        quote = session.exec(select(Quote)).one()
        quote.state, quote.waiting_since = State.DECLINED, None
        session.add(quote)
    assert keep(builder).status_code == 303
    assert remains(app) == []


def test_what_was_added_to_the_demo_goes_only_with_a_word(
    builder: TestClient, app: FastAPI
) -> None:
    part = {"part_name": "Plank", "stack": "30", "rail_forward": "10", "rail_back": "10"}
    builder.post("/office/parts/saddle", data=part)
    refused = keep(builder)
    assert refused.status_code == 409
    assert "Plank" in refused.text
    assert keep(builder, own_too="yes").status_code == 303
    assert remains(app) == []


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"letterhead.name": ""}, "letterhead.name"),
        ({"letterhead.name": "Stancewright"}, "what the program is called"),
        ({"letterhead.email": "desk"}, "as in desk@shop.example"),
        ({"letterhead.web": "larch"}, "as in https://shop.example"),
        ({"time_zone": "Mars/Olympus"}, "a time zone such as"),
        ({"number_style": "xx"}, "a language such as"),
        ({"look.accent": "#ffcc00"}, "would do"),
        ({"look.accent": "red"}, "six figures"),
        ({"currency": "XYZ"}, "one of AUD"),
        ({"tax": "added", "tax_name": "VAT", "tax_percent": "lots"}, "a share of the whole"),
    ],
)
def test_what_cannot_be_used_is_told_and_nothing_is_kept(
    builder: TestClient, app: FastAPI, changed: dict[str, str], words: str
) -> None:
    refused = keep(builder, **changed)
    assert refused.status_code == 422
    assert words in refused.text
    assert "pattern" not in refused.text.partition("<main")[2]
    assert remains(app)


def test_the_mark_and_the_colour_are_on_every_page(builder: TestClient, app: FastAPI) -> None:
    keep(builder)
    shown = builder.get("/office").text
    mark = re.search(r'src="(/shop/mark/[0-9a-f]+)"', shown)
    assert mark
    served = builder.get(mark[1])
    assert served.headers["content-type"] == "image/svg+xml"
    assert "sandbox" in served.headers["content-security-policy"]
    assert served.headers["x-content-type-options"] == "nosniff"
    assert b"<path" in served.content
    sheet = re.search(r'href="(/shop/colour/14506b.css)"', shown)
    assert sheet
    assert "--accent: #14506b" in builder.get(sheet[1]).text
    assert contrast("#14506b", PAPER) > 4.5
    bare = OWN | opened(builder) | {"no_mark": "yes"}
    kept = builder.post(AT, data=bare, follow_redirects=False)
    assert kept.status_code == 303
    assert "/shop/mark/" not in builder.get("/office").text
    assert builder.get("/shop/mark/none").status_code == 404
    assert builder.get("/shop/colour/red.css").status_code == 422


def test_what_is_usual_in_a_country_is_filled_in_and_nothing_kept(builder: TestClient) -> None:
    typed = OWN | {"do": "usual", "letterhead.country": "JP", "letterhead.name": "Half"}
    shown = builder.post(AT, data=typed).text
    assert '<option value="JPY" selected>' in shown
    assert '<option value="Asia/Tokyo" selected>' in shown
    assert 'value="Half"' in shown
    assert "Cinderholt" in builder.get("/office").text


def test_two_people_change_the_shop_at_once(builder: TestClient) -> None:
    keep(builder)
    first = opened(builder)
    changed = OWN | {"letterhead.telephone": "1234", "units": "imperial"}
    assert builder.post(AT, data=changed | first, follow_redirects=False).status_code == 303
    other = OWN | {"letterhead.telephone": "5678", "embed_sites": "https://one.example"} | first
    met = builder.post(AT, data=other)
    assert met.status_code == 409
    assert "theirs 1234, yours 5678" in met.text
    assert '<option value="imperial" selected>' in met.text, "what only they changed stands"
    assert "https://one.example" in met.text, "what only I changed stands"
    assert "1 Sample Street" in met.text
    clashes = met.text.partition('id="clash"')[2].partition("</ul>")[0]
    assert clashes.count("<li>") == 1, "lines typed again are no change"


def test_whoever_began_signs_in_with_the_shops_own_address(
    builder: TestClient, app: FastAPI
) -> None:
    with writing(app.state.engine) as session:
        account = session.exec(select(Account)).one()
        account.mail = FIRST_MAIL
        session.add(account)
    keep(builder)
    with reading(app.state.engine) as session:
        assert session.exec(select(Account.mail)).one() == "desk@larch.example"
