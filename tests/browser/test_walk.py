"""A rider's walk in a real browser: build, side by side, geometry table."""

from __future__ import annotations

from typing import TYPE_CHECKING
from urllib.parse import parse_qs, urlsplit

import pytest
from playwright.sync_api import expect

from tests.browser.accessible import violations

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

BUILD = "/build/knapweed"
COMPARE = (
    "/side-by-side?build=knapweed%3Fsize%3Dm&build=knapweed%3Fsize%3Dl%26fork%3Dsuspension-150"
)
FOUR = f"{COMPARE}&build=burdock&build=knapweed%3Fslot%3D24&state=sagged&align=rear-axle"
REFUSED = f"{COMPARE}&build=knapweed%3Fslot%3D99"
TABLE = "/table/knapweed"
PAGES = ["/", BUILD, f"{BUILD}?tyre_rear=64-584", "/side-by-side", COMPARE, FOUR, REFUSED, TABLE]


# Keeps the name of every fold that closes, be it for a moment.
WATCH_FOR_CLOSING = """() => {
  window.foldsClosed = [];
  new MutationObserver((changes) => {
    for (const { target } of changes) if (!target.open) window.foldsClosed.push(target.id);
  }).observe(document.body, { subtree: true, attributeFilter: ["open"] });
}"""


def at(page: Page, name: str) -> str:
    """Value of a field of the present address."""
    return parse_qs(urlsplit(page.url).query).get(name, [""])[0]


def figure(page: Page, key: str) -> str:
    return page.locator(f'[data-figure="{key}"]').first.get_attribute("data-value") or ""


def drawn(page: Page) -> str:
    return page.locator("#build-picture svg.drawing-full").inner_html()


def focused(page: Page) -> str:
    return str(
        page.evaluate("document.activeElement.id || document.activeElement.dataset.sliderFor")
    )


@pytest.fixture(params=[360, 1440])
def walker(request: pytest.FixtureRequest, browser_page: Page) -> Page:
    """A page on a phone and on a desk."""
    browser_page.set_viewport_size({"width": request.param, "height": 900})
    return browser_page


@pytest.mark.parametrize("address", PAGES)
def test_every_page_is_accessible_and_never_too_wide(browser_page: Page, address: str) -> None:
    for width in (320, 360, 1440):
        browser_page.set_viewport_size({"width": width, "height": 900})
        if width != 360:  # the sheet of 320 also stands at 360
            browser_page.goto(address)
        assert browser_page.evaluate("document.documentElement.scrollWidth") <= width
        assert violations(browser_page) == [], width


def test_build_changes_in_place(walker: Page) -> None:
    walker.goto(BUILD)
    before, drawing = figure(walker, "head_angle-1"), drawn(walker)
    walker.locator("#step-fork > summary").click()
    walker.evaluate(WATCH_FOR_CLOSING)
    walker.get_by_label("suspension fork 29, 150 mm", exact=True).check()
    walker.wait_for_url(lambda url: "fork=suspension-150" in url)
    longer = figure(walker, "head_angle-1")
    assert float(longer) < float(before)
    assert drawn(walker) != drawing
    changed = walker.locator('#build [data-figure="head_angle-1"]')
    assert "is-changed" in (changed.get_attribute("class") or "")
    walker.get_by_label("Large", exact=True).check()
    walker.wait_for_url(lambda url: "size=l" in url)
    expect(walker.locator("#step-fork")).to_have_attribute("open", "")
    assert walker.evaluate("window.foldsClosed") == []  # as it was left, at every moment
    assert at(walker, "fork") == "suspension-150"
    walker.reload()
    assert walker.get_by_label("Large", exact=True).is_checked()
    assert walker.get_by_label("suspension fork 29, 150 mm", exact=True).is_checked()


def test_axle_slides_and_keeps_the_focus(walker: Page) -> None:
    walker.goto(BUILD)
    slider = walker.locator('[data-slider-for="f-slot"]')
    chainstay = figure(walker, "chainstay_length-1")
    slider.focus()
    for _ in range(6):
        walker.keyboard.press("ArrowRight")
    walker.wait_for_url(lambda url: "slot=3&" in url)
    assert focused(walker) == "f-slot"
    assert walker.input_value("#f-slot") == "3"
    longer = float(figure(walker, "chainstay_length-1")) - float(chainstay)
    assert longer == pytest.approx(3.0, abs=0.11)  # the slot rises a little to the rear


def test_scroll_stays_where_it_is(walker: Page) -> None:
    walker.goto(BUILD)
    walker.locator("#f-slot").scroll_into_view_if_needed()
    walker.evaluate("scrollBy(0, 40)")
    here = walker.evaluate("scrollY")
    walker.locator("#f-slot").fill("12")
    walker.wait_for_url(lambda url: "slot=12&" in url)
    assert abs(walker.evaluate("scrollY") - here) < 5


