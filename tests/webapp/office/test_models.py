"""Models added, copied, renamed, moved, hidden and retired; drafts thrown away."""

from __future__ import annotations

import re

from fastapi import FastAPI
from fastapi.testclient import TestClient

from webapp.catalogue.reading.load import list_models
from webapp.common.storage.database import reading
from webapp.office.revisions.drafts import all_revisions, list_all_models

AT = "/office/models/knapweed"


def shown(app: FastAPI) -> list[str]:
    with reading(app.state.engine) as session:
        return [model.name for model in list_models(session)]


def states(app: FastAPI, model: str) -> list[str]:
    with reading(app.state.engine) as session:
        return [revision.state for revision in all_revisions(session, model)]


def test_a_model_is_copied_renamed_moved_hidden_and_retired(
    builder: TestClient, app: FastAPI
) -> None:
    copy = {"name": "Sorrel", "frame_price": "1.590,00", "like": "knapweed", "do": "table"}
    made = builder.post("/office/models/new", data=copy, follow_redirects=False)
    assert made.headers["location"] == "/office/models/sorrel/1"
    assert states(app, "sorrel") == ["draft"]
    assert builder.post("/office/models/new", data=copy).status_code == 422
    assert shown(app) == ["Knapweed", "Burdock"]
    builder.post(f"{AT}/name", data={"name": "Hardhead", "summary": "Renamed."})
    assert shown(app) == ["Hardhead", "Burdock"]
    assert builder.post(f"{AT}/name", data={"name": "burdock"}).status_code == 422
    builder.post(f"{AT}/place", data={"to": "down"})
    assert shown(app) == ["Burdock", "Hardhead"]
    builder.post(f"{AT}/place", data={"to": "sideways"})
    with reading(app.state.engine) as session:
        assert [m.name for m in list_all_models(session)] == ["Burdock", "Sorrel", "Hardhead"]
    builder.post(f"{AT}/state", data={"state": "hidden"})
    assert shown(app) == ["Burdock"]
    assert '<p class="page-head-over">hidden</p>' in builder.get(AT).text
    assert "Ask for a quote" in builder.get("/build/knapweed").text
    builder.post(f"{AT}/state", data={"state": "retired"})
    retired = builder.get("/build/knapweed").text
    assert "The Hardhead is no longer made." in retired
    assert "Ask for a quote" not in retired
    assert builder.post(f"{AT}/state", data={"state": "sold"}).status_code == 422
    builder.post(f"{AT}/state", data={"state": "shown"})
    assert shown(app) == ["Burdock", "Hardhead"]


def test_what_is_missing_is_said_at_its_field_and_as_it_is_called_there(
    builder: TestClient,
) -> None:
    sent = {"name": "Sorrel", "sizes": "S, M", "do": "keep", "tyre_width": "57", "s.reach": "wide"}
    page = builder.post("/office/models/new", data=sent).text
    summary = page.partition('class="error-summary"')[2].partition("</ul>")[0]
    told = re.findall(r'<a href="#([^"]*)">([^<]*)</a>', summary)
    assert len({at for at, _ in told}) == len(told) > 40
    assert [at for at, _ in told if f'id="{at}"' not in page] == []
    said = [words for _, words in told]
    assert said[:2] == ["Price of the frame: needed", "Fork, axle to crown: needed"]
    assert {"Rear axle: choose one from the list", "M, Reach: needed"} <= set(said)
    assert "S, Top tube along seat tube: needed" in said
    assert [words for words in said if "_" in words or "shared" in words] == []
    reach = next(words for words in said if words.startswith("S, Reach: "))
    assert "from 280 to 620 mm" in reach


def test_a_draft_is_thrown_away_and_a_withdrawal_undone(builder: TestClient, app: FastAPI) -> None:
    builder.post(f"{AT}/draft")
    assert states(app, "knapweed") == ["draft", "published", "published"]
    builder.post(f"{AT}/3/throw-away")
    assert states(app, "knapweed") == ["published", "published"]
    assert builder.post(f"{AT}/2/throw-away").status_code == 409
    burdock = "/office/models/burdock"
    builder.post(f"{burdock}/1/withdraw", data={"reason": "A slip."})
    assert states(app, "burdock") == ["withdrawn"]
    assert "Burdock" not in shown(app)
    builder.post(f"{burdock}/draft")  # also where nothing is published
    assert states(app, "burdock") == ["draft", "withdrawn"]
    builder.post(f"{burdock}/1/publish-again")
    assert states(app, "burdock") == ["draft", "published"]
    assert "Burdock" in shown(app)
    assert builder.post(f"{burdock}/1/publish-again").status_code == 409
