"""From the bike ridden now to its twin, and to a quote with wheels that stay, in a real browser."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import parse_qs, urlencode, urlsplit

import pytest
from playwright.sync_api import expect

from tests.browser.accessible import violations
from webapp.builds.choice.build_choice import read_choice
from webapp.builds.evaluation import BuildResult, compute
from webapp.builds.solving.solver_inputs import UNLOADED
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.common.storage.database import make_engine, reading

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

WALKERS = [(360, True), (1440, True), (360, False)]
RIDDEN = {"size": ["l"], "stem": ["60-0"], "spacers": ["20"]}
OWNED = {
    "rim_front": "584-38", "tyre_front": "64-584", "rim_rear": "584-38", "tyre_rear": "64-584",
}  # fmt: skip


@pytest.fixture(scope="module")
def demo(_filled_sqlite: Path) -> Iterator[Catalogue]:
    """The model that is walked through, as the service has it."""
    engine = make_engine(f"sqlite:///{_filled_sqlite}")
    with reading(engine) as session:
        yield load_catalogue(session, "knapweed")
    engine.dispose()


def built(demo: Catalogue, address: str) -> BuildResult:
    return compute(
        demo, read_choice(demo, parse_qs(urlsplit(address).query), also=("present",)).choice
    )


def points(result: BuildResult) -> list[float]:
    state = result.states[UNLOADED]
    return [float(each) for each in (*state.hands.grips, *state.seated.saddle)]


def tape(result: BuildResult) -> dict[str, str]:
    """What a tape reads on a build, to a tenth of a millimetre."""
    (gx, gy, sx, sy), height = points(result), result.states[UNLOADED].figures["bb_height"]
    read = {
        "bb_above_floor": height, "saddle_above_floor": sy + height, "saddle_behind_bb": -sx,
        "bb_to_saddle": (sx**2 + sy**2) ** 0.5, "grip_above_floor": gy + height,
        "bb_to_grip": (gx**2 + gy**2) ** 0.5,
        "saddle_to_grip": ((gx - sx) ** 2 + (gy - sy) ** 2) ** 0.5,
    }  # fmt: skip
    return {name: f"{value:.1f}" for name, value in read.items()}


@pytest.fixture
def ridden(demo: Catalogue) -> BuildResult:
    """The bike that is told only by its tape."""
    return compute(demo, read_choice(demo, RIDDEN).strict())


@pytest.fixture(params=WALKERS, ids=["phone", "desk", "without script"])
def walker(
    request: pytest.FixtureRequest, browser: Browser, live_server: str
) -> Iterator[tuple[Page, bool]]:
    """A page on a phone, on a desk, and on a phone without any script."""
    width, script = request.param
    context = browser.new_context(
        base_url=live_server, viewport={"width": width, "height": 900}, locale="en-GB",
        java_script_enabled=script,
    )  # fmt: skip
    yield context.new_page(), script
    context.close()


def tell(walker: tuple[Page, bool], read: dict[str, str]) -> Page:
    """Type what is known of the bike ridden now, and go on to the builds nearest to it."""
    page, script = walker
    page.goto("/present-bike")
    for name, text in read.items():
        page.fill(f"#f-{name}", text)
    if script:
        page.wait_for_url(lambda url: all(f"{name}={text}" in url for name, text in read.items()))
    else:
        page.get_by_role("button", name="Work it out").click()
    page.get_by_role("link", name="Find the builds nearest to it").click()
    expect(page.locator("#answers")).to_be_visible()
    return page


def test_a_bike_told_only_by_tape_finds_its_twin(
    walker: tuple[Page, bool], demo: Catalogue, ridden: BuildResult
) -> None:
    page = tell(walker, tape(ridden))
    closest = page.locator(".match-answer").first
    expect(closest).to_contain_text("Size Large")
    closest.get_by_role("link", name="Open this build").click()
    expect(page.locator("#build-picture .ghost").first).to_be_attached()
    twin = built(demo, page.url)
    assert points(twin) == pytest.approx(points(ridden), abs=0.3)  # the tape is read to 0.1
    assert twin.choice.size == ridden.choice.size


def test_owned_wheels_and_hands_closer_lead_to_a_quote(
    walker: tuple[Page, bool], demo: Catalogue, ridden: BuildResult
) -> None:
    page = tell(walker, {**tape(ridden), "closer": "15"})
    for place, slug in OWNED.items():
        page.select_option(f"#f-{place}", slug)
    page.get_by_role("button", name="Find the nearest builds").click()
    closest = page.locator(".match-answer").first
    expect(closest).to_be_visible()
    price = closest.locator("strong").inner_text()
    closest.get_by_role("link", name="Ask for a quote").click()
    assert urlsplit(page.url).path == "/quote/knapweed"
    expect(page.locator("main")).to_contain_text(price)
    answer = built(demo, page.url)
    assert answer.can_be_ordered
    assert OWNED.items() <= answer.choice.parts.items()
    grip_x, grip_y, *saddle = points(ridden)
    assert points(answer) == pytest.approx([grip_x - 15.0, grip_y, *saddle], abs=10.0)


def test_every_page_of_it_is_accessible_and_keeps_to_its_width(
    browser_page: Page, ridden: BuildResult
) -> None:
    told = urlencode({"way": "tape", **tape(ridden), "closer": "15", "right": "yes"})
    present = urlencode({"present": told})
    for address in (
        f"/present-bike?{told}",
        "/present-bike?way=numbers&reach=450&stack=far",
        f"/match/knapweed?{present}",
        f"/match/knapweed?{present}&most_price=100&closer=near",
        f"/build/knapweed/range?{present}",
        f"/side-by-side?{present}&build=knapweed%3Fsize%3Dm",
        f"/build/knapweed?{present}",
    ):
        for width in (320, 360, 1440):
            browser_page.set_viewport_size({"width": width, "height": 900})
            if width != 360:  # the sheet of 320 also stands at 360
                browser_page.goto(address)
            assert browser_page.evaluate("document.documentElement.scrollWidth") <= width
            if width > 320:
                assert violations(browser_page) == [], (address, width)
