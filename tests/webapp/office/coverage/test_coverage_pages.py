"""Whom the sizes serve and batch splits, as pages: bad input said at its field, nothing lost."""

from __future__ import annotations

import re

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from geometry.population import coverage
from tests.webapp.quote.conftest import CUSTOMER, MOMENT
from webapp.builds.choice.build_choice import read_choice
from webapp.catalogue.reading.load import load_catalogue
from webapp.common.storage.database import reading, writing
from webapp.fit.coverage import served
from webapp.office.coverage.batch import seen_of, split_words
from webapp.office.coverage.picture import coverage_picture, coverage_table
from webapp.office.coverage.typed import USUAL, read_batch
from webapp.quote.lifecycle.request import ask_for_quote

BATCH = "/office/coverage/knapweed/batch"


@pytest.mark.parametrize(
    ("typed", "field", "said"),
    [
        ({"frames": "0"}, "frames", "a whole number from 1 to 2000"),
        ({"frames": "1000000"}, "frames", "a whole number from 1 to 2000"),
        ({"frames": "12.5"}, "frames", "a whole number"),
        ({"frames": ""}, "frames", "a whole number"),
        ({"expected": "-4"}, "expected", "a number from 1 to 2000"),
        ({"unsold": "0"}, "unsold", "a number from"),
        ({"turned_away": "nan"}, "turned_away", "a number from"),
        ({"quote_counts": "3"}, "quote_counts", "a number from 0 to 1"),
        ({"men": "60", "women": "60"}, "women", "40, so that both add up to 100"),
        ({"men": "most"}, "men", "a number from 0 to 100"),
    ],
)
def test_a_batch_that_cannot_be_is_said_at_its_field(
    builder: TestClient, typed: dict[str, str], field: str, said: str
) -> None:
    answer = builder.get(BATCH, params={**USUAL, **typed})
    assert answer.status_code == 422
    assert said in answer.text
    error = re.search(rf'id="f-{field}-error"[^>]*>(.*?)</p>', answer.text)
    assert error, "said at the field"
    for name, value in typed.items():
        assert f'name="{name}" type="text" value="{value}"' in answer.text, "nothing is lost"


def test_quotes_and_sales_move_the_split(builder: TestClient, app: FastAPI) -> None:
    before = frames_of(builder.get(BATCH).text)
    assert sum(before.values()) == 60
    with reading(app.state.engine) as session:
        catalogue = load_catalogue(session, "knapweed")
    choice = read_choice(catalogue, {"size": ["xl"]}).strict()
    with writing(app.state.engine) as session:
        for i in range(8):
            ask_for_quote(session, catalogue, choice, CUSTOMER, form_key=f"k{i}" * 12, at=MOMENT)
    after = frames_of(builder.get(BATCH).text)
    assert after["Extra large"] > before["Extra large"]
    assert sum(after.values()) == 60


def frames_of(text: str) -> dict[str, int]:
    """Frames by size, as the page says them."""
    rows = re.findall(r'<tr><th scope="row">([^<]*)</th><td class="number"><b>(\d+)</b>', text)
    return {size: int(frames) for size, frames in rows}


def test_the_page_says_both_shares_and_asks_again(builder: TestClient) -> None:
    answer = builder.get("/office/coverage/knapweed", params={"men": "70", "women": "20"})
    assert answer.status_code == 422
    assert 'value="70"' in answer.text
    assert "30, so that both add up to 100" in answer.text
    assert builder.get("/office/coverage/knapweed?men=70").status_code == 200
    assert builder.get("/office/coverage/thistle").status_code == 404


def test_a_draft_that_cannot_stand_is_said_and_the_rest_is_shown(builder: TestClient) -> None:
    builder.post("/office/models/knapweed/draft", follow_redirects=False)
    answer = builder.get("/office/coverage/knapweed")
    assert "Draft 3" in answer.text
    assert "Nobody is advised another size" in answer.text


def test_the_picture_is_the_people_it_is_made_from(builder: TestClient, app: FastAPI) -> None:
    assert builder.get("/office/coverage", follow_redirects=False).status_code == 303
    with reading(app.state.engine) as session:
        catalogue = load_catalogue(session, "knapweed")
        seen = seen_of(session, "Knapweed")
    found = served(catalogue, catalogue.styles[0], share_of_men=0.5)
    assert served(catalogue, catalogue.styles[0], share_of_men=0.5) is found
    picture = coverage_picture(found, title="A & B", name="x")
    assert "A &amp; B" in picture.full
    assert picture.full.count("coverage-nobody") > 0
    table = coverage_table(found)
    assert all(len(cells) == len(table.legs) for _, cells in table.rows)
    whole = coverage(found)
    assert seen == {}
    words = split_words(found, seen, read_batch({**USUAL, "frames": "10"}), "EUR")
    assert sum(row.frames for row in words.rows) == 10
    assert whole.as_sold > 0.9
