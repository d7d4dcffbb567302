"""The builder's first visit, by the one-time link with which a password is set."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from tests.browser.accessible import violations

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

PASSWORD = "kiln heather axle"


def cookies_by_link(browser: Browser, link: str) -> Any:
    """Cookies of the builder, signed in through the first link."""
    context = browser.new_context()
    page = context.new_page()
    page.goto(link)
    assert violations(page) == []
    page.fill("#f-password", PASSWORD)
    page.fill("#f-again", PASSWORD)
    page.press("#f-again", "Enter")
    page.wait_for_url("**/counter")
    state = context.storage_state()
    context.close()
    return state


def page_without_script_errors(browser: Browser, address: str, signed_in: Any) -> Iterator[Page]:
    """A page of 1440 × 900 for somebody signed in; script errors fail the test."""
    context = browser.new_context(
        base_url=address,
        storage_state=signed_in,
        viewport={"width": 1440, "height": 900},
        locale="en-GB",
    )
    page = context.new_page()
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    yield page
    context.close()
    assert faults == []
