"""An entry of the register put right: history kept, checks and orders follow its number."""

from __future__ import annotations

import re
from datetime import timedelta
from html import unescape

from fastapi.testclient import TestClient
from sqlmodel import Session, select

from tests.webapp.counter.conftest import pdf_text
from tests.webapp.office.bench.test_records import keep
from tests.webapp.quote.order.an_order import Shop
from webapp.catalogue.reading.views import Catalogue
from webapp.common.storage.database import reading, writing
from webapp.common.timestamps import now
from webapp.office.bench.records import checks_of_serial
from webapp.serials.register import frame_of_serial
from webapp.serials.tables import SerialCorrection


def form_of(client: TestClient, address: str) -> dict[str, str]:
    shown = client.get(f"{address}/correct").text
    fields = re.findall(r'name="(stamp|base|serial)"[^>]* value="([^"]*)"', shown)
    chosen = re.findall(
        r'<select[^>]* name="(\w+)".*?<option value="([^"]*)" selected', shown, re.S
    )
    return {name: unescape(value) for name, value in [*fields, *chosen]}


def address_of(session: Session, serial: str) -> str:
    frame = frame_of_serial(session, serial)
    assert frame is not None
    return f"/office/bench/serials/{frame.id}"


def test_an_entry_is_corrected_and_says_what_it_was(builder: TestClient, trail: Catalogue) -> None:
    shop = builder.app.state.engine  # type: ignore[attr-defined]
    with writing(shop) as session:
        keep(session, trail, "S-1", 0.4)
        keep(session, trail, "S-2", 0.4)
        at = address_of(session, "S-1")
    form = form_of(builder, at)
    assert form["frame"].startswith("knapweed/")
    large = form["frame"].rpartition("/")[0] + "/l"
    for wrong, words in (
        ({"why": ""}, "what was wrong, in a few words"),
        ({"serial": " ", "why": "x"}, "at most 60 characters"),
        ({"serial": "s-2", "why": "x"}, "in the register already"),
        ({"frame": "knapweed/9/xx", "why": "x"}, "one of the list"),
        ({"finish": "gold", "why": "x"}, "one of the list"),
    ):
        refused = builder.post(f"{at}/correct", data=form | wrong)
        assert refused.status_code in {409, 422}
        assert words in refused.text, words
    right = {"serial": " S-11 ", "frame": large, "finish": "lichen", "why": "read upside down"}
    assert (
        builder.post(f"{at}/correct", data=form | right, follow_redirects=False).status_code == 303
    )
    shown = unescape(builder.get(at).text)
    for words in ("Bike S-11", "read upside down", "serial number: S-1 → S-11", "Correct it"):
        assert words in shown
    assert re.search(r"frame: Knapweed, size Medium, .* → Knapweed, size Large", shown)
    with reading(shop) as session:
        assert frame_of_serial(session, "S-1") is None
        assert not checks_of_serial(session, "S-1")
        (check,) = checks_of_serial(session, "s-11")
    assert "serial number: S-1 → S-11" in unescape(builder.get(f"/office/bench/{check.id}").text)
    # Whoever opened the form before meets the change, and loses nothing.
    met = builder.post(f"{at}/correct", data=form | {"finish": "", "why": "seen"})
    assert met.status_code == 409
    assert 'value="S-11"' in met.text


def test_a_frame_of_an_order_leads_to_it_and_keeps_its_kind(builder: TestClient) -> None:
    shop = builder.app.state.engine  # type: ignore[attr-defined]
    order = Shop(shop)
    order.step("confirm_order", promised_on=None)
    order.step("ask_deposit", due_on=None, text="")
    order.pay(order.money()[0])
    order.step("start_build")
    order.step("name_serials", serials=("KN 26-014",))
    with reading(shop) as session:
        at = address_of(session, "KN 26-014")
    assert "hand-over.pdf" not in builder.get(at).text
    order.step("finish")
    order.built()
    shown = builder.get(at).text
    assert f'href="/counter/quotes/{order.number}"' in shown
    sheet = builder.get(f"/counter/quotes/{order.number}/hand-over.pdf")
    assert f'href="/counter/quotes/{order.number}/hand-over.pdf"' in shown
    assert sheet.content.startswith(b"%PDF")
    form = form_of(builder, at)
    other = form["frame"].rpartition("/")[0] + "/l"
    held = builder.post(f"{at}/correct", data=form | {"frame": other, "why": "x"})
    assert held.status_code == 409
    assert "take the number out of the order first" in held.text
    right = form | {"serial": "KN 26-041", "why": "two figures swapped"}
    assert builder.post(f"{at}/correct", data=right, follow_redirects=False).status_code == 303
    assert order.number in builder.get("/counter?q=26-041").text, "found by its number as corrected"
    assert order.number not in builder.get("/counter?q=26-014").text
    assert "corrected on" not in paper(builder, order.number), "nobody has signed a sheet yet"
    with writing(shop) as session:  # moments are told to the second: that was an hour ago
        (before,) = session.exec(select(SerialCorrection)).all()
        before.at -= timedelta(hours=1)
    order.at = now() - timedelta(minutes=1)
    order.step("hand_over", name="Ada Marl")
    wrong = form_of(builder, at) | {"serial": "KN 26-040", "why": "x"}
    made = builder.post(f"{at}/correct", data=wrong, follow_redirects=False)
    assert made.status_code == 303, made.text
    said = "KN 26-040. The sheet as signed said KN 26-041."
    assert said in paper(builder, order.number)
    assert said in builder.get(f"/counter/quotes/{order.number}/hand-over").text
    builder.post(f"{at}/correct", data=form_of(builder, at) | {"serial": "KN 26-041", "why": "x"})
    assert "corrected on" not in paper(builder, order.number), "it says again what was signed"


def paper(builder: TestClient, number: str) -> str:
    return pdf_text(builder.get(f"/counter/quotes/{number}/hand-over.pdf").content)
