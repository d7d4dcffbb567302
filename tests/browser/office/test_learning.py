"""Coverage, ten outcomes and a batch split in the office, in a real browser."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.browser.accessible import violations
from tests.browser.showing import shows
from tests.webapp.quote.conftest import CUSTOMER
from webapp.builds.choice.build_choice import read_choice
from webapp.catalogue.reading.load import load_catalogue
from webapp.common.storage.database import reading, writing
from webapp.common.timestamps import now
from webapp.outcomes import demo
from webapp.quote.lifecycle.request import ask_for_quote

if TYPE_CHECKING:
    from fastapi import FastAPI
    from playwright.sync_api import Page

    from tests.browser.signing_in import OwnService

pytestmark = pytest.mark.browser

RIDERS = (
    ("s", "1640", "770"), ("s", "1655", "790"), ("m", "1700", "800"), ("m", "1725", "825"),
    ("m", "1740", "815"), ("l", "1790", "850"), ("l", "1800", "870"), ("l", "1815", "855"),
    ("xl", "1880", "900"), ("xl", "1890", "880"),
)  # fmt: skip
SHORTER = 25.0


class Shop:
    """A service of this module's own, with ten riders' quotes."""

    def __init__(self, app: FastAPI) -> None:
        self.app = app
        with reading(app.state.engine) as session:
            catalogue = load_catalogue(session, "knapweed")
        self.quotes = []
        with writing(app.state.engine) as session:
            for i, (size, stature, inseam) in enumerate(RIDERS):
                query = {"size": [size], "stature": [stature], "inseam": [inseam]}
                choice = read_choice(catalogue, query).strict()
                made = ask_for_quote(
                    session, catalogue, choice, CUSTOMER, form_key=f"rider-{i}" * 4, at=now()
                )
                self.quotes.append(made.number)


@pytest.fixture(scope="module")
def shop(own_service: OwnService) -> Shop:
    """The service, running."""
    return Shop(own_service.app)


@pytest.fixture
def desk(shop: Shop, staff_page: Page) -> Page:
    """The builder's browser."""
    return staff_page


def accessible(page: Page) -> None:
    """Without a violation, and never wider than the screen, on a phone and on a desk."""
    for width in (360, 1440):
        page.set_viewport_size({"width": width, "height": 900})
        assert violations(page) == []
        assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_the_builder_learns(desk: Page, shop: Shop) -> None:
    see_whom_the_sizes_serve(desk)
    shorten_a_reach(desk)
    see_who_gains_and_who_loses(desk)
    contradict_oneself(desk, shop.quotes[0])
    for i, number in enumerate(shop.quotes):
        record(desk, number, said="long" if i < 6 else "right")
    see_foretold_beside_happened(desk)
    split_sixty_frames(desk)
    with_the_demo_take_over_what_was_learnt(desk, shop)


def see_whom_the_sizes_serve(page: Page) -> None:
    """The Knapweed's coverage, as a picture with its table."""
    page.goto("/office")
    page.click("text=Who sizes fit")
    page.wait_for_url("**/office/coverage/knapweed")
    shows(page.locator("main"), "of 100 people, 50 of them men")
    drawn = page.locator("svg.drawing-full")
    assert drawn.count() == 1
    assert all(name in (drawn.text_content() or "") for name in ("Extra small", "Large"))
    page.click("text=The picture as a table")
    assert page.locator("th:has-text('1700 to 1750')").first.is_visible()


def shorten_a_reach(page: Page) -> None:
    """The medium's, in a draft."""
    page.goto("/office")
    page.click("text=Begin a draft of the Knapweed")
    page.wait_for_url("**/office/models/knapweed/3")
    reach = float(page.input_value('[id="f-m.reach"]'))
    page.fill('[id="f-m.reach"]', f"{reach - SHORTER:g}")
    page.click("text=Save the draft")
    page.wait_for_load_state()


def see_who_gains_and_who_loses(page: Page) -> None:
    """Before and after side by side, and the same on the effect of the draft."""
    page.goto("/office/coverage/knapweed")
    assert page.locator("svg.drawing-full").count() == 2
    who = page.locator("section:has(#h-effect)")
    shows(who, "lose it")
    rows = who.locator("tbody tr")
    lost = [float(rows.nth(i).locator("td").nth(3).inner_text()) for i in range(rows.count())]
    assert max(lost) > 1.0
    accessible(page)
    page.goto("/office/models/knapweed/3/effect")
    shows(page.locator("section:has(#h-people)"), "are advised another size")
    assert violations(page) == []


