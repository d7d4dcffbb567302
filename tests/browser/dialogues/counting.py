"""A dialogue played in a browser, with what it takes counted: fields, clicks, keys, seconds.

Fields are those typed into; clicks are presses of links, buttons and choices; keys are
pressed one by one, Tab among them. Seconds are the machine's alone: a person adds their own.
"""

from __future__ import annotations

import sys
import time
from typing import TYPE_CHECKING

from tests.browser.showing import shows

if TYPE_CHECKING:
    from playwright.sync_api import Page

MOST_TABS = 8


class Played:
    """Somebody at a page, and what they have done so far."""

    def __init__(self, page: Page, who: str) -> None:
        self.page = page
        self.who = who
        self.fields = self.clicks = self.keys = 0
        self._began = time.perf_counter()

    def open(self, address: str) -> None:
        """Follow a link that was given to them."""
        self.page.goto(address)

    def fill(self, name: str, text: str) -> None:
        """Type into the field of this name."""
        self.fields += 1
        self.page.fill(f"#f-{name}", text)

    def type(self, text: str) -> None:
        """Type into the field that has the focus."""
        self.fields += 1
        self.page.keyboard.type(text)

    def click(self, words: str, *, within: str = "main") -> None:
        """Press what says these words: a button, a link, a fold or a choice."""
        self.clicks += 1
        self.page.locator(f"{within} >> text={words}").first.click()

    def choose(self, name: str, value: str) -> None:
        """Choose one option of a list of the build, opening what it is folded in."""
        option = self.page.locator(f'input[name="{name}"][value="{value}"]')
        self._unfold(option)
        self.clicks += 1
        option.check()

    def tick(self, selector: str) -> None:
        """Tick a box, opening what it is folded in."""
        box = self.page.locator(selector)
        self._unfold(box)
        self.clicks += 1
        box.check()

    def _unfold(self, control: object) -> None:
        """Open the folds around a control, the outermost first."""
        self.arrived()
        folds = control.locator("xpath=ancestor::details[not(@open)]/summary")  # type: ignore[attr-defined]
        while folds.count():
            self.clicks += 1
            folds.first.click()

    def arrived(self) -> None:
        """Wait until the page is all there, so that nothing is counted or read too early."""
        self.page.wait_for_load_state("domcontentloaded")

    def press(self, *keys: str) -> None:
        """Press keys one after another."""
        self.keys += len(keys)
        for key in keys:
            self.page.keyboard.press(key)

    def tab_to(self, selector: str, most: int = MOST_TABS) -> None:
        """Press Tab until something has the focus; it may not take more than ``most``."""
        for _ in range(most):
            self.press("Tab")
            if self.page.evaluate("what => document.activeElement.matches(what)", selector):
                return
        raise AssertionError(f"{selector} takes more than {most} tabs")

    def says(self, *words: str, within: str = "main") -> None:
        """The page shows these words, or does as soon as they have arrived."""
        for each in words:
            shows(self.page.locator(within).first, each)

    def order(self, name: str) -> None:
        """Order the quote before them, in a name."""
        self.click("Order this")
        self.fill("accepted_by", name)
        self.fill("address", f"{name}\nMill Lane 3\n4051 Reedham")
        self.tick("#f-agreed")
        self.click("Accept and order")

    @property
    def seconds(self) -> float:
        """Since they came."""
        return time.perf_counter() - self._began

    def report(self, dialogue: str) -> None:
        """Print what it took."""
        sys.stdout.write(
            f"{dialogue}, {self.who}: {self.fields} fields, {self.clicks} clicks, "
            f"{self.keys} keys, {self.seconds:.1f} s\n"
        )
