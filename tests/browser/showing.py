"""What a page shows, waited for: an answer may still be arriving when a test looks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from playwright.sync_api import expect

if TYPE_CHECKING:
    from playwright.sync_api import Locator


def shows(place: Locator, words: str) -> None:
    """A place of a page shows these words, at once or as soon as they have arrived.

    Text that is hidden, as in a closed fold, is not shown.
    """
    expect(place).to_contain_text(words, use_inner_text=True)
