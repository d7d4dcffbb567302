"""The page of all components in a real browser: accessible, never too wide, alive in place."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.browser.accessible import violations

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser


@pytest.fixture
def components(browser_page: Page) -> Page:
    """The page, ready."""
    browser_page.goto("/components")
    return browser_page


@pytest.mark.parametrize("width", [360, 1440])
def test_axe_finds_nothing(components: Page, width: int) -> None:
    components.set_viewport_size({"width": width, "height": 900})
    assert violations(components) == []


@pytest.mark.parametrize("width", [320, 360, 768, 1440, 3840])
def test_page_does_not_scroll_sideways(components: Page, width: int) -> None:
    components.set_viewport_size({"width": width, "height": 900})
    assert components.evaluate("document.documentElement.scrollWidth") <= width


def test_page_does_not_scroll_sideways_with_text_at_200_percent(components: Page) -> None:
    components.set_viewport_size({"width": 640, "height": 900})
    components.evaluate("document.documentElement.style.fontSize = '200%'")
    assert components.evaluate("document.documentElement.scrollWidth") <= 640


def test_every_stop_of_the_keyboard_shows_its_focus(components: Page) -> None:
    seen: list[str] = []
    for _ in range(60):
        components.keyboard.press("Tab")
        stop = components.evaluate(
            """() => {
                const at = document.activeElement, style = getComputedStyle(at);
                if (at === document.body) return null;
                return [at.tagName, style.outlineStyle, parseFloat(style.outlineWidth)];
            }"""
        )
        if stop is None:
            break
        seen.append(stop[0])
        assert stop[1] == "solid", stop
        assert stop[2] >= 2, stop
    assert seen[0] == "A"  # the link past the masthead comes first
    assert len(seen) > 20


def test_targets_are_large_enough_to_touch(components: Page) -> None:
    components.set_viewport_size({"width": 360, "height": 900})
    heights = components.evaluate(
        "[...document.querySelectorAll('.button, .field-control, .masthead-nav a')]"
        ".filter(each => each.checkVisibility()).map(each => each.getBoundingClientRect().height)"
    )
    assert min(heights) >= 44


def test_sliding_changes_figures_in_place_and_keeps_the_focus(components: Page) -> None:
    slider = components.locator(".slider-range")
    slider.focus()
    for _ in range(4):
        components.keyboard.press("ArrowRight")
    chainstay = components.locator('[data-figure="chainstay"]')
    components.wait_for_selector('[data-figure="chainstay"][data-value^="432"]')
    assert components.input_value("#f-slot") == "2"
    assert components.evaluate("document.activeElement.type") == "range"
    assert "is-changed" in (chainstay.get_attribute("class") or "")
    assert chainstay.locator(".figure-was").inner_text().endswith("430.0")
    reach = components.locator('#result [data-figure="reach"]')
    assert "is-changed" not in (reach.get_attribute("class") or "")


def test_old_value_is_struck_through_for_a_moment_only(components: Page) -> None:
    components.fill("#f-slot", "9")
    was = components.locator("#result .figure-was")
    was.first.wait_for(state="attached")
    was.first.wait_for(state="detached", timeout=8000)
    assert was.count() == 0
    assert components.locator("#result .is-changed").count() == 3


def test_number_moves_the_slider(components: Page) -> None:
    components.fill("#f-slot", "9")
    assert components.input_value(".slider-range") == "9"


def test_open_explanation_stays_open_when_the_figures_change(components: Page) -> None:
    components.locator("#explain-chainstay summary").click()
    components.fill("#f-slot", "9")
    components.wait_for_selector('[data-figure="chainstay"][data-value^="438.9"]')
    assert components.locator("#explain-chainstay").get_attribute("open") is not None


def test_what_was_typed_survives_a_reload_until_forgotten(components: Page) -> None:
    assert not components.is_visible("[data-kept]")
    components.fill("#f-stature", "5 ft 7")
    components.check("#f-fork-1")
    components.fill("#f-note", "two bottles")
    components.reload()
    assert components.input_value("#f-stature") == "5 ft 7"
    assert components.is_checked("#f-fork-1")
    assert components.input_value("#f-note") == "two bottles"
    components.click("[data-forget]")
    assert components.input_value("#f-stature") == ""
    assert not components.is_visible("[data-kept]")
    components.reload()
    assert components.input_value("#f-stature") == ""


def test_address_is_newer_than_what_was_kept(components: Page) -> None:
    components.fill("#f-slot", "3")
    components.wait_for_selector('[data-figure="slot"][data-value^="3"]')
    components.goto("/components?slot=7")
    assert float(components.input_value("#f-slot")) == 7


def test_error_summary_leads_to_the_field(components: Page) -> None:
    components.locator(".error-summary a").click()
    assert components.evaluate("document.activeElement.id") == "f-inseam"


def test_everything_answers_without_javascript(browser: Browser, live_server: str) -> None:
    context = browser.new_context(base_url=live_server, java_script_enabled=False)
    page = context.new_page()
    page.goto("/components")
    assert not page.is_visible(".slider-range")
    page.fill("#f-slot", "9")
    page.click("text=Show the bike")
    assert "slot=9" in page.url
    assert page.locator('[data-figure="chainstay"]').get_attribute("data-value") == "438.9"
    context.close()


def test_nothing_moves_for_those_who_asked_for_it(browser: Browser, live_server: str) -> None:
    context = browser.new_context(base_url=live_server, reduced_motion="reduce")
    page = context.new_page()
    page.goto("/components")
    moving = page.evaluate("document.getAnimations().length")
    context.close()
    assert moving == 0


def test_print_is_black_on_white(components: Page) -> None:
    components.emulate_media(media="print")
    colours = components.evaluate(
        """() => [...new Set([...document.querySelectorAll('main *')].map(
            each => getComputedStyle(each).color))]"""
    )
    assert colours == ["rgb(0, 0, 0)"]
    assert not components.is_visible(".masthead-nav")
