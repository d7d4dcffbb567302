"""A dialogue: a couple comes in, two riders and two sizes, and leaves with one quote.

Played by the shop's builder at the counter and by the couple on a phone. What it takes is
counted and printed (``pytest -s``): fields typed, presses, and the machine's seconds.
"""

from __future__ import annotations

import sys
import time
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser.accessible import violations
from tests.browser.showing import shows

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

HER = "stature=1680&inseam=780&weight=64"
HIM = "stature=1860&inseam=870&weight=84"


class Counted:
    """A page, with what is done on it counted."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.fields = self.presses = 0
        self.began = time.perf_counter()

    def fill(self, name: str, text: str) -> None:
        self.fields += 1
        self.page.fill(f"#f-{name}", text)

    def press(self, words: str) -> None:
        self.presses += 1
        self.page.click(f"main >> text={words}")

    def size(self, slug: str) -> None:
        """Choose a size; the button below follows."""
        self.presses += 1
        self.page.check(f'input[name="size"][value="{slug}"]', force=True)
        chosen = f'input[name=build][value*="size={slug}&"]'
        self.page.wait_for_selector(chosen, state="attached")


def test_a_couple_with_two_sizes(staff_page: Page, browser: Browser) -> None:
    counter, played = staff_page, Counted(staff_page)
    counter.goto(f"/counter/new/knapweed?size=m&{HER}")
    played.fill("name", "Ada Marl")
    played.fill("mail", "ada@marl.example")
    played.press("Make the quote")
    counter.wait_for_url("**/counter/quotes/*")
    quote = counter.url
    played.press("Add a bike")
    counter.goto(f"{counter.url}&{HIM}")  # the same bike, begun for whoever stands there second
    played.size("l")
    expect(counter.locator("#build-bar")).to_contain_text("9,168.00 EUR")
    played.press("Make version 2 with this bike too")
    counter.wait_for_url(quote)
    assert violations(counter) == []
    said = counter.inner_text("main")
    assert "Knapweed, Medium; Knapweed, Large, 9,168.00 EUR" in said
    assert "Bike 2: Knapweed, size Large" in said
    # Hers gets a little off; the quote tells on which bike.
    played.press("Discount, delivery, dates")
    counter.click("summary:has-text('Discounts on single lines')")
    counter.fill("#f-off_bike2-frame", "5 %")
    counter.fill("#f-off_bike2-frame_reason", "second frame")
    played.press("Make the new version")
    counter.wait_for_url(quote)
    shows(counter.locator("main"), "5 %: second frame")
    played.press("Open to the customer: version 3")
    link = counter.get_attribute(".quote-link a", "href") or ""
    seconds = time.perf_counter() - played.began
    told = f"{played.fields + 2} fields, {played.presses + 1} presses, {seconds:.1f} s"
    sys.stdout.write(f"\ncouple: {told}\n")
    phone = browser.new_context(viewport={"width": 360, "height": 740}).new_page()
    phone.goto(link)
    assert violations(phone) == []
    assert phone.evaluate("document.documentElement.scrollWidth") <= 360
    seen = phone.inner_text("main")
    for words in ("Bike 1: Knapweed, size Medium", "Bike 2: Knapweed, size Large", "9,093.50 EUR"):
        assert words in seen, words
    phone.click("text=Order this")
    phone.fill("#f-accepted_by", "Ada Marl")
    phone.fill("#f-address", "Mill Lane 3\n4051 Reedham")
    phone.check("#f-agreed")
    phone.click("text=Accept and order")
    shows(phone.locator("main"), "Version 3 was accepted by Ada Marl")
    phone.context.close()
    counter.goto("/counter/customers?q=marl")
    counter.click("table >> text=Ada Marl")
    shows(counter.locator("main"), "Knapweed, Medium + Large")
