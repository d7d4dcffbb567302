"""From an empty start to the first quote, by a builder who has read only the screens.

Invented: another currency, no tax, two models, forks of their own, frames sold alone or with
a fork. Nothing is opened by its address but what the first start prints; every further page
is reached by pressing what stands on the one before.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import pytest

from tests.browser.accessible import violations
from tests.browser.showing import shows
from tests.browser.signing_in import PASSWORD
from tests.own_builder import FITTINGS, FORK, MARK, ROAD, ROAD_TABLE, TRAIL, TRAIL_TABLE
from webapp.common.paths import ROOT

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

PRESSED: tuple[Literal["link", "button"], ...] = ("link", "button")
MOST_ACTIONS = 160  # pressed, chosen or filled in; at ten seconds each below half an hour


@contextmanager
def begun_empty(folder: Path) -> Iterator[str]:
    """The service from its command, with no data; gives the builder's link."""
    kept = {k: v for k, v in os.environ.items() if k not in {"DATABASE_URL", "SECRET_KEY"}}
    words = [sys.executable, "-m", "webapp", "--port", "0", "--empty"]
    with subprocess.Popen(
        words, cwd=ROOT, env=kept | {"DATA_FOLDER": str(folder)}, stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL, text=True,
    ) as service:  # fmt: skip
        try:
            assert service.stdout
            service.stdout.readline()
            found = re.search(r"http://\S+", service.stdout.readline())
            assert found
            yield found[0]
        finally:
            service.terminate()


class Hand:
    """Presses, chooses and fills in, and counts how often."""

    def __init__(self, page: Page) -> None:
        self.page, self.actions = page, 0

    def press(self, words: str) -> None:
        """Press a link or button that says so, and wait until the page it leads to is all there.

        Without the wait, what comes next could be asked of a page that is still arriving.
        """
        self.actions += 1
        link, button = (self.page.get_by_role(role, name=words, exact=True) for role in PRESSED)
        with self.page.expect_navigation(wait_until="domcontentloaded"):
            link.or_(button).first.click()

    def fill(self, fields: dict[str, str]) -> None:
        """Fill in fields, or choose in lists."""
        for name, value in fields.items():
            self.actions += 1
            field = self.page.locator(f'[name="{name}"]')
            if field.evaluate("field => field.tagName") == "SELECT":
                field.select_option(value)
            else:
                field.fill(value)

    def table(self, rows: dict[str, str], sizes: str) -> None:
        """Type a table, a cell at a time."""
        for path, values in rows.items():
            cells = zip(sizes.split(), values.split(), strict=True)
            self.fill({f"{size}.{path}": value for size, value in cells})

    def draw(self, name: str, price: str, sizes: str, shared: dict[str, str],
             table: dict[str, str]) -> None:  # fmt: skip
        """A model from its name to its draft."""
        self.fill({"name": name, "frame_price": price, "sizes": sizes})
        self.press("Go on")
        self.fill(shared | FITTINGS)
        self.table(table, sizes.replace(",", "").lower())
        self.press("Save the draft")

    def publish(self) -> None:
        """From the draft's page to a published revision."""
        self.press("Publish…")
        assert violations(self.page) == []
        self.press("Publish revision 1")


def test_an_empty_start_leads_to_the_first_quote_by_what_stands_on_the_screens(
    browser: Browser, tmp_path: Path
) -> None:
    with begun_empty(tmp_path) as link:
        page = browser.new_context(viewport={"width": 1440, "height": 900}).new_page()
        page.set_default_timeout(10_000)
        hand = Hand(page)
        page.goto(link)
        hand.fill({"password": PASSWORD, "again": PASSWORD})
        hand.press("Set password")
        _begin(hand)
        hand.press("Draw your first model")
        hand.draw("Skare", "18 500", "S, M, L", ROAD, ROAD_TABLE)
        hand.publish()
        hand.press("Revisions")
        hand.press("Add a model")
        hand.draw("Rype", "19 900", "S, L", TRAIL, TRAIL_TABLE)
        hand.publish()
        hand.press("Revisions")
        hand.press("Add the parts you sell with it")
        _own_fork(hand)
        hand.press("Revisions")
        hand.press("Make the first quote")
        hand.press("Skare")
        hand.press("Build without measuring")
        hand.fill({"name": "Ada Marl"})
        assert violations(page) == []
        hand.press("Make the quote")
        said = page.inner_text("main")
        assert "21\N{NO-BREAK SPACE}700,00" in said  # a frame and its fork, no tax
        assert "Tax" not in said
        assert 100 < hand.actions <= MOST_ACTIONS, hand.actions


def _begin(hand: Hand) -> None:
    page = hand.page
    assert violations(page) == []
    hand.fill({"letterhead.country": "NO"})
    hand.press("Fill in what is usual there")
    hand.fill({"letterhead.name": "Fjellbekk Rammer", "letterhead.email": "hei@fjellbekk.example"})
    page.set_input_files(
        "#f-mark", {"name": "mark.svg", "mimeType": "image/svg+xml", "buffer": MARK}
    )
    hand.fill({"look.accent": "#14506b"})
    hand.press("Begin")
    page.wait_for_url("**/office")
    assert page.locator(".office-steps > li").count() == 5
    assert violations(page) == []


def _own_fork(hand: Hand) -> None:
    hand.fill(FORK)
    for name in ("offer:skare", "usual:skare"):
        hand.actions += 1
        hand.page.check(f'[name="{name}"]')
    hand.press("Add it")
    shows(hand.page.locator("main"), "21\N{NO-BREAK SPACE}700,00")
    hand.press("Put it in force")