def contradict_oneself(page: Page, number: str) -> None:
    """Too long, and a longer one bought: said at the field, and nothing typed is lost."""
    page.goto(f"/counter/quotes/{number}")
    page.click("text=After the ride, after three months")
    page.wait_for_url("**/outcome")
    page.check("#f-length-3")
    page.select_option("#f-size_bought", "xl")
    page.check("#f-consent")
    page.fill("#f-span", "1650")
    page.click("button:has-text('Record it')")
    page.wait_for_selector(".error-summary")
    shows(page.locator("#f-size_bought-error"), "smaller size")
    assert page.input_value("#f-span") == "1650"
    assert page.is_checked("#f-consent")
    accessible(page)


def record(page: Page, number: str, *, said: str) -> None:
    """After three months, with measurements the rider agreed to."""
    page.goto(f"/counter/quotes/{number}/outcome")
    page.check("#f-moment-2")
    page.select_option("#f-size_bought", page.input_value("#f-size_ridden"))
    page.check({"short": "#f-length-1", "right": "#f-length-2", "long": "#f-length-3"}[said])
    page.check("#f-height-3")
    page.check("#f-consent")
    page.click("button:has-text('Record it')")
    page.wait_for_selector("text=Recorded.")


def see_foretold_beside_happened(page: Page) -> None:
    """Counts of what happened; too few to offer anything, and how many more are needed."""
    page.goto("/office/learned/knapweed")
    said = page.locator("main").inner_text()
    assert "10 outcomes, 10 with measurements" in said
    assert "10 more outcomes with measurements are needed" in said
    happened = page.locator("section:has(#h-happened) table").last.locator("tbody tr")
    counts = [int(happened.nth(i).locator("td").last.inner_text()) for i in range(3)]
    assert counts == [0, 4, 6]
    assert not page.is_visible("button:has-text('Put them into the draft')")
    accessible(page)


def split_sixty_frames(page: Page) -> None:
    """With its reasons; none and a million are refused."""
    page.goto("/office/coverage/knapweed")
    page.click("text=Split a batch")
    page.fill("#f-frames", "1000000")
    page.click("button:has-text('Split it')")
    page.wait_for_selector("#f-frames-error")
    assert page.input_value("#f-frames") == "1000000"
    page.fill("#f-frames", "60")
    page.click("button:has-text('Split it')")
    page.wait_for_selector("#h-split")
    rows = page.locator("section:has(#h-split) tbody tr")
    frames = [int(rows.nth(i).locator("td").first.inner_text()) for i in range(rows.count())]
    assert sum(frames) == 60
    shows(rows.first, "of 100 cases")
    shows(page.locator("section:has(#h-split)"), "In 80 of 100 cases")
    accessible(page)


def with_the_demo_take_over_what_was_learnt(page: Page, shop: Shop) -> None:
    """Enough outcomes: windows open in their own form, statures go into the draft when agreed."""
    demo.fill(shop.app.state.engine)
    page.goto("/office/learned/knapweed")
    page.click("text=Open the windows of Trail as learnt")
    page.wait_for_url("**/office/settings/styles/trail")
    assert page.locator("text=As typed").first.is_visible()
    learnt = float(page.input_value('[id="f-bar_above_saddle.low"]'))
    page.goto("/office/settings/styles/trail")
    assert float(page.input_value('[id="f-bar_above_saddle.low"]')) < learnt, "nothing is kept yet"
    page.goto("/office/learned/knapweed")
    page.click("button:has-text('Put them into the draft')")
    page.wait_for_selector("#f-agreed-error")
    page.check("#f-agreed")
    page.click("button:has-text('Put them into the draft')")
    page.wait_for_url("**/office/models/knapweed/3")
    page.goto("/office/models/knapweed/3/size/m")
    with reading(shop.app.state.engine) as session:
        published = load_catalogue(session, "knapweed").size("m").data.riders
    assert published is not None
    assert float(page.input_value('[id="f-riders.shortest"]')) > published.shortest
    page.goto("/office/learned/knapweed")
    page.click("text=Remove the invented ones")
    page.wait_for_selector("text=10 outcomes, 10 with measurements")
