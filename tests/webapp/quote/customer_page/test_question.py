"""A build that fails is a question to the shop: asked with a form, and never an order."""

from __future__ import annotations

import html
import re

from fastapi.testclient import TestClient

from tests.webapp.quote.customer_page.test_pages import post, words

FAILING = "/quote/knapweed?hub=single-coaster-135"


def test_a_failing_build_can_be_asked_about_and_not_ordered(client: TestClient) -> None:
    page = client.get("/build/knapweed?hub=single-coaster-135")
    link = re.search(r'class="build-next">\s*<a[^>]*href="([^"]+)"', page.text)
    assert link is not None
    form = client.get(html.unescape(link[1]))
    assert form.status_code == 200
    assert "Ask the shop about this build" in words(form)
    assert "Sprocket" in words(form)
    asked = post(client, FAILING, question="yes")
    assert asked.status_code == 303
    sheet = client.get(asked.headers["location"])
    assert "Two lines" in words(sheet)
    assert "Accept" not in re.sub(r"<[^>]*>", "", sheet.text).split("Checks")[0]
    accepted = client.post(
        f"{asked.headers['location']}/accept",
        data={"version": "1", "accepted_by": "Ada Marl"},
        headers={"Sec-Fetch-Site": "same-origin"},
    )
    assert accepted.status_code in {403, 409, 422}


def test_without_being_a_question_it_stays_refused(client: TestClient) -> None:
    assert post(client, FAILING).status_code == 422
