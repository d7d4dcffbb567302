"""From a rider's measures to a quote at the counter, for a new quote and for one that is there."""

from __future__ import annotations

import re
from html import unescape

from tests.webapp.counter.conftest import Desk, PutQuote, View, all_fields, make, sentences
from webapp.quote.customer import Customer

MEASURES = "stature=172&inseam=81&weight=70"
BODY = {"stature": "1720", "inseam": "810"}


def goes_on(page: str) -> str:
    """Where the size that suits leads."""
    found = re.search(r'<a class="button button-main" href="([^"]+)"[^>]*>Go on with', page)
    assert found, page[:400]
    return unescape(found[1])


def test_measures_lead_to_the_size_and_to_a_quote_with_its_rider(desk: Desk, view: View) -> None:
    assert "Type a height" in desk.get("/counter/new").text
    page = desk.get(f"/counter/new?model=knapweed&{MEASURES}").text
    there = goes_on(page)
    assert there.startswith("/counter/new/knapweed?")
    form = all_fields(desk.get(there).text) | {"name": "Ada Marl"}
    made = desk.post(there, form)
    number = made.headers["location"].rpartition("/")[2]
    assert BODY.items() <= dict(view(number).customer.rider).items()
    assert view(number).content.build.size in sentences(page)


def test_every_size_and_model_is_led_to_at_the_counter(desk: Desk) -> None:
    page = desk.get(f"/counter/new?model=knapweed&{MEASURES}").text
    assert 'href="/build/' not in page
    assert 'href="/fit/' not in page
    assert page.count("Build it in ") == 6
    other = re.search(r'href="(/counter/new\?model=burdock[^"]*)"', page)
    assert other
    assert "stature=172" in other[1]
    assert "Build it in " in desk.get(unescape(other[1])).text


def test_what_cannot_be_used_is_said_at_its_field(desk: Desk) -> None:
    answer = desk.get("/counter/new?model=knapweed&stature=9+m&inseam=81")
    assert answer.status_code == 422
    assert 'id="f-stature-error"' in answer.text
    assert 'value="9 m"' in answer.text
    assert desk.get("/counter/new?model=nothing").status_code == 404


def test_the_customer_of_a_request_is_measured_on_what_was_asked_for(
    desk: Desk, quote: PutQuote, view: View
) -> None:
    rider = Customer(name="Ada Marl", mail="ada@marl.example", rider=(("stature", "1900"),))
    number = quote(customer=rider, size="m", fork="suspension-150").number
    page = desk.get(f"/counter/quotes/{number}/fit").text
    assert 'value="1900"' in page
    there = goes_on(page)
    assert there.startswith(f"/counter/quotes/{number}/build?model=knapweed&")
    assert "fork=suspension-150" in there
    # Measured again, the new figure counts, and the quote's next version is of the size it makes.
    there = goes_on(desk.get(f"/counter/quotes/{number}/fit?stature=186&inseam=88").text)
    form = all_fields(desk.get(there).text)
    assert desk.post(f"/counter/quotes/{number}/build", form).status_code == 303
    kept = view(number)
    assert dict(kept.customer.rider)["stature"] == "1860"
    assert (kept.version, kept.content.build.size_slug) != (1, "m")
    assert any(line.item == "suspension fork 29, 150 mm" for line in kept.content.price.lines)


def test_the_build_page_leads_back_to_measuring_with_the_build(desk: Desk) -> None:
    page = desk.get("/counter/new/knapweed?size=l&fork=rigid-long&stature=1800").text
    back = re.search(
        r'href="(/counter/new\?model=knapweed&amp;[^"]*)"[^>]*>Measure the rider', page
    )
    assert back
    measuring = desk.get(unescape(back[1])).text
    assert "fork=rigid-long" in goes_on(measuring)
    number = make(desk, "Ada Marl")
    assert (
        f"/counter/quotes/{number}/fit?model=knapweed"
        in desk.get(f"/counter/quotes/{number}/build").text
    )
