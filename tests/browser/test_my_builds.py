"""Builds kept in the reader's own browser, and links that say what has moved on."""

from __future__ import annotations

import re
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import pytest

from tests.browser.accessible import violations
from tests.browser.showing import shows

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

FIRST = "/build/knapweed?size=l&slot=12&stature=1830"
SECOND = "/build/burdock?size=m"


def keep(page: Page, address: str) -> None:
    page.goto(address)
    page.get_by_role("button", name="Save this build").click()
    page.wait_for_selector("[data-build-said]:has-text('Saved in this browser')")


@pytest.mark.parametrize("width", [360, 1440])
def test_builds_are_kept_named_dated_opened_compared_and_removed(
    browser_page: Page, width: int
) -> None:
    page = browser_page
    page.set_viewport_size({"width": width, "height": 900})
    page.goto("/my-builds")
    assert page.get_by_text("Nothing is saved yet").is_visible()
    for address in (FIRST, SECOND, FIRST):  # the same build twice is kept once
        keep(page, address)
    page.get_by_role("link", name="My builds", exact=True).first.click()
    rows = page.locator(".kept-build")
    assert rows.count() == 2
    names = page.get_by_label("Your name for it")
    assert names.first.input_value() == "Knapweed, Large"
    names.first.fill("Sunday bike")
    names.first.blur()
    page.reload()
    assert page.get_by_label("Your name for it").first.input_value() == "Sunday bike"
    shows(rows.first, "EUR")
    day = rows.first.locator("time")
    assert re.fullmatch(r"20\d\d-\d\d-\d\d", day.get_attribute("datetime") or "")
    assert re.fullmatch(r"\d{1,2} [A-Z][a-z]+ 20\d\d", day.inner_text())
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    for box in page.get_by_role("checkbox").all():
        box.check()
    page.get_by_role("button", name="Put the ticked ones side by side").click()
    page.wait_for_url("**/side-by-side?*")
    assert page.locator(".compare-builds > li").count() == 2
    page.goto("/my-builds")
    page.get_by_role("link", name="Open", exact=True).first.click()
    page.wait_for_url("**/build/knapweed?*slot=12*stature=1830*")
    page.goto("/my-builds")
    page.get_by_role("button", name="Remove").first.click()
    assert rows.count() == 1
    page.get_by_role("button", name="Remove").first.click()
    assert page.get_by_text("Nothing is saved yet").is_visible()


def test_the_link_is_copied_without_the_measurements(browser_page: Page) -> None:
    page = browser_page
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    page.goto(FIRST)
    page.get_by_role("button", name="Copy the link").click()
    page.wait_for_selector("[data-build-said]:has-text('The link is copied.')")
    copied = page.evaluate("navigator.clipboard.readText()")
    assert copied.startswith("http")
    assert "slot=12" in copied
    assert "seen=" in copied
    assert "saddle_height=" in copied
    assert "stature" not in copied
    page.goto(copied)
    assert page.get_by_text("Since this link was made").count() == 0


SHARE = """window.shared = [];
navigator.share = async (what) => {
  window.shared.push(what);
  if (window.refusal) throw new DOMException("", window.refusal);
};"""


def test_the_link_is_shared_where_the_device_can_without_the_measurements(
    browser_page: Page,
) -> None:
    page = browser_page
    page.goto(FIRST)
    button = page.get_by_role("button", name="Share")
    assert button.count() == 0  # this browser has nothing to share with
    page.add_init_script(SHARE)
    page.goto(FIRST)
    button.click()
    page.get_by_label("Medium", exact=True).check()
    page.wait_for_url(lambda url: "size=m" in url)
    button.click()  # the page has changed in place, and so has what is shared
    said = page.locator("[data-build-said]")
    for refusal in ("AbortError", "NotAllowedError"):
        assert said.inner_text() == ""  # nothing to say of a list that was only closed
        page.evaluate("name => { window.refusal = name; }", refusal)
        button.click()
    shows(said, "could not be shared")
    first, second, *_ = page.evaluate("window.shared")
    assert first["title"] == "Knapweed, Large"
    assert second["title"] == "Knapweed, Medium"
    for shared, size in ((first, "l"), (second, "m")):
        assert shared["url"].startswith(f"{page.evaluate('location.origin')}/build/knapweed?")
        assert f"size={size}&" in shared["url"]
        assert "slot=12" in shared["url"]
        assert "stature" not in shared["url"]
    page.goto(first["url"])
    assert page.get_by_label("Large", exact=True).is_checked()
    assert violations(page) == []


@pytest.mark.parametrize("zone", ["Pacific/Kiritimati", "Pacific/Pago_Pago"])
def test_the_day_of_a_kept_build_is_the_readers(browser_page: Page, zone: str) -> None:
    """At any hour one of the two, 14 hours before and 11 behind, has another day than Greenwich."""
    browser = browser_page.context.browser
    assert browser is not None
    browser_page.goto("/")
    context = browser.new_context(timezone_id=zone, base_url=browser_page.url)
    page = context.new_page()
    days = {datetime.now(ZoneInfo(zone)).date().isoformat()}
    keep(page, SECOND)
    days.add(datetime.now(ZoneInfo(zone)).date().isoformat())
    page.goto("/my-builds")
    assert page.locator(".kept-build time").get_attribute("datetime") in days
    context.close()


def test_without_scripts_the_address_is_the_bookmark(browser_page: Page) -> None:
    browser, page = browser_page.context.browser, browser_page
    page.goto("/")
    assert browser is not None
    plain = browser.new_context(java_script_enabled=False, base_url=page.url).new_page()
    plain.goto("/my-builds")
    shows(plain.locator("main"), "bookmark it")
    plain.goto(SECOND)
    assert plain.get_by_role("button", name="Save this build").count() == 0
    plain.get_by_text("The link, to bookmark or send").click()
    assert plain.get_by_role("link", name="this address").is_visible()
    plain.context.close()
