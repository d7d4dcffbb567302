"""What fits, in a real browser: six builds answered, accessible, one press to one that closes."""

from __future__ import annotations

from typing import TYPE_CHECKING
from urllib.parse import urlencode

import pytest
from playwright.sync_api import expect

from tests.browser.accessible import violations
from tests.webapp.builds.fitting.judged_builds import BELT, COASTER, SMALL_WHEELS, Fields

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser


CASES: dict[str, tuple[Fields, str]] = {
    "coaster": (COASTER, "94 links"),
    "belt": (BELT, "a belt of "),
    "forward": ({"slot": "0"}, "The derailleur takes up the chain"),
    "big wheels forward": ({"tyre_rear": "69-622"}, "6.5 mm of room around the rear tyre"),
    "small wheels back": ({**SMALL_WHEELS, "slot": "24"}, "of room around the rear tyre"),
    "dropper": ({"saddle_height": "720", "post": "dropper-200"}, "Longest dropper post"),
    "heavy": (
        {"stature": "190 cm", "weight": "115 kg", "size": "l", "post": "dropper-200",
         "luggage": "12"},
        "127 kg; permitted by the builder: 130 kg",
    ),
}  # fmt: skip


def visit(page: Page, fields: Fields, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 900})
    page.goto(f"/build/knapweed?{urlencode(fields, doseq=True)}")


@pytest.mark.parametrize("case", CASES)
def test_a_mechanics_question_is_answered(browser_page: Page, case: str) -> None:
    fields, answer = CASES[case]
    for width in (360, 1440):
        visit(browser_page, fields, width)
        browser_page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        assert answer in browser_page.locator("#build").inner_text()
        assert browser_page.evaluate("document.documentElement.scrollWidth") <= width


def test_axe_finds_nothing_with_every_answer_open(browser_page: Page) -> None:
    for width in (360, 1440):
        visit(browser_page, COASTER, width)
        browser_page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        # a window as high as the page: else the bar at its foot lies over half of something,
        # which a reader scrolls away and axe takes for too small a target
        height = browser_page.evaluate("document.documentElement.scrollHeight")
        browser_page.set_viewport_size({"width": width, "height": height})
        assert violations(browser_page) == []


def test_one_press_sets_the_axle_where_the_chain_closes(browser_page: Page) -> None:
    visit(browser_page, COASTER, 1440)
    assert browser_page.get_by_role("link", name="Ask for a quote").count() == 0
    browser_page.get_by_role("link", name="Set the axle at 4.1 mm, 94 links").first.click()
    expect(browser_page.locator("#f-slot")).to_have_value("4.1")
    assert browser_page.get_by_role("link", name="Ask for a quote").count() == 1


def test_pairs_are_ranked_by_a_wished_gear(browser_page: Page) -> None:
    visit(browser_page, {**COASTER, "slot": "4.1"}, 1440)
    browser_page.get_by_text("Other rings and sprockets that close").click()
    browser_page.get_by_role("link", name="Rank these by a wished chainstay or gear").click()
    browser_page.get_by_label("Ring teeth to one sprocket tooth").fill("2")
    browser_page.get_by_role("button", name="Rank them").click()
    browser_page.get_by_text("nearest to a ratio of 2.00").wait_for()
    assert browser_page.locator("tbody th").first.inner_text().startswith("32 × 16")
    assert violations(browser_page) == []