def test_from_build_to_side_by_side_and_table(walker: Page) -> None:
    walker.goto(f"{BUILD}?slot=6")
    walker.get_by_role("link", name="Put side by side").click()
    expect(walker.locator(".compare-build")).to_have_count(1)
    walker.get_by_role("link", name="suspension fork 29, 150 mm").click()
    expect(walker.locator(".compare-build")).to_have_count(2)
    assert len(parse_qs(urlsplit(walker.url).query)["build"]) == 2
    expect(walker.locator(".compare-sentence")).to_contain_text("slacker")
    walker.locator("#align-rear-axle").focus()
    walker.keyboard.press("Enter")
    walker.wait_for_url(lambda url: "align=rear-axle" in url)
    assert focused(walker) == "align-rear-axle"
    walker.locator("#state-sagged").click()
    walker.wait_for_url(lambda url: "state=sagged" in url)
    expect(walker.locator("h2", has_text="What differs from A, sagged")).to_be_visible()
    walker.locator("#first-B").click()
    expect(walker.locator(".compare-sentence")).to_contain_text("EUR less")
    assert at(walker, "state") == "sagged"
    walker.get_by_role("link", name="Change build A").click()
    assert at(walker, "fork") == "suspension-150"
    assert at(walker, "slot") == "6"
    walker.get_by_role("link", name="All sizes of this build").click()
    expect(walker.locator("h1")).to_have_text("Knapweed geometry")
    assert at(walker, "fork") == "suspension-150"


def test_pasted_link_joins_and_a_bad_one_is_kept(walker: Page, live_server: str) -> None:
    walker.goto(COMPARE)
    field = walker.get_by_label("Paste the link of a build")
    field.fill("https://elsewhere.example/build/knapweed")
    field.press("Enter")
    expect(walker.locator(".field-error")).to_contain_text("another site")
    expect(walker.locator(".compare-build")).to_have_count(2)
    wrong = walker.get_by_label("This build cannot be shown")
    assert wrong.input_value() == "https://elsewhere.example/build/knapweed"
    walker.locator(".error-summary a").click()
    assert focused(walker) == "f-build-2"
    wrong.fill(f"{live_server}/build/burdock?size=m")
    wrong.press("Enter")
    expect(walker.locator(".compare-build")).to_have_count(3)
    expect(walker.locator(".field-error")).to_have_count(0)
    walker.locator("#remove-A").click()
    expect(walker.locator(".compare-build")).to_have_count(2)


def test_figures_agree_on_build_comparison_and_table(browser_page: Page) -> None:
    browser_page.goto(f"{BUILD}?size=l&slot=7")
    reach = figure(browser_page, "reach-1")
    browser_page.get_by_role("link", name="Put side by side").click()
    browser_page.get_by_role("link", name="Medium", exact=True).click()
    expect(browser_page.locator("tr:has(#explain-reach) td").first).to_have_text(reach)
    browser_page.goto(f"{TABLE}?slot=7")
    assert figure(browser_page, "reach-4") == reach


def test_table_changes_in_place(walker: Page) -> None:
    walker.goto(TABLE)
    before = figure(walker, "head_angle-1")
    walker.locator("#f-fork").focus()
    walker.locator("#f-fork").select_option("rigid-long")
    walker.wait_for_url(lambda url: "fork=rigid-long" in url)
    assert float(figure(walker, "head_angle-1")) > float(before)
    assert focused(walker) == "f-fork"


def test_everything_answers_without_javascript(browser: Browser, live_server: str) -> None:
    context = browser.new_context(base_url=live_server, java_script_enabled=False)
    page = context.new_page()
    page.goto(BUILD)
    page.get_by_label("Large", exact=True).check()
    page.fill("#f-slot", "9")
    page.locator("#in-axle").get_by_role("button", name="Show this build").click()
    assert at(page, "size") == "l"
    assert at(page, "slot") == "9"
    assert float(figure(page, "chainstay_length-1")) > 420
    page.get_by_role("link", name="Put side by side").click()
    page.get_by_label("Paste the link of a build").fill("/build/burdock")
    page.get_by_role("button", name="Put side by side").click()
    expect(page.locator(".compare-build")).to_have_count(2)
    page.locator("#align-rear-axle").click()
    assert at(page, "align") == "rear-axle"
    page.goto(TABLE)
    page.select_option("#f-fork", "suspension-110")
    page.get_by_role("button", name="Show the table").click()
    assert at(page, "fork") == "suspension-110"
    context.close()
