"""What axe-core finds on a page, by the rules every page is held to."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from playwright.sync_api import Page

AXE = Path(__file__).parents[1] / "vendor" / "axe" / "axe.min.js"
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def violations(page: Page) -> list[Any]:
    """What axe finds, each with the places it was found at."""
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate("rules => axe.run(document, {runOnly: rules})", RULES)["violations"]
    return [(each["id"], [node["target"] for node in each["nodes"]]) for each in found]
