"""What a frame can be, against every stance there is, and as its page shows it."""

from __future__ import annotations

import re
from html import unescape

from fastapi.testclient import TestClient

from webapp.catalogue.reading.views import Catalogue
from webapp.match.extremes import MAIN, spans, value_in
from webapp.match.remembered_builds import all_builds
from webapp.match.wish import PRICE


def test_ends_are_those_of_every_stance_that_fails_nothing(trail: Catalogue) -> None:
    size = trail.sizes[2].slug
    found = spans(trail, size)
    assert [span.key for span in found] == list(MAIN)
    ways = [way for way in all_builds(trail, {"size": size}).ways if not way.failing]
    for span in found:
        for end in (span.least, span.most):
            assert end.can_be_ordered
            assert end.choice.size == size
        if span.key != PRICE:
            values = [way.figures[span.key] for way in ways]
            least, most = value_in(span.key, span.least), value_in(span.key, span.most)
            assert min(values) - 1e-6 <= least <= most <= max(values) + 1e-6
    price = next(span for span in found if span.key == PRICE)
    assert value_in(PRICE, price.least) < value_in(PRICE, price.most)
    every = {span.key: span for span in spans(trail)}
    for span in found:
        whole = every[span.key]
        assert value_in(span.key, whole.least) <= value_in(span.key, span.least) + 1e-6
        assert value_in(span.key, whole.most) >= value_in(span.key, span.most) - 1e-6


def test_the_page_opens_the_builds_at_both_ends(client: TestClient) -> None:
    text = unescape(client.get("/build/knapweed").text)
    (address,) = re.findall(r'href="(/build/knapweed/range\?[^"]+)"', text)
    answer = client.get(address)
    assert answer.status_code == 200
    rows = re.findall(r'<th scope="row">([^<]+)<svg', answer.text)
    assert "Trail" in rows
    assert "Price" in rows
    ends = [unescape(each) for each in re.findall(r'href="(/build/knapweed\?[^"]+)"', answer.text)]
    assert len(ends) > 4 * len(rows)
    assert client.get(ends[0]).status_code == 200
