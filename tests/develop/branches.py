"""Which branches of the most critical packages the tests take, at next to no cost.

``python -m pytest -p tests.develop.branches`` measures them; the common run does. Each module of
`MEASURED` is loaded with a mark set in every function and in both ways of every ``if``, loop,
``case`` and ``except``: storing one byte, where tracing every line would take half as long again.
Printed at the end are the branches taken and those never taken, and a run of the whole tree with
fewer than `FLOOR` of them fails.
"""

from __future__ import annotations

import ast
import importlib.abc
import importlib.machinery
import importlib.util
import json
import os
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from types import ModuleType
from typing import TypeVar

import pytest

ROOT = Path(__file__).parents[2]
MEASURED = ("geometry", "webapp.pricing", "webapp.quote.lifecycle", "webapp.quote.states",
            "webapp.common.two_edits")  # fmt: skip
FLOOR = 0.97
MOST_LISTED = 40
FOLDER = "BRANCHES_FOLDER"
_MARKS = "__branches_taken__"

Branching = TypeVar("Branching", ast.If, ast.For, ast.While)


class _Marking(ast.NodeTransformer):
    """Puts a mark into every branch of a module, and remembers the line of each."""

    def __init__(self) -> None:
        self.lines: list[int] = []

    def _marked(self, body: Sequence[ast.stmt], line: int) -> list[ast.stmt]:
        mark = ast.parse(f"{_MARKS}[{len(self.lines)}] = 1").body[0]
        self.lines.append(line)
        for node in ast.walk(mark):
            if isinstance(node, ast.stmt | ast.expr):
                node.lineno = node.end_lineno = line
                node.col_offset = node.end_col_offset = 0
        docstring = 1 if body and _is_docstring(body[0]) else 0
        return [*body[:docstring], mark, *body[docstring:]]

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.FunctionDef:
        """Whether a function is called at all; one without a body has nothing to be called."""
        empty = all(_is_docstring(each) or isinstance(each, ast.Pass) for each in node.body)
        self.generic_visit(node)
        if not empty:
            node.body = self._marked(node.body, node.lineno)
        return node

    def visit_If(self, node: ast.If) -> ast.If:
        """Both ways of a condition, also where nothing stands on the other."""
        if isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            return node
        return self._both_ways(node)

    def visit_For(self, node: ast.For) -> ast.For:
        """A loop that is entered, and one that ends."""
        return self._both_ways(node)

    def visit_While(self, node: ast.While) -> ast.While:
        """The same."""
        return self._both_ways(node)

    def visit_match_case(self, node: ast.match_case) -> ast.match_case:
        """A case that is met."""
        self.generic_visit(node)
        node.body = self._marked(node.body, node.pattern.lineno)
        return node

    def visit_ExceptHandler(self, node: ast.ExceptHandler) -> ast.ExceptHandler:
        """An error that is caught."""
        self.generic_visit(node)
        node.body = self._marked(node.body, node.lineno)
        return node

    def _both_ways(self, node: Branching) -> Branching:
        self.generic_visit(node)
        node.body = self._marked(node.body, node.lineno)
        node.orelse = self._marked(node.orelse, node.lineno)
        return node


def _is_docstring(node: ast.stmt) -> bool:
    return isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)


def marked(source: str, file: str) -> tuple[ast.Module, list[int]]:
    """A module with its marks, and the line of each."""
    marking = _Marking()
    tree = marking.visit(ast.parse(source, file))
    return ast.fix_missing_locations(tree), marking.lines


class _Marked(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Loads the measured modules with their marks, and leaves all others to Python."""

    def __init__(self) -> None:
        self.taken: dict[str, tuple[list[int], bytearray]] = {}

    def find_spec(self, fullname: str, *_: object) -> importlib.machinery.ModuleSpec | None:
        """Where a measured module comes from."""
        if not any(fullname == each or fullname.startswith(each + ".") for each in MEASURED):
            return None
        place = ROOT.joinpath(*fullname.split("."))
        package = place.is_dir()
        file = place / "__init__.py" if package else place.with_suffix(".py")
        if not file.is_file():
            return None
        inner = [str(place)] if package else None
        return importlib.util.spec_from_file_location(
            fullname, file, loader=self, submodule_search_locations=inner
        )

    def exec_module(self, module: ModuleType) -> None:
        """Run the module with its marks."""
        file = Path(str(module.__file__))
        tree, lines = marked(file.read_text("utf-8"), str(file))
        name = file.relative_to(ROOT).as_posix()
        # a module that is loaded once more, as doctests may have it, keeps its marks
        vars(module)[_MARKS] = self.taken.setdefault(name, (lines, bytearray(len(lines))))[1]
        exec(compile(tree, str(file), "exec"), vars(module))  # noqa: S102

    def marks(self) -> dict[str, list[tuple[int, int]]]:
        """Of each file its marks: the line of each, and whether it was taken."""
        return {file: list(zip(*both, strict=True)) for file, both in self.taken.items()}


LOADER = _Marked()


@pytest.hookimpl(tryfirst=True)
def pytest_load_initial_conftests() -> None:
    """From now on mark what is measured: no test file has been read yet."""
    sys.meta_path.insert(0, LOADER)


def pytest_configure(config: pytest.Config) -> None:
    """One folder for all processes of a run."""
    if not hasattr(config, "workerinput"):
        os.environ[FOLDER] = tempfile.mkdtemp(prefix="branches-")


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session) -> None:
    """Each process says what it took."""
    folder = Path(os.environ[FOLDER])
    (folder / f"{os.getpid()}.json").write_text(json.dumps(LOADER.marks()))
    if not hasattr(session.config, "workerinput"):
        taken, of, _ = summary(folder)
        whole = {ROOT / each for each in ("tests", "geometry", "webapp")}
        asked = {(ROOT / each).resolve() for each in session.config.args}
        if whole <= asked and taken < FLOOR * of:
            session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Print how many branches were taken, and those that never were."""
    taken, of, missed = summary(Path(os.environ[FOLDER]))
    share, rooms = taken / max(of, 1), ", ".join(MEASURED)
    terminalreporter.write_line(f"{taken} of {of} branches taken ({share:.1%}): {rooms}")
    for place in missed[:MOST_LISTED]:
        terminalreporter.write_line(f"  never taken: {place}")


def summary(folder: Path) -> tuple[int, int, list[str]]:
    """Branches taken by any process, branches there are, and where the others stand."""
    taken: dict[tuple[str, int, int], bool] = {}
    for told in folder.glob("*.json"):
        for file, marks in json.loads(told.read_text()).items():
            for number, (line, took) in enumerate(marks):
                mark = file, line, number
                taken[mark] = taken.get(mark, False) or bool(took)
    missed = sorted(mark for mark, took in taken.items() if not took)
    return sum(taken.values()), len(taken), [f"{file}:{line}" for file, line, _ in missed]
