"""The page of all components answers, whole and in part, and asks not to be found."""

from __future__ import annotations

from fastapi.testclient import TestClient


def test_whole_page_and_partial_show_the_same_figures(client: TestClient) -> None:
    whole = client.get("/components?slot=9")
    partial = client.get("/components?slot=9", headers={"HX-Request-Type": "partial"})
    assert whole.status_code == partial.status_code == 200
    assert "<main" in whole.text
    assert "<main" not in partial.text
    # Drawn with 430 mm and 66 mm of drop; 9 mm along a slot that rises by 2°: the hypotenuse of
    # 424.91 + 9 cos 2° and 66 + 9 sin 2° is 438.94 mm.
    for text in (whole.text, partial.text):
        assert 'data-figure="chainstay" data-value="438.9"' in text


def test_search_engines_are_asked_to_pass_by(client: TestClient) -> None:
    answer = client.get("/components")
    assert answer.headers["X-Robots-Tag"] == "noindex"
    assert '<meta name="robots" content="noindex">' in answer.text


def test_position_outside_the_slot_is_refused(client: TestClient) -> None:
    assert client.get("/components?slot=19").status_code == 422
