"""Vendored files are the very files that were checked, and all of them are listed."""

from __future__ import annotations

import hashlib
import re
from fnmatch import fnmatchcase

import pytest

from tests.architecture.reading_code import ROOT

LIST = "static/vendor/SOURCES.md"
FOLDERS = ("static/vendor", "static/fonts", "tests/vendor")
LICENCES = ("0BSD", "MPL-2.0", "OFL-1.1", "Bitstream Vera")
"""Licences of the vendored files; another licence has to be reviewed first."""


def tables() -> list[list[list[str]]]:
    """The cells of each table of the list, without its headings."""
    found: list[list[list[str]]] = [[]]
    for line in (ROOT / LIST).read_text("utf-8").splitlines():
        if line.startswith("|"):
            found[-1].append([cell.strip() for cell in line.split("|")[1:-1]])
        elif found[-1]:
            found.append([])
    return [table[2:] for table in found if table]


THINGS, CHECKSUMS = tables()
SUMS = {name.strip("`"): digest.strip("`") for digest, name in CHECKSUMS}
PATTERNS = {what: re.findall(r"`([^`]+)`", files) for what, _, _, _, files, _ in THINGS}


def vendored() -> set[str]:
    """Every vendored file."""
    files = (path for folder in FOLDERS for path in (ROOT / folder).rglob("*") if path.is_file())
    return {path.relative_to(ROOT).as_posix() for path in files} - {LIST}


@pytest.mark.parametrize("name", sorted(SUMS))
def test_a_vendored_file_is_unchanged(name: str) -> None:
    assert hashlib.sha256((ROOT / name).read_bytes()).hexdigest() == SUMS[name]


def test_every_vendored_file_is_listed_with_its_sum() -> None:
    assert vendored() == set(SUMS)
    assert len(SUMS) == len(CHECKSUMS)


@pytest.mark.parametrize("name", sorted(vendored()))
def test_every_vendored_file_belongs_to_one_named_thing(name: str) -> None:
    owners = [what for what, globs in PATTERNS.items() if any(fnmatchcase(name, g) for g in globs)]
    assert len(owners) == 1


@pytest.mark.parametrize("what", sorted(PATTERNS))
def test_every_named_thing_is_there_with_its_licence(what: str) -> None:
    for glob in PATTERNS[what]:
        assert [name for name in vendored() if fnmatchcase(name, glob)], glob
    mine = {name for name in vendored() for glob in PATTERNS[what] if fnmatchcase(name, glob)}
    assert [name for name in mine if name.rpartition("/")[2].startswith("LICENSE")]


@pytest.mark.parametrize("row", THINGS, ids=lambda row: row[0])
def test_every_thing_names_upstream_version_and_licence(row: list[str]) -> None:
    assert all(row)
    _, upstream, version, licence, _, _ = row
    assert upstream.startswith("https://")
    assert re.fullmatch(r"\d+(\.\d+)+", version)
    assert any(known in licence for known in LICENCES)


def test_the_project_names_its_own_licence() -> None:
    project = (ROOT / "pyproject.toml").read_text("utf-8")
    assert 'license = "Apache-2.0"' in project
    assert 'license-files = ["LICENSE"]' in project
    text = (ROOT / "LICENSE").read_text("utf-8")
    assert "Apache License" in text
    assert "Version 2.0, January 2004" in text
    assert "END OF TERMS AND CONDITIONS" in text
