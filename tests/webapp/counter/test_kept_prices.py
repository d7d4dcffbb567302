"""Changing one part keeps what the others cost; the total shown is the total made."""

from __future__ import annotations

import re
from urllib.parse import parse_qs

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from tests.webapp.counter.conftest import (
    SAME_SITE,
    Clock,
    Desk,
    PutQuote,
    SignIn,
    View,
    all_fields,
)
from webapp.builds.choice.places import PLACE_OF
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.writing.parts import put_part_price
from webapp.common.storage.database import reading, writing
from webapp.quote.storage.read import QuoteView

LISTED = "eur-2026"
RAISED = 50_000


def price_now(app: FastAPI, place: str, slug: str) -> int:
    with reading(app.state.engine) as session:
        price = load_catalogue(session, "knapweed").part(PLACE_OF[place].kind, slug).price
    assert price is not None
    return price.minor


def raise_all(app: FastAPI, asked: QuoteView) -> None:
    """Every part of a quote costs 500.00 more from today."""
    query = parse_qs(asked.content.build.query)
    for place in ("fork", "stem", "saddle", "crank"):
        slug = query[place][0]
        dearer = price_now(app, place, slug) + RAISED
        with writing(app.state.engine) as session:
            put_part_price(
                session, who="t", price_list=LISTED, kind=PLACE_OF[place].kind, slug=slug,
                minor=dearer,
            )  # fmt: skip


def lines(view: QuoteView) -> dict[str, int]:
    return {line.key: line.amount.minor for line in view.content.price.lines}


def another_stem(app: FastAPI, asked: QuoteView) -> str:
    with reading(app.state.engine) as session:
        offered = load_catalogue(session, "knapweed").offered("stem")
    present = parse_qs(asked.content.build.query)["stem"][0]
    return next(part.slug for part in offered if part.slug != present)


def with_stem(asked: QuoteView, stem: str) -> str:
    return re.sub(r"stem=[^&]*", f"stem={stem}", asked.content.build.query, count=1)


def change(desk: Desk, asked: QuoteView, query: str) -> tuple[int, str]:
    """The build page opened at a query and its button pressed: status, and the total shown."""
    address = f"/counter/quotes/{asked.number}/build"
    page = desk.get(f"{address}?model=knapweed&{query}").text
    form = all_fields(page)
    if "prices=today" not in query:
        form.pop("prices", None)
    assert f"Total {form['total']}" in page
    return desk.post(address, form).status_code, form["total"]


def test_only_the_changed_part_is_at_the_price_of_the_day(
    desk: Desk, quote: PutQuote, view: View, app: FastAPI
) -> None:
    asked = quote(size="m")
    stem = another_stem(app, asked)
    raise_all(app, asked)
    status, total = change(desk, asked, with_stem(asked, stem))
    assert status == 303
    now = view(asked.number)
    before, after = lines(asked), lines(now)
    assert {key: after[key] for key in after if key != "stem"} == {
        key: before[key] for key in before if key != "stem"
    }
    assert after["stem"] == price_now(app, "stem", stem)
    assert now.content.price.gross.printed == total


def test_told_otherwise_every_line_is_priced_anew(
    desk: Desk, quote: PutQuote, view: View, app: FastAPI
) -> None:
    asked = quote(size="m")
    raise_all(app, asked)
    status, total = change(desk, asked, f"{asked.content.build.query}&prices=today")
    assert status == 303
    now = view(asked.number)
    assert now.content.price.gross.minor == asked.content.price.gross.minor + 4 * RAISED
    assert now.content.price.gross.printed == total


@pytest.mark.parametrize(("days", "raised"), [(0, 0), (1, 3 * RAISED)])
def test_prices_are_kept_to_the_last_day_and_no_longer(
    sign_in: SignIn,
    quote: PutQuote,
    view: View,
    app: FastAPI,
    at: Clock,
    days: int,
    raised: int,
) -> None:
    asked = quote(size="m")
    stem = another_stem(app, asked)
    raise_all(app, asked)
    at.turn(days=(asked.content.valid_until - at().date()).days + days)
    desk = sign_in(name="Runa")  # who signed in weeks ago has to do it again
    assert change(desk, asked, with_stem(asked, stem))[0] == 303
    kept = {key: minor for key, minor in lines(view(asked.number)).items() if key != "stem"}
    before = {key: minor for key, minor in lines(asked).items() if key != "stem"}
    assert sum(kept.values()) == sum(before.values()) + raised


def test_another_size_keeps_the_parts_and_takes_the_frame_of_the_day(
    desk: Desk, quote: PutQuote, view: View, app: FastAPI
) -> None:
    asked = quote(size="m")
    raise_all(app, asked)
    status, total = change(desk, asked, asked.content.build.query.replace("size=m", "size=l"))
    assert status == 303
    now = view(asked.number)
    assert now.content.price.gross.printed == total
    before, after = lines(asked), lines(now)
    assert {k: after[k] for k in after if k != "frame"} == {
        k: before[k] for k in before if k != "frame"
    }


def test_the_total_shown_counts_what_was_agreed(
    desk: Desk, quote: PutQuote, view: View, app: FastAPI
) -> None:
    asked = quote(size="m")
    terms = {"discount": "5 %", "discount_reason": "Spring", "delivery": "45.00", "quantity": "2"}
    assert desk.terms(asked.number, **terms).status_code == 303
    status, total = change(desk, asked, with_stem(asked, another_stem(app, asked)))
    assert status == 303
    assert view(asked.number).content.price.gross.printed == total


def test_a_price_changed_between_page_and_button_makes_nothing(
    desk: Desk, quote: PutQuote, view: View, app: FastAPI
) -> None:
    asked = quote(size="m")
    stem = another_stem(app, asked)
    address = f"/counter/quotes/{asked.number}/build"
    form = all_fields(desk.get(f"{address}?model=knapweed&{with_stem(asked, stem)}").text)
    form.pop("prices")
    with writing(app.state.engine) as session:
        put_part_price(session, who="t", price_list=LISTED, kind="stem", slug=stem, minor=99_900)
    answer = desk.post(address, form)
    assert answer.status_code == 422
    assert "prices have changed since this page was shown" in answer.text
    assert view(asked.number).version == 1
    # What was chosen is still in the form, with the total it comes to now.
    assert (
        desk.post(f"/counter/quotes/{asked.number}/terms", all_fields(answer.text)).status_code
        == 303
    )
    assert lines(view(asked.number))["stem"] == 99_900


def test_a_rider_gets_the_total_the_page_has_shown_or_is_told(
    client: TestClient, app: FastAPI, quote: PutQuote
) -> None:
    asked = quote(size="m")
    query = asked.content.build.query
    form = all_fields(client.get(f"/quote/knapweed?{query}").text)
    assert form["total"] == asked.content.price.gross.printed
    raise_all(app, asked)
    typed = form | {"name": "Ada", "mail": "ada@marl.example"}
    answer = client.post(f"/quote/knapweed?{query}", data=typed, headers=SAME_SITE)
    assert answer.status_code == 422
    assert "prices have changed since this page was shown" in answer.text
    assert 'value="Ada"' in answer.text
    again = all_fields(answer.text)
    made = client.post(
        f"/quote/knapweed?{query}", data=again, headers=SAME_SITE, follow_redirects=False
    )
    assert made.status_code == 303
