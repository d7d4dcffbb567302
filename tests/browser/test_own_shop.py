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
from typing import TYPE_CHECKING

import pytest

from tests.browser.accessible import violations
from tests.browser.signing_in import PASSWORD
from webapp.common.paths import ROOT

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

MARK = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 6"><path d="M0 6 4 0l5 6z"/></svg>'
MOST_ACTIONS = 160  # pressed, chosen or filled in; at ten seconds each below half an hour

SHARED = {"offset": "50", "lower_headset_stack": "12", "mass_rider": "120", "mass_whole": "135"}
ROAD = {**SHARED, "axle_to_crown": "400", "tyre_width": "45", "fork_shortest": "390",
        "fork_longest": "430", "tyre_recommended": "45", "tyre_largest": "50"}  # fmt: skip
TRAIL = {**SHARED, "axle_to_crown": "430", "offset": "45", "tyre_width": "57",
         "fork_shortest": "420", "fork_longest": "450", "tyre_recommended": "57",
         "tyre_largest": "60"}  # fmt: skip
FITTINGS = {"head_tube": "zs44/zs56", "rear_axle": "12x142-through",
            "bottom_bracket": "68-threaded", "post_diameter": "27.2",
            "rear_brake": "flat-mount"}  # fmt: skip
ROAD_TABLE = {
    "reach": "375 388 401", "stack": "559 581 605", "head_angle": "71 71,5 72",
    "head_tube_length": "120 141 165", "seat_tube_angle": "74 73,5 73",
    "seat_tube_length": "460 500 540", "chainstay_length": "430 430 430", "bb_drop": "72 72 72",
    "top_tube.below_head_tube_top": "40 40 40", "top_tube.along_seat_tube": "420 460 500",
    "top_tube.diameter": "32 32 32", "post.depth": "300 340 380", "stem_length": "70 80 90",
    "riders.shortest": "1600 1700 1800", "riders.tallest": "1720 1820 1930",
}  # fmt: skip
TRAIL_TABLE = {
    "reach": "400 425", "stack": "559 573", "head_angle": "68,5 68,5",
    "head_tube_length": "110 125", "seat_tube_angle": "75 75", "seat_tube_length": "430 460",
    "chainstay_length": "440 440", "bb_drop": "62 62", "top_tube.below_head_tube_top": "40 40",
    "top_tube.along_seat_tube": "390 420", "top_tube.diameter": "35 35",
    "post.depth": "270 300", "stem_length": "50 50",
}  # fmt: skip


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
        """Press a link or button that says so."""
        self.actions += 1
        found = self.page.get_by_role("link", name=words, exact=True)
        found = found if found.count() else self.page.get_by_role("button", name=words, exact=True)
        found.first.click()

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
        self.press("Keep the draft")

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
    assert page.locator(".office-steps > li").count() == 5
    assert violations(page) == []


def _own_fork(hand: Hand) -> None:
    hand.fill({"part_name": "own rigid fork, 400 mm", "part_price": "3 200",
               "axle_to_crown": "400", "axle_to_crown_measured": "along", "offset": "50",
               "steerer": "tapered-1.5", "steerer_clamp_diameter": "28,6",
               "axle": "12x100-through", "tyres.0.bead_seat_diameter": "622",
               "tyres.0.widest": "50"})  # fmt: skip
    for name in ("offer:skare", "usual:skare"):
        hand.actions += 1
        hand.page.check(f'[name="{name}"]')
    hand.press("Add it")
    assert "21\N{NO-BREAK SPACE}700,00" in hand.page.inner_text("main")  # what it does, first
    hand.press("Put it in force")
