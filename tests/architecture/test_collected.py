"""Everything that looks like a test is collected: nothing in the tree is silently skipped.

Tools skip folders of certain names by default (pytest's ``norecursedirs``, for one, holds
``build``, ``dist`` and ``venv``), so a test in one of them would never run.
"""

import doctest
import subprocess
import sys

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


def test_every_test_file_and_every_doctest_is_collected() -> None:
    parser = doctest.DocTestParser()
    expected = set()
    for top in WITH_TESTS:
        for path in (ROOT / top).rglob("*.py"):
            text = path.read_text(encoding="utf-8")
            examples = ">>> " in text and parser.get_examples(text)
            if path.name.startswith("test_") or (examples and top != "tests"):
                expected.add(path.relative_to(ROOT).as_posix())
    command = [sys.executable, "-m", "pytest", "--collect-only", "-qq", "-p", "no:cacheprovider"]
    told = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True).stdout
    collected = {line.rsplit(": ", 1)[0] for line in told.splitlines() if ": " in line}
    assert len(expected) > 100
    assert sorted(expected - collected) == []
