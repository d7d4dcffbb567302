"""Violations that axe-core finds on a page."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from playwright.sync_api import Page

AXE = Path(__file__).parents[1] / "vendor" / "axe" / "axe.min.js"
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
# Only what is wrong is told in full and sent over; of what is right axe would write as much again.
RUN = """async rules => (await axe.run(document, {runOnly: rules, resultTypes: ["violations"]}))
  .violations.map(each => [each.id, each.nodes.map(node => node.target)])"""


MAIN_BUTTONS_AT_ONCE = """() => {
  const counts = [];
  for (let top = 0; top < document.documentElement.scrollHeight; top += 300) {
    scrollTo({ top, behavior: "instant" });
    counts.push([...document.querySelectorAll(".button-main")].filter((button) => {
      const box = button.getBoundingClientRect();
      return button.checkVisibility() && box.bottom > 0 && box.top < innerHeight;
    }).length);
  }
  return Math.max(...counts);
}"""


def main_buttons_at_once(page: Page) -> int:
    """The most primary buttons that are in view together, wherever the page is scrolled to."""
    return int(page.evaluate(MAIN_BUTTONS_AT_ONCE))


def violations(page: Page) -> list[Any]:
    """What axe finds, each with the places it was found at."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE.read_text(encoding="utf-8"))
    found: list[Any] = page.evaluate(RUN, RULES)
    return found
