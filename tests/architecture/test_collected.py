"""Everything that looks like a test is collected: nothing in the tree is silently skipped.

Tools skip folders of certain names by default (pytest's ``norecursedirs``, for one, holds
``build``, ``dist`` and ``venv``), so a test in one of them would never run.
"""

import doctest
from pathlib import Path

import pytest

from tests.architecture.reading_code import ROOT

SKIPPED_BY_TOOLS = {
    *("build", "dist", "env", "venv", "node_modules", "site-packages"),
    *("CVS", "_darcs"),
}
WITH_TESTS = ("tests", "geometry", "webapp")


def test_no_folder_has_a_name_that_tools_skip() -> None:
    folders = [path for top in WITH_TESTS for path in (ROOT / top).rglob("*") if path.is_dir()]
    assert len(folders) > 10
    assert [path for path in folders if path.name in SKIPPED_BY_TOOLS] == []


def asked_for(arguments: list[str]) -> list[Path]:
    """The files and folders that this run was asked to look into."""
    return [(ROOT / argument.partition("::")[0]).resolve() for argument in arguments]


def test_every_test_file_and_every_doctest_is_collected(
    files_collected: frozenset[str], pytestconfig: pytest.Config
) -> None:
    """Of the whole tree in a run of everything, else of the folders that were asked for."""
    parser = doctest.DocTestParser()
    asked = asked_for(pytestconfig.args)
    expected = set()
    for top in WITH_TESTS:
        for path in (ROOT / top).rglob("*.py"):
            if not any(path.is_relative_to(place) for place in asked):
                continue
            text = path.read_text(encoding="utf-8")
            examples = ">>> " in text and parser.get_examples(text)
            if path.name.startswith("test_") or (examples and top != "tests"):
                expected.add(path.relative_to(ROOT).as_posix())
    if any(place.is_dir() for place in asked):
        assert len(expected) > 5
        assert sorted(expected - files_collected) == []
    if {ROOT / top for top in WITH_TESTS} <= set(asked):
        assert len(expected) > 100
