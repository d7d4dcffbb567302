"""The build page while one chooses: what stays in view, its length, what each choice changes."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser.accessible import main_buttons_at_once, violations

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator, Page

pytestmark = pytest.mark.browser

BUILD = "/build/knapweed"
RIDER = "?stature=175+cm&inseam=82+cm&weight=75+kg"
SIZES = {"phone": (360, 740), "small": (320, 640), "desk": (1440, 900)}
IN_VIEW = """el => { const b = el.getBoundingClientRect();
  const top = document.elementFromPoint(b.left + b.width / 2, b.top + b.height / 2);
  return b.top >= -1 && b.bottom <= innerHeight + 1 && b.left >= -1 && b.right <= innerWidth + 1
    && (el === top || el.contains(top) || (top !== null && top.contains(el))); }"""


@pytest.fixture(params=SIZES)
def chooser(request: pytest.FixtureRequest, browser_page: Page) -> Page:
    """The page in one of three windows."""
    width, height = SIZES[request.param]
    browser_page.set_viewport_size({"width": width, "height": height})
    browser_page.goto(BUILD)
    return browser_page


def seen(place: Locator) -> bool:
    return bool(place.evaluate(IN_VIEW))


def open_step(page: Page, key: str) -> None:
    page.locator(f"#step-{key} > summary").click()


@pytest.mark.parametrize("rider", ["", RIDER])
@pytest.mark.parametrize(("size", "screens"), [("desk", 3), ("phone", 5)])
def test_page_is_short_before_anything_is_opened(
    browser_page: Page, size: str, screens: int, rider: str
) -> None:
    width, height = SIZES[size]
    browser_page.set_viewport_size({"width": width, "height": height})
    browser_page.goto(BUILD + rider)
    assert browser_page.locator("#all-posture").count() == (1 if rider else 0)
    assert browser_page.evaluate("document.documentElement.scrollHeight") <= screens * height


FAILING = (
    "?hub=hub-gear-6-135",  # five checks
    "?size=xs&saddle_height=900&crank_length=180&luggage=60",
    "?stature=150+cm&inseam=68+cm&size=xxl",
    "?stature=196+cm&inseam=92+cm&size=xs&tyre_rear=64-584&state=sagged",
    "?stature=175+cm&inseam=82+cm&weight=140+kg&luggage=40",
)


def test_a_failing_build_s_page_is_no_longer(browser_page: Page) -> None:
    long = []
    for query in FAILING:
        browser_page.goto(BUILD + query)
        assert browser_page.locator(".trouble-no").count()
        for size, screens in (("desk", 3), ("phone", 5)):
            width, height = SIZES[size]
            browser_page.set_viewport_size({"width": width, "height": height})
            high = browser_page.evaluate("document.documentElement.scrollHeight")
            if high > screens * height:
                long.append((query, size, high / height))
    assert long == []


def test_drawing_verdict_total_and_quote_stay_in_view(chooser: Page) -> None:
    steps = chooser.locator(".step > summary")
    for at in range(steps.count()):
        steps.nth(at).scroll_into_view_if_needed()
        for place in (".build-verdict", ".build-total", ".build-next a"):
            assert seen(chooser.locator(place)), place
        drawing = chooser.locator("#build-picture .drawing-paper > svg:visible")
        if at > 1:  # above them is the page's head
            assert seen(drawing)


LETTERS = """() => [...document.querySelectorAll("#build-picture svg text")]
  .filter(text => text.getBoundingClientRect().width)
  .map(text => Number.parseFloat(getComputedStyle(text).fontSize) * text.getScreenCTM().a)"""


@pytest.mark.parametrize("rider", ["", RIDER])
def test_on_a_low_desk_letters_are_of_12_px_and_the_drawing_stands_clear_of_the_bar(
    browser_page: Page, rider: str
) -> None:
    browser_page.set_viewport_size({"width": 1280, "height": 720})
    browser_page.goto(BUILD + rider)
    assert min(browser_page.evaluate(LETTERS)) >= 12.0
    browser_page.evaluate("scrollTo(0, 400)")
    drawing = browser_page.locator("#build-picture").bounding_box()
    bar = browser_page.locator("#build-bar").bounding_box()
    assert drawing is not None
    assert bar is not None
    assert drawing["y"] >= 0
    assert drawing["y"] + drawing["height"] <= bar["y"]


WINDOWS = ((320, 640), (412, 900), (600, 1000), (720, 450), (768, 1024), (959, 600), (1024, 768))


def test_letters_are_of_12_px_in_a_window_of_any_shape(browser_page: Page) -> None:
    """720 × 450 is a desk's screen at 200 % zoom, 600 to 959 wide are tablets held upright."""
    small = []
    for query in ("", RIDER):
        browser_page.goto(BUILD + query)
        for width, height in WINDOWS:
            browser_page.set_viewport_size({"width": width, "height": height})
            letters = browser_page.evaluate(LETTERS)
            assert letters
            if min(letters) < 12.0:
                small.append((query, width, height, min(letters)))
    assert small == []


