"""What was learnt, as pages: too few is said, nothing is taken over without a press."""

from __future__ import annotations

import re
from html import unescape

from fastapi import FastAPI
from fastapi.testclient import TestClient

from webapp.catalogue.reading.load import load_catalogue
from webapp.common.storage.database import reading
from webapp.outcomes import demo
from webapp.outcomes.findings import findings
from webapp.outcomes.store import outcomes_of_model

PAGE = "/office/learned/knapweed"


def test_with_nothing_to_learn_from_the_page_says_how_to_begin(builder: TestClient) -> None:
    assert builder.get("/office/learned", follow_redirects=False).headers["location"] == PAGE
    text = builder.get(PAGE).text
    assert "No outcome is recorded yet." in text
    assert "20 more outcomes with measurements are needed" in text
    refused = builder.post(f"{PAGE}/chart", data={"agreed": "yes"}, follow_redirects=False)
    assert refused.status_code == 422
    assert "20 more outcomes" in refused.text


def test_the_chart_goes_into_a_draft_only_when_it_was_looked_at(
    builder: TestClient, app: FastAPI
) -> None:
    demo.fill(app.state.engine)
    text = builder.get(PAGE).text
    assert "Size chart offered" in text
    refused = builder.post(f"{PAGE}/chart", data={}, follow_redirects=False)
    assert refused.status_code == 422
    assert "tick that you have looked" in refused.text
    assert builder.get("/office/models/knapweed/3").status_code == 404, "no draft was begun"
    taken = builder.post(f"{PAGE}/chart", data={"agreed": "yes"}, follow_redirects=False)
    assert taken.headers["location"] == "/office/models/knapweed/3"
    with reading(app.state.engine) as session:
        was, now = (
            load_catalogue(session, "knapweed", number, drafts=True).size("m").data.riders
            for number in (2, 3)
        )
    assert was is not None
    assert now is not None
    # Riders want shorter bikes: each size is for taller ones.
    assert now.shortest > was.shortest
    assert now.tallest - now.shortest == was.tallest - was.shortest


def test_an_offer_of_the_settings_is_only_shown(builder: TestClient) -> None:
    form = builder.get("/office/settings/sizes").text
    fields = {
        name: unescape(value)
        for name, value in re.findall(r'name="([^"]+)" type="[a-z]+" value="([^"]*)"', form)
    }
    hidden = re.findall(r'type="hidden" name="([^"]+)" value="([^"]*)"', form)
    fields |= {name: unescape(value) for name, value in hidden}
    sent = {**fields, "fit.posture_share": "0.73", "do": "preview"}
    shown = builder.post("/office/settings/sizes", data=sent)
    assert 'name="fit.posture_share" type="text" value="0.73"' in shown.text
    assert 'name="fit.posture_share" type="text" value="0.73"' not in form
    assert 'value="0.73"' not in builder.get("/office/settings/sizes").text, "nothing was kept"


def test_the_same_outcomes_are_worked_out_once(app: FastAPI, builder: TestClient) -> None:
    count = demo.fill(app.state.engine)
    assert builder.get(PAGE).status_code == 200
    with reading(app.state.engine) as session:
        today = load_catalogue(session, "knapweed")
        kept = outcomes_of_model(session, "knapweed")
    first, again = (findings(today, kept, lambda _: today) for _ in range(2))
    assert first == again
    assert first.styles[0].count == count, "every one of the demo's can be learnt from"
