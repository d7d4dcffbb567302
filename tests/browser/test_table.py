"""The geometry table beside the drawing of its sizes, in a real browser."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

TABLE = "/table/knapweed"

# The places of the sizes whose lines have the accent's colour, in the drawing that shows.
LIT = """() => {
  const svg = [...document.querySelectorAll("#all-sizes svg")].find(
    each => getComputedStyle(each).display !== "none");
  return [...svg.querySelectorAll("[class*=size-] .part-frame path")]
    .filter(each => Number.parseFloat(getComputedStyle(each).strokeWidth) === 3)
    .map(each => each.closest("[class*=size-]").getAttribute("class").match(/size-(\\d)/)[1]);
}"""


def lit(page: Page) -> set[str]:
    return set(page.evaluate(LIT))


@pytest.mark.parametrize("width", [360, 1440])
def test_a_column_and_its_size_light_up_together(browser_page: Page, width: int) -> None:
    browser_page.set_viewport_size({"width": width, "height": 900})
    browser_page.goto(TABLE)
    assert lit(browser_page) == set()
    figures = browser_page.locator(".lit-sizes table.figures").first
    figures.locator("tbody tr:not(.figures-group)").first.locator("td").nth(2).hover()
    assert lit(browser_page) == {"3"}
    # By keyboard: the size's name is a link.
    browser_page.mouse.move(0, 0)
    figures.get_by_role("link", name="Large", exact=True).focus()
    assert lit(browser_page) == {"4"}
    assert browser_page.evaluate("document.documentElement.scrollWidth") <= width
    if width > 1000:
        drawing = browser_page.locator("#all-sizes").bounding_box()
        table = figures.bounding_box()
        assert drawing is not None
        assert table is not None
        assert drawing["x"] + drawing["width"] <= table["x"]  # beside, not above


def test_a_touch_on_a_column_lights_its_size(whole_browser: Browser, live_server: str) -> None:
    phone = whole_browser.new_context(
        viewport={"width": 360, "height": 740}, has_touch=True, is_mobile=True
    )
    page = phone.new_page()
    page.goto(f"{live_server}{TABLE}")
    rows = page.locator(".lit-sizes table.figures").first.locator("tbody tr:not(.figures-group)")
    assert lit(page) == set()
    for column in (0, 1):
        rows.nth(2).locator("td").nth(column).tap()
        assert lit(page) == {str(column + 1)}
    # What is lit stays while one scrolls up to the drawing.
    page.evaluate("document.querySelector('#all-sizes').scrollIntoView()")
    assert lit(page) == {"2"}
    phone.close()


def test_a_riders_own_size_is_marked_in_table_and_drawing(browser_page: Page) -> None:
    browser_page.goto(f"{TABLE}?stature=178&inseam=84")
    heads = browser_page.locator("th.own-size")
    names = set(heads.locator("a").all_inner_texts())
    assert len(names) == 1
    assert heads.first.get_by_text("your size").is_visible()
    assert browser_page.locator("#all-sizes svg.drawing-full text", has_text=names.pop()).count()
    assert browser_page.locator("#all-sizes svg.drawing-full .size-own text").count() == 1
    browser_page.goto(TABLE)
    assert browser_page.locator(".own-size, .size-own").count() == 0
