"""Every figure says what a rider feels of it, in plain words that go on from its name."""

from __future__ import annotations

from webapp.builds.page.figure_rows import KEYS
from webapp.common.text.felt import FELT


def test_every_figure_shown_says_what_is_felt() -> None:
    assert set(FELT) == set(KEYS)
    assert all(words.startswith(("More of it: ", "Less of it: ")) for words in FELT.values())