def test_nothing_that_sticks_covers_what_is_focused(chooser: Page) -> None:
    chooser.locator("#f-size-1").focus()
    for _ in range(45):
        chooser.keyboard.press("Tab")
        hidden = chooser.evaluate(
            """() => { const el = document.activeElement; if (el === document.body) return '';
            if (el.closest('.build-bar, .build-picture, .masthead')) return '';
            const b = el.getBoundingClientRect(), x = b.left + Math.min(b.width, 40) / 2;
            const free = [b.top + 2, (b.top + b.bottom) / 2, b.bottom - 2].filter(y => {
              const top = document.elementFromPoint(x, y);
              return top && (el.contains(top) || top.contains(el)); });
            return free.length < 2 ? (el.id || el.className || el.tagName) : ''; }"""
        )
        assert hidden == ""


def test_sticky_things_never_cover_each_other(chooser: Page) -> None:
    for share in (0.2, 0.5, 0.8, 1.0):
        chooser.evaluate("s => scrollTo(0, s * document.documentElement.scrollHeight)", share)
        boxes = chooser.evaluate(
            """() => [...document.querySelectorAll('.build-bar, .build-picture')].map(el => {
              const b = el.getBoundingClientRect(); return [b.top, b.bottom, b.left, b.right]; })"""
        )
        (top, bottom, *_), (bar_top, bar_bottom, *_) = boxes
        assert bottom <= bar_top + 1 or top >= bar_bottom - 1


def test_every_option_says_what_it_changes(browser_page: Page) -> None:
    browser_page.goto(BUILD)
    open_step(browser_page, "fork")
    option = browser_page.locator(".choice", has=browser_page.locator('[value="suspension-150"]'))
    said = option.locator(".choice-effect").inner_text()
    assert re.fullmatch(r"\+ \d+ EUR, \+ 0\.\d+ kg", said)
    extra = float(said.split()[1])
    before = total(browser_page)
    browser_page.get_by_label("suspension fork 29, 150 mm", exact=True).check()
    browser_page.wait_for_url(lambda url: "fork=suspension-150" in url)
    assert total(browser_page) == pytest.approx(before + extra)


def total(page: Page) -> float:
    text = page.locator('[data-figure="total"]').get_attribute("data-value") or ""
    return float(text.split()[0].replace(",", ""))


def test_own_part_costs_nothing_and_is_named(browser_page: Page) -> None:
    browser_page.goto(BUILD)
    before = total(browser_page)
    open_step(browser_page, "seat")
    browser_page.locator("#part-saddle > summary").click()
    browser_page.locator("#f-own-saddle").check()
    browser_page.wait_for_url(lambda url: "own=saddle" in url)
    assert total(browser_page) == before - 79
    assert browser_page.locator("#f-own-saddle").is_checked()
    browser_page.get_by_text("23 lines").click()
    expect(browser_page.locator("#price-lines")).to_contain_text(
        "trail saddle, 145 mm wide (the customer’s own)"
    )
    browser_page.get_by_role("link", name="Ask for a quote").click()
    expect(browser_page.locator("main")).to_contain_text("(the customer’s own)")


