"""A newcomer on the fit page in a real browser: two numbers, an answer, nothing lost."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.browser.accessible import violations
from tests.browser.showing import shows

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser


@pytest.fixture
def phone(browser_page: Page) -> Page:
    """The fit page on a phone, ready."""
    browser_page.set_viewport_size({"width": 360, "height": 740})
    browser_page.goto("/fit")
    return browser_page


def give(page: Page, field: str, text: str) -> None:
    """Type into a field and wait until it has been read."""
    page.locator(f"#f-{field}").press_sequentially(text)
    page.wait_for_selector(f"#said-{field} p:has-text('Read as')")


@pytest.mark.parametrize(
    ("stature", "inseam"), [("5 ft 8", "32 in"), ("172", "81,5"), ("1.72 m", "815 mm")]
)
def test_two_numbers_in_any_unit_get_an_answer_on_a_phone(
    phone: Page, stature: str, inseam: str
) -> None:
    assert phone.locator("#f-inseam").is_hidden()  # one question first
    give(phone, "stature", stature)
    shows(phone.locator(".fit-summary"), "fit")
    give(phone, "inseam", inseam)
    assert phone.evaluate("document.activeElement.id") == "f-inseam"
    phone.click(".fit-sure summary")
    shows(phone.locator(".fit-ladder"), "With your crotch height it is")
    assert phone.locator("#fit-drawing .part-rider").count()
    assert phone.evaluate("document.documentElement.scrollWidth") <= 360


def test_the_answer_and_the_way_on_stand_on_the_first_screen(phone: Page) -> None:
    for width, height in ((360, 740), (1440, 900)):
        phone.set_viewport_size({"width": width, "height": height})
        phone.goto("/fit/knapweed?stature=5+ft+8")
        onward = phone.locator(".button-main:visible")
        assert onward.count() == 1  # the one primary button of the page
        box = onward.bounding_box()
        assert box is not None
        assert box["y"] + box["height"] <= height
    size = onward.inner_text().removeprefix("Build it in ")
    shows(phone.locator(".fit-summary"), size)
    onward.click()
    phone.wait_for_url("**/build/knapweed?*stature=*")
    assert phone.get_by_label(size, exact=True).is_checked()
    phone.goto("/fit/knapweed?stature=140+cm&inseam=60+cm")  # no size fits
    assert phone.locator(".button-main:visible").count() == 0


def test_reload_keeps_what_was_typed_and_one_press_deletes_it(phone: Page) -> None:
    give(phone, "stature", "5 ft 8")
    give(phone, "inseam", "32 in")
    phone.reload()
    assert phone.input_value("#f-stature") == "5 ft 8"
    phone.goto("/fit/burdock")  # another page, nothing in its address
    phone.wait_for_selector(".fit-summary")
    assert phone.input_value("#f-inseam") == "32 in"
    phone.click("[data-forget=rider]")
    phone.wait_for_url("**/fit/burdock")
    phone.reload()
    assert phone.input_value("#f-stature") == ""
    assert phone.locator(".fit-summary").count() == 0
    assert phone.evaluate("localStorage.length") == 0


def test_a_slip_is_told_beside_its_field_and_stays(phone: Page) -> None:
    give(phone, "stature", "172 cm")
    phone.fill("#f-inseam", "8 furlongs")
    phone.wait_for_selector("#said-inseam .field-error")
    assert phone.input_value("#f-inseam") == "8 furlongs"
    shows(phone.locator(".fit-summary"), "fit")


def test_position_and_size_change_the_drawing_in_place(phone: Page) -> None:
    give(phone, "stature", "1720 mm")
    drawing = phone.locator("#fit-drawing svg:visible")
    before = drawing.inner_html()
    phone.locator("input[name=pose][value=standing]").check()
    phone.wait_for_selector("#fit-drawing title:has-text('standing')", state="attached")
    assert drawing.inner_html() != before
    phone.locator("input[name=size][value=xl]").check()
    phone.wait_for_selector("#h-posture:has-text('Extra large')")
    assert "pose=standing" in phone.url
    assert "size=xl" in phone.url


def test_the_build_opens_with_the_rider_on_it(phone: Page) -> None:
    give(phone, "stature", "172 cm")
    give(phone, "inseam", "81 cm")
    phone.locator(".size-best a").first.click()
    phone.wait_for_selector("#h-posture")
    assert "inseam=810" in phone.url
    assert phone.locator("#build-picture .part-rider").count()
    phone.locator("input[name=size][value=xl]").check()
    phone.wait_for_url("**size=xl**")
    assert "inseam=810" in phone.url


@pytest.mark.parametrize("width", [360, 1440])
@pytest.mark.parametrize("query", ["", "?stature=172+cm&inseam=81+cm", "?stature=tall&span=9"])
def test_axe_finds_nothing(browser_page: Page, query: str, width: int) -> None:
    browser_page.set_viewport_size({"width": width, "height": 900})
    browser_page.goto(f"/fit/knapweed{query}")
    assert violations(browser_page) == []
    assert browser_page.evaluate("document.documentElement.scrollWidth") <= width


def test_it_works_without_script(browser: Browser, live_server: str) -> None:
    context = browser.new_context(base_url=live_server, java_script_enabled=False)
    page = context.new_page()
    page.goto("/fit/knapweed")
    page.fill("#f-stature", "5 ft 8")
    page.fill("#f-inseam", "32 in")
    page.locator("button:has-text('Show my size')").first.click()
    shows(page.locator(".fit-summary"), "fit")
    assert page.input_value("#f-stature") == "5 ft 8"
    page.locator("input[name=pose][value=standing]").check()
    page.click("button:has-text('Draw this')")
    assert "pose=standing" in page.url
    context.close()
