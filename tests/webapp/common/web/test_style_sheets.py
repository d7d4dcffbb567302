"""The style sheets hang together."""

from __future__ import annotations

import gzip
import re
from pathlib import Path

import pytest

from webapp.common.paths import STATIC
from webapp.common.web.static_files import JOINED, joined_style

SHEETS = sorted(set((STATIC / "css").rglob("*.css")) - {STATIC / JOINED})
BLOCKS = sorted((STATIC / "css" / "blocks").rglob("*.css"))


def test_every_style_sheet_is_joined_once() -> None:
    text = (STATIC / JOINED).read_text(encoding="utf-8")
    listed = re.findall(r'@import url\("([\w/-]+\.css)"\);', text)
    names = [file.relative_to(STATIC / "css").as_posix() for file in SHEETS]
    assert sorted(listed) == sorted(names)
    assert listed[0] == "tokens.css"  # it declares the order of the layers


def test_joined_style_holds_every_rule_and_no_import() -> None:
    whole = joined_style()
    assert "@import" not in whole
    assert "/*" not in whole
    for file in SHEETS:
        assert re.sub(r"/\*.*?\*/\s*", "", file.read_text("utf-8"), flags=re.DOTALL) in whole


def test_addresses_in_the_style_start_from_its_own_folder() -> None:
    """Joined, all sheets stand in static/css: only those there may name files."""
    assert [file.name for file in BLOCKS if "url(" in file.read_text("utf-8")] == []


@pytest.mark.parametrize("file", BLOCKS, ids=lambda file: file.stem)
def test_block_is_headed_by_an_example_of_its_markup(file: Path) -> None:
    head = file.read_text(encoding="utf-8").split("*/")[0]
    assert head.startswith("/*")
    assert 'class="' in head


@pytest.mark.parametrize("file", SHEETS, ids=lambda file: file.stem)
def test_rules_stand_in_a_layer(file: Path) -> None:
    text = re.sub(r"/\*.*?\*/", "", file.read_text(encoding="utf-8"), flags=re.DOTALL)
    outside = re.findall(r"^[^\s@}].*\{", text, flags=re.MULTILINE)
    assert outside == []


@pytest.mark.parametrize("file", SHEETS, ids=lambda file: file.stem)
def test_style_refers_to_files_that_exist(file: Path) -> None:
    for address in re.findall(r'url\("([^"]+)"\)', file.read_text(encoding="utf-8")):
        assert (file.parent / address).is_file()


def test_what_every_page_loads_stays_light() -> None:
    """Style, scripts and the Latin lettering, as sent: 100 kB leaves room for the page itself."""
    packed = [gzip.compress(joined_style().encode())]
    packed += [gzip.compress(file.read_bytes()) for file in (STATIC / "js").glob("*.js")]
    packed += [gzip.compress((STATIC / "vendor" / "htmx" / "htmx.min.js").read_bytes())]
    packed += [file.read_bytes() for file in (STATIC / "fonts").glob("sofia-sans-latin-[46]00.*")]
    assert sum(map(len, packed)) < 85_000