def test_what_was_opened_stays_open_after_a_change_and_a_reload(chooser: Page) -> None:
    open_step(chooser, "cockpit")
    chooser.locator("#part-stem > summary").click()
    open_step(chooser, "size")  # open at first: closed by this
    chooser.locator('#part-stem [type="radio"]:not(:checked)').first.check()
    chooser.wait_for_load_state("networkidle")
    for again in (False, True):
        if again:
            chooser.reload()
        assert chooser.locator("#part-stem").evaluate("el => el.open")
        assert not chooser.locator("#step-size").evaluate("el => el.open")


def test_sagged_is_one_press_away_and_stays(browser_page: Page) -> None:
    browser_page.goto(BUILD)
    before = browser_page.locator("#build-picture svg.drawing-full").inner_html()
    browser_page.locator("#build-picture").get_by_role("link", name="sagged").click()
    browser_page.wait_for_url(lambda url: "state=sagged" in url)
    assert browser_page.locator("#build-picture svg.drawing-full").inner_html() != before
    browser_page.get_by_label("Large", exact=True).check()
    browser_page.wait_for_url(lambda url: "size=l" in url)
    assert "state=sagged" in browser_page.url
    assert browser_page.locator('.drawing-states [aria-current="true"]').inner_text() == "sagged"


def test_failure_is_said_at_its_step_with_the_least_change_first(chooser: Page) -> None:
    chooser.goto(f"{BUILD}?hub=hub-gear-6-135")
    told = chooser.locator("#step-drive + div > .trouble")
    ways = told.locator(".check-ways a").all_inner_texts()
    assert [len(way.split("; ")) for way in ways] == sorted(len(way.split("; ")) for way in ways)
    assert "93 teeth" not in chooser.content()
    told.locator(".check-ways a").first.click()
    expect(chooser.locator(".build-verdict")).to_contain_text("Fits")
    assert chooser.locator(".trouble-no").count() == 0


OF_RIDERS = (
    BUILD,
    f"{BUILD}?hub=hub-gear-6-135",
    f"{BUILD}?slot=99",
    "/",
    "/fit/knapweed?stature=1790",
    "/table/knapweed",
    "/side-by-side?build=knapweed&build=burdock",
    f"{BUILD}/drive",
    "/match/knapweed",
    "/present-bike",
    "/quote/knapweed",
    "/my-builds",
)


def test_one_primary_button_a_screen(chooser: Page) -> None:
    crowded = []
    for address in OF_RIDERS:
        chooser.goto(address)
        if main_buttons_at_once(chooser) > 1:
            crowded.append(address)
    assert crowded == []


def test_axe_finds_nothing_in_any_state(chooser: Page) -> None:
    for address in (f"{BUILD}?hub=hub-gear-6-135&own=saddle&state=sagged", f"{BUILD}?slot=99"):
        chooser.goto(address)
        chooser.evaluate("document.querySelectorAll('details').forEach(each => each.open = true)")
        assert violations(chooser) == []


def test_steps_open_without_javascript(browser: Browser, live_server: str) -> None:
    context = browser.new_context(base_url=live_server, java_script_enabled=False)
    page = context.new_page()
    page.goto(BUILD)
    open_step(page, "seat")
    page.locator("#part-saddle > summary").click()
    page.locator("#f-own-saddle").check()
    page.locator("#step-seat").get_by_role("button", name="Show this build").click()
    assert "own=saddle" in page.url
    assert page.url.endswith("#in-seat")
    assert page.locator("#f-saddle_height").is_visible()  # the very step, opened
    context.close()
