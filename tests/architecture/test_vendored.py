"""What others made is the very file that was checked, and everything foreign is listed."""

from __future__ import annotations

import hashlib

import pytest

from tests.architecture.reading_code import ROOT

LINES = (ROOT / "static/vendor/sha256sums.txt").read_text().splitlines()
SUMS = {name: digest for digest, name in (line.split(maxsplit=1) for line in LINES)}


@pytest.mark.parametrize("name", sorted(SUMS))
def test_a_vendored_file_is_unchanged(name: str) -> None:
    assert hashlib.sha256((ROOT / name).read_bytes()).hexdigest() == SUMS[name]


def test_every_vendored_file_is_listed_with_its_sum() -> None:
    folders = ("static/vendor", "static/fonts", "tests/vendor")
    files = {
        path.relative_to(ROOT).as_posix()
        for folder in folders
        for path in (ROOT / folder).rglob("*")
        if path.is_file()
    }
    listing = {"static/vendor/SOURCES.md", "static/vendor/sha256sums.txt"}
    assert files - listing == set(SUMS)


def test_every_vendored_folder_carries_its_licence() -> None:
    folders = {(ROOT / name).parent for name in SUMS}
    assert all(list(folder.glob("LICENSE*")) for folder in folders)


def test_every_source_names_version_and_licence() -> None:
    text = (ROOT / "static/vendor/SOURCES.md").read_text()
    rows = [line.split("|")[1:-1] for line in text.splitlines() if line.startswith("|")][2:]
    assert rows
    for row in rows:
        assert all(cell.strip() for cell in row)
