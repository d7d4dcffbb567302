"""What an answer changes is put in, all of it and nothing else (js/only-changes.js)."""

from __future__ import annotations

import random
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

if TYPE_CHECKING:
    from playwright.sync_api import Page, Route

pytestmark = pytest.mark.browser

BUILD = "/build/knapweed"
SLIDER = "[data-slider-for='f-slot']"
RIDER = "?stature=175+cm&inseam=82+cm&weight=75+kg"

# Makes a change and waits until its answer has been put in.
CHANGE = """
(change) => new Promise((resolve) => {
  const field = document.querySelector(change.field);
  document.addEventListener("htmx:after:swap", () => setTimeout(resolve), { once: true });
  if (field.type === "radio") field.click();
  else {
    field.value = change.value;
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }
})
"""

# The first place where the page differs from one that is loaded anew from its address. What was
# opened by hand, marks of what changed and what scripts show are no part of it.
DIFFERENCE = """
async () => {
  const OWN = /^(open|class|hidden|value|checked|data-htmx-powered)$/;
  const state = (e) => e.type === "radio" || e.type === "checkbox" ? e.checked : e.value;
  const classes = (e) => [...e.classList].filter(
    (name) => !/^(htmx-|is-changed$|changed$)/.test(name)).join(" ");
  const lines = (root) => {
    const found = [];
    const walk = (node) => {
      if (node.nodeType === 3) {
        if (node.data.trim()) found.push(node.data.trim());
        return;
      }
      if (node.nodeType !== 1 || node.matches(".figure-was")) return;
      const attributes = [...node.attributes].filter(({ name }) => !OWN.test(name))
        .map(({ name, value }) => `${name}=${value}`).sort();
      const typed = node.matches("input, select") ? [`state=${state(node)}`] : [];
      found.push([node.localName, classes(node), ...attributes, ...typed].join(" "));
      node.childNodes.forEach(walk);
    };
    walk(root);
    return found;
  };
  const answer = await fetch(location.href);
  const anew = new DOMParser().parseFromString(await answer.text(), "text/html");
  for (const place of ["#navigation", ".build"]) {
    const [here, there] = [document, anew].map((page) => lines(page.querySelector(place)));
    const at = there.findIndex((line, number) => line !== here[number]);
    if (at >= 0 || here.length !== there.length) return [here.slice(at - 3, at + 1), there[at]];
  }
  return null;
}
"""


def changes(page: Page, dice: random.Random, count: int) -> list[dict[str, str]]:
    """Every third moves the slider, the others choose another part, size, finish or scope."""
    names = page.evaluate(
        "[...document.querySelectorAll('#build-form input[type=radio]')].map((e) => e.id)"
    )
    return [
        {"field": SLIDER, "value": f"{dice.uniform(0, 18):.1f}"}
        if number % 3 == 0
        else {"field": f"#{dice.choice(names)}", "value": ""}
        for number in range(count)
    ]


@pytest.mark.parametrize(("rider", "count"), [("", 28), (RIDER, 12)])
def test_after_every_change_the_page_is_that_of_its_address(
    browser_page: Page, rider: str, count: int
) -> None:
    browser_page.goto(BUILD + rider)
    dice = random.Random(7)  # noqa: S311  # not a secret
    for change in changes(browser_page, dice, count):
        if change["value"] or not browser_page.locator(change["field"]).is_checked():
            browser_page.evaluate(CHANGE, change)
            assert browser_page.evaluate(DIFFERENCE) is None, change


def slide(page: Page, value: str) -> None:
    page.evaluate(CHANGE, {"field": SLIDER, "value": value})


def marks(page: Page, region: str) -> int:
    return page.locator(f"{region} .is-changed, {region} .changed").count()


