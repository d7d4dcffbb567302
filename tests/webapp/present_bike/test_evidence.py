"""The present bike as evidence on the fit page."""

from __future__ import annotations

import re
from html import unescape
from urllib.parse import urlencode

from fastapi.testclient import TestClient

NUMBERS = {
    "way": "numbers", "reach": "500", "stack": "640", "head_angle": "66", "stem_length": "60",
    "saddle_height": "760", "saddle_setback": "200",
}  # fmt: skip


def read(client: TestClient, **more: str) -> str:
    query = {"stature": "1800", "inseam": "860", "present": urlencode({**NUMBERS, **more})}
    return unescape(client.get("/fit/knapweed", params=query).text)


def test_a_right_position_changes_the_answer_and_says_by_how_much(client: TestClient) -> None:
    text = read(client, right="yes")
    (told, after, before) = re.findall(
        r"the length you need (\d+) mm longer and surer, ±(\d+) instead of ±(\d+) mm", text
    )[0]
    assert int(told) > 0
    assert int(after) < int(before)
    assert re.search(r"goes from \d+ to \d+ in 100", text)


def test_a_position_that_is_not_called_right_changes_nothing(client: TestClient) -> None:
    assert "You sit right on the bike you have" not in read(client)
