"""What README.md links to is there, and its pictures are small."""

from __future__ import annotations

import re

from tests.architecture.reading_code import ROOT
from tests.develop.pictures import FOLDER, LARGEST

README = (ROOT / "README.md").read_text("utf-8")
LINKS = re.findall(r"!?\[[^\]]*\]\(([^)#\s]+)\)", README)


def test_every_link_leads_to_a_file() -> None:
    inside = [link for link in LINKS if "://" not in link]
    assert {"DEVELOPERS.md", "LICENSE"} <= set(inside)
    assert [link for link in inside if not (ROOT / link).is_file()] == []


def test_it_shows_three_small_pictures_with_words_for_them() -> None:
    """`python -m tests.develop.pictures` takes them anew."""
    shown = re.findall(r"!\[([^\]]{20,})\]\(([^)]+)\)", README)
    names = {(ROOT / link).relative_to(FOLDER).name for _, link in shown}
    assert names == {"build.webp", "side-by-side.webp", "quote.webp"}
    assert {each.name for each in FOLDER.iterdir()} == names
    for each in FOLDER.iterdir():
        assert 5_000 < each.stat().st_size <= LARGEST
        assert each.read_bytes()[8:12] == b"WEBP"