def test_what_is_equal_stays_as_it_is(browser_page: Page) -> None:
    """Nodes are the same ones, a fold within is open, and marks of an earlier change are gone."""
    page = browser_page
    page.goto(BUILD)
    slide(page, "3")
    untouched = "['#price-lines table', '#part-stem', '#check-spokes-rear']"
    page.evaluate(f"window.kept = {untouched}.map((place) => document.querySelector(place))")
    page.locator("#price-lines > summary").click()
    slide(page, "9")
    same = f"{untouched}.filter((place, n) => document.querySelector(place) !== kept[n])"
    assert page.evaluate(same) == []
    expect(page.locator("#price-lines table")).to_be_visible()
    assert marks(page, "#build")
    assert marks(page, "#build-picture")
    page.evaluate("window.drawn = document.querySelector('#build-picture svg')")
    page.wait_for_timeout(4100)  # until a further change is one of its own
    page.evaluate(CHANGE, {"field": "#f-pedal-2", "value": ""})
    assert page.evaluate("drawn.isConnected")
    assert marks(page, ".build-price")
    assert marks(page, ".build-figures") == marks(page, "#build-picture") == 0


class Held:
    """Answers that are kept back until they are let through."""

    def __init__(self, page: Page) -> None:
        self.asked: list[Route] = []
        page.route("**/build/knapweed?*", self.keep)

    def keep(self, route: Route) -> None:
        """Let it wait."""
        self.asked.append(route)

    def wait(self, page: Page, count: int) -> None:
        """Until so many were asked in all."""
        for _ in range(100):
            if len(self.asked) == count:
                return
            page.wait_for_timeout(20)
        raise AssertionError(len(self.asked))

    def let(self, page: Page, count: int) -> None:
        """Let the latest of so many through."""
        self.wait(page, count)
        self.asked[-1].continue_()


def test_only_the_newest_of_several_choices_is_shown(browser_page: Page) -> None:
    page = browser_page
    page.goto(BUILD)
    before = page.locator(".build-words").inner_text()
    held = Held(page)
    for field in ("#f-fork-2", "#f-fork-3", "#f-fork-4"):
        page.evaluate("(field) => document.querySelector(field).click()", field)
    held.let(page, 1)
    held.wait(page, 2)  # the one in between is never asked
    assert page.locator(".build-words").inner_text() == before
    held.let(page, 2)
    chosen = page.locator("#f-fork-4").get_attribute("value")
    page.wait_for_url(f"**fork={chosen}&**")
    assert page.locator("#f-fork-4").is_checked()
    page.unroute_all()
    assert page.evaluate(DIFFERENCE) is None


def test_figures_follow_a_slider_while_it_moves(browser_page: Page) -> None:
    page = browser_page
    page.goto(BUILD)
    held = Held(page)
    move = """([place, value]) => { const slider = document.querySelector(place);
      slider.focus(); slider.value = value;
      slider.dispatchEvent(new Event("input", { bubbles: true })); }"""
    for value in ("2", "4", "6"):
        page.evaluate(move, [SLIDER, value])
    held.let(page, 1)
    page.wait_for_url("**slot=2&**")
    assert page.locator("#f-slot").input_value() == page.locator(SLIDER).input_value() == "6"
    held.let(page, 2)
    page.wait_for_url("**slot=6&**")
    assert page.locator("#f-slot").input_value() == page.locator(SLIDER).input_value() == "6"


def test_a_typed_number_reads_as_it_was_taken_once_it_is_left(browser_page: Page) -> None:
    page = browser_page
    page.goto(BUILD)
    field = page.locator("#f-slot")
    for typed, taken in (("3.14159", "3.1"), ("007", "7"), ("", "0"), ("7", "7")):
        field.fill(typed)
        page.wait_for_url(f"**slot={taken}&**")
        page.wait_for_function("() => !document.querySelector('.htmx-request')")
        assert field.input_value() == typed  # while it is typed
        field.press("Tab")
        expect(field).to_have_value(taken)
        assert page.evaluate(DIFFERENCE) is None
    held = Held(page)
    field.fill("9.04")
    field.press("Tab")
    held.wait(page, 1)
    assert field.input_value() == "9.04"  # while its answer is awaited
    held.let(page, 1)
    expect(field).to_have_value("9")
