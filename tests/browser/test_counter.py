"""The counter in a real browser: a customer standing there, then the whole life of a quote."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import pytest

from tests.browser.accessible import main_buttons_at_once, violations
from tests.browser.showing import shows
from tests.browser.signing_in import PASSWORD

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

    from tests.browser.signing_in import OwnService

pytestmark = pytest.mark.browser


@pytest.fixture
def desk(staff_page: Page) -> Page:
    """The desk."""
    staff_page.goto("/counter")
    return staff_page


def walk_in(page: Page, name: str) -> str:
    """A quote for somebody standing there; gives its address."""
    page.goto("/counter/new/knapweed")
    page.fill("#f-name", name)
    page.fill("#f-mail", "ada@marl.example")
    page.click("text=Make the quote")
    page.wait_for_url("**/counter/quotes/*")
    return page.url


def test_a_quote_while_the_customer_waits(desk: Page) -> None:
    desk.click("main >> text=New quote")
    desk.click("text=Build without measuring")
    desk.fill("#f-name", "Ada Marl")
    desk.locator("label", has_text="Large").first.click()
    desk.wait_for_selector('input[name=build][value*="size=l&"]', state="attached")
    assert desk.input_value("#f-name") == "Ada Marl"
    desk.click("text=Make the quote")
    desk.wait_for_url("**/counter/quotes/*")
    shows(desk.locator("h1 >> nth=0"), "Knapweed, Large")


def test_the_life_of_a_quote(desk: Page, browser: Browser) -> None:
    address = walk_in(desk, "Ada Marl")
    desk.click("text=Open to the customer: version 1")
    link = desk.get_attribute(".quote-link a", "href") or ""
    desk.goto(address)
    desk.click("text=Discount, delivery, dates")
    desk.fill("#f-discount", "5 %")
    desk.fill("#f-discount_reason", "second bike")
    desk.click("text=Make the new version")
    desk.wait_for_url(address)
    desk.click("text=Change the build")
    desk.locator("label", has_text="Extra large").first.click()
    desk.wait_for_selector('input[name=build][value*="size=xl"]', state="attached")
    desk.click("text=Make version 3 with this build")
    desk.wait_for_url(address)
    desk.click("text=what changed >> nth=0")
    shows(desk.locator("main"), "Size: Extra large instead of Medium.")
    desk.goto(address)
    desk.click("text=Open to the customer: version 3")
    rider = browser.new_context().new_page()
    rider.goto(link)
    assert violations(rider) == []
    rider.click("text=Order this")
    rider.fill("#f-accepted_by", "Ada Marl")
    rider.fill("#f-address", "Mill Lane 3\n4051 Reedham")
    rider.check("#f-agreed")
    rider.click("text=Accept and order")
    shows(rider.locator("main"), "Version 3 was accepted by Ada Marl")
    rider.fill("#f-text", "When may I fetch it?")
    rider.click("text=Send it to the shop")
    shows(rider.locator("#talk"), "When may I fetch it?")
    rider.context.close()
    desk.goto("/counter")
    shows(desk.locator("main"), "has accepted")
    desk.goto(address)
    shows(desk.locator("main"), "When may I fetch it?")


def test_search_answers_while_typing_and_by_keyboard_alone(desk: Page) -> None:
    address = walk_in(desk, "Quirin Loess")
    desk.goto("/counter")
    desk.focus("#f-q")
    desk.keyboard.type("loess")
    desk.wait_for_url("**/counter?q=loess")
    assert desk.locator("#found tbody tr").count() == 1
    assert desk.evaluate("document.activeElement.id") == "f-q"
    for _ in range(6):
        desk.keyboard.press("Tab")
        if desk.evaluate("document.activeElement.matches('#found a')"):
            break
    desk.keyboard.press("Enter")
    desk.wait_for_url(address)


def test_what_was_typed_survives_a_lost_connection(desk: Page) -> None:
    address = walk_in(desk, "Ada Marl")
    desk.click("text=Discount, delivery, dates")
    desk.fill("#f-message", "A long and careful message.")
    desk.context.set_offline(True)
    desk.click("text=Make the new version", no_wait_after=True)
    desk.wait_for_timeout(300)
    desk.context.set_offline(False)
    desk.goto(f"{address}/terms")
    assert desk.input_value("#f-message") == "A long and careful message."


def test_a_session_that_has_ended_leads_to_sign_in_and_back(desk: Page) -> None:
    desk.context.clear_cookies()
    desk.focus("#f-q")
    desk.keyboard.type("marl")
    desk.wait_for_url("**/sign-in?next=%2Fcounter*")
    desk.fill("#f-mail", "bench@shop.example")
    desk.fill("#f-password", PASSWORD)
    desk.press("#f-password", "Enter")
    desk.wait_for_url("**/counter*")


def test_everything_at_the_counter_works_without_scripts(
    browser: Browser, own_service: OwnService, signed_in: Any
) -> None:
    context = browser.new_context(
        base_url=own_service.address, storage_state=signed_in, java_script_enabled=False
    )
    page = context.new_page()
    page.goto("/counter/new/knapweed")
    page.locator("label", has_text="Large").first.click()
    page.click("text=Show this build")
    assert "size=l" in page.url
    page.fill("#f-name", "No Script")
    page.click("text=Make the quote")
    shows(page.locator("main"), "Knapweed, Large")
    page.goto("/counter")
    page.fill("#f-q", "script")
    page.click("text=Find >> nth=-1")
    shows(page.locator("#found"), "No Script")
    context.close()


PAGES = ("/counter", "/counter/new", "/counter/new/knapweed", "/counter/records", "/account",
         "/counter/customers?q=axe", "/counter/customers/new", "/office/people", "quote",
         "workshop", "terms", "build", "compare")  # fmt: skip


@pytest.fixture(scope="module")
def some_quote(browser: Browser, own_service: OwnService, signed_in: Any) -> str:
    """Path of a quote with two versions."""
    context = browser.new_context(base_url=own_service.address, storage_state=signed_in)
    page = context.new_page()
    path = re.sub(r"https?://[^/]+", "", walk_in(page, "Axe Tester"))
    page.goto(path + "/terms")
    page.fill("#f-delivery", "40")
    page.click("text=Make the new version")
    page.wait_for_url("**" + path)
    context.close()
    return path


@pytest.mark.parametrize("where", PAGES)
def test_pages_are_accessible_and_never_too_wide(desk: Page, some_quote: str, where: str) -> None:
    endings = {
        "quote": "",
        "terms": "/terms",
        "build": "/build",
        "compare": "/compare?a=1&b=2",
        "workshop": "/workshop",
    }
    desk.goto(some_quote + endings[where] if where in endings else where)
    for width in (320, 360, 1440):
        desk.set_viewport_size({"width": width, "height": 900})
        assert desk.evaluate("document.documentElement.scrollWidth") <= width
        assert main_buttons_at_once(desk) <= 1
        if width != 320:
            assert violations(desk) == []
