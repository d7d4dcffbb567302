"""Marks of what a choice changed, triangles and old values, meet no text and move nothing."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.browser.test_only_changes import CHANGE, SLIDER

if TYPE_CHECKING:
    from playwright.sync_api import Page, Route

pytestmark = pytest.mark.browser

MEETING = Path(__file__).with_name("meeting.js").read_text(encoding="utf-8").partition("\n")[2]
BUILD = "/build/knapweed?size=m&stature=178+cm&weight=78+kg"
REGIONS = ["#build-bar", "#build-picture", "#build"]
CHANGES = (
    {"field": "[name=fork][value=suspension-150]", "value": ""},
    {"field": "[name=size][value=xl]", "value": ""},
    {"field": SLIDER, "value": "9"},
)
OPEN = """() => document.querySelectorAll("main details:not(.explain):not(.step)")
  .forEach(each => { each.open = true; })"""
BAR = "document.querySelector('#build-bar').getBoundingClientRect().height"


def of_five_digits(route: Route) -> None:
    """Let the answer through with a further digit in each price of four."""
    answer = route.fetch()
    route.fulfill(response=answer, body=re.sub(r"\b(\d,\d{3}\.\d\d)\b", r"1\1", answer.text()))


@pytest.mark.parametrize("width", [320, 768, 1440])
def test_marks_meet_no_text_and_leave_the_bar_as_high(browser_page: Page, width: int) -> None:
    page = browser_page
    page.set_viewport_size({"width": width, "height": 900})
    page.route("**/build/knapweed?*", of_five_digits)
    page.goto(BUILD)
    page.evaluate(OPEN)
    high = page.evaluate(BAR)
    for change in CHANGES:
        page.evaluate(CHANGE, change)
        page.evaluate(OPEN)
        told = page.evaluate(MEETING, REGIONS)
        assert not told["found"], "\n".join([str(change), *told["found"]])
        assert told["marks"] > 20, change
        assert page.evaluate(BAR) == high
    for place in ("#build-bar", "#build-picture", ".build-figures", ".build-price"):
        assert page.locator(f"{place} :is(.is-changed, .changed)").count(), place


def test_marks_of_a_new_measurement_meet_no_text(browser_page: Page) -> None:
    page = browser_page
    page.set_viewport_size({"width": 320, "height": 900})
    page.goto("/fit/knapweed?stature=178+cm&inseam=84+cm&weight=78+kg")
    page.evaluate(CHANGE, {"field": "#f-stature", "value": "172 cm"})
    page.evaluate(OPEN)
    told = page.evaluate(MEETING, ["main"])
    assert not told["found"], "\n".join(told["found"])
    assert told["marks"] > 20
