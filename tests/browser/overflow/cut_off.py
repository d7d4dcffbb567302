"""Finds text of a page that is cut off, hidden at an edge, or wider than its cell."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from playwright.sync_api import Page

_FIND = Path(__file__).with_suffix(".js").read_text(encoding="utf-8").partition("\n")[2]


def cut_off(page: Page) -> list[str]:
    """Everything of a page that cannot be read whole, in words; with every fold opened, too.

    A region that scrolls sideways is fine where the keyboard reaches it and its edge shows
    that there is more; a line that ends in an ellipsis says itself that it goes on.
    """
    found: list[str] = page.evaluate(_FIND)
    page.evaluate("document.querySelectorAll('details').forEach(each => each.open = true)")
    return found + [f"opened: {each}" for each in page.evaluate(_FIND) if each not in found]
