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


def violations(page: Page) -> list[Any]:
    """What axe finds, each with the places it was found at."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE.read_text(encoding="utf-8"))
    found: list[Any] = page.evaluate(RUN, RULES)
    return found
