"""Rules of shape: size of modules, docstrings of public functions, tidy top level."""

from __future__ import annotations

import ast
import re
from collections import Counter
from pathlib import Path

import pytest

from tests.architecture.reading_code import ROOT, Module, modules, public_functions

LONGEST = 400  # lines of a module; a longer one answers two questions

# How a number says its unit: [mm], [deg, (n,)], or in words for what is counted.
UNIT = re.compile(r"\b(mm|cm|deg|degrees|kg|N|teeth|pitches|ratio|fraction|unit)\b", re.IGNORECASE)
NUMBERS = re.compile(r"\b(float|FloatArray|ArrayLike|NDArray|Num)\b")

# Plumbing of the package itself: vectors, input checking, declaring the glossary.
# What it does with a number does not depend on the number's unit.
PLUMBING = {"geometry.core.angles", "geometry.glossary.entries", "geometry.core.inputs"}


MOST_FILES = 16  # of one folder; with more it should become several folders
FOLDERS = ("geometry", "webapp", "templates", "static", "tests", "demo_data")
SHORT = {".py", ".html", ".css", ".js", ".typ"}  # code; a catalogue is as long as it has parts
MADE_BY_TOOLS = {"__pycache__"}
# Vendored files stay as they are; migrations are the list of every step ever made.
AS_MADE = ("static/vendor", "tests/vendor", "webapp/migrations/versions")


def _ours() -> list[Path]:
    """Every file of the project's own, outside of folders that tools make."""
    found = [path for folder in FOLDERS for path in (ROOT / folder).rglob("*") if path.is_file()]
    names = [(path, path.relative_to(ROOT).as_posix()) for path in found]
    return [
        path
        for path, name in names
        if not name.startswith(AS_MADE) and not MADE_BY_TOOLS & set(path.parts)
    ]


def test_no_file_is_long() -> None:
    long = [p for p in _ours() if p.suffix in SHORT and len(p.read_text().splitlines()) > LONGEST]
    assert [path.relative_to(ROOT).as_posix() for path in long] == []


def test_no_folder_is_crowded() -> None:
    counted = Counter(path.parent.relative_to(ROOT).as_posix() for path in _ours())
    assert {folder: count for folder, count in counted.items() if count > MOST_FILES} == {}


@pytest.mark.parametrize("module", modules("geometry") + modules("webapp"), ids=lambda m: m.name)
def test_modules_are_short_and_say_what_they_are(module: Module) -> None:
    assert module.lines < LONGEST
    assert ast.get_docstring(module.tree)


FUNCTIONS = [
    pytest.param(function, id=f"{module.name}.{function.name}")
    for module in modules("geometry")
    for function in public_functions(module)
    if module.name not in PLUMBING
]


def arguments(function: ast.FunctionDef) -> list[ast.arg]:
    given = function.args
    return [*given.posonlyargs, *given.args, *given.kwonlyargs]


def numeric(function: ast.FunctionDef) -> list[str]:
    """Names of the arguments whose annotation says that they are numbers."""
    return [
        argument.arg
        for argument in arguments(function)
        if argument.annotation and NUMBERS.search(ast.unparse(argument.annotation))
    ]


@pytest.mark.parametrize("function", FUNCTIONS)
def test_public_functions_explain_themselves(function: ast.FunctionDef) -> None:
    doc = ast.get_docstring(function) or ""
    assert doc
    if numeric(function):
        unnamed = [a.arg for a in arguments(function) if not re.search(rf"\b{a.arg}\b", doc)]
        assert unnamed == []
        assert "Parameters\n---" in doc
        assert UNIT.search(doc), "numbers without a unit"
        assert ">>> " in doc, "numbers without an example"


@pytest.mark.parametrize("module", modules("geometry"), ids=lambda m: m.name)
def test_every_public_name_has_a_docstring(module: Module) -> None:
    silent = [
        node.name
        for node in module.tree.body
        if isinstance(node, ast.FunctionDef | ast.ClassDef)
        and not node.name.startswith("_")
        and not ast.get_docstring(node)
    ]
    assert silent == []


@pytest.mark.parametrize("function", FUNCTIONS)
def test_no_more_than_two_bare_numbers_by_position(function: ast.FunctionDef) -> None:
    by_position = {a.arg for a in [*function.args.posonlyargs, *function.args.args]}
    assert len(by_position & set(numeric(function))) <= 2


def test_the_top_level_is_the_one_agreed() -> None:
    made_by_tools = {"data", "build"}
    seen = {
        path.name
        for path in ROOT.iterdir()
        if not path.name.startswith(".") and not path.name.endswith(".egg-info")
    }
    assert seen - made_by_tools == {
        "README.md",
        "DEVELOPERS.md",
        "LICENSE",
        "pyproject.toml",
        "demo_data",
        "geometry",
        "static",
        "templates",
        "tests",
        "webapp",
    }


# Requirement files and lock files that hold where a package was downloaded from
# break on the next machine, which downloads from elsewhere.
DOWNLOADS = re.compile(r"https?://[^\s\"']*/(?:packages|simple|-/[^\s\"']+\.tgz|[^\s\"']+\.whl)")


def test_no_file_holds_a_download_address() -> None:
    texts = {".py", ".toml", ".txt", ".md", ".json", ".cfg", ".html", ".css", ".js", ".yaml", ""}
    folders = [ROOT / name for name in (".ci", "geometry", "webapp", "templates", "static",
                                        "tests", "demo_data")]  # fmt: skip
    files = [ROOT / "README.md", ROOT / "pyproject.toml"]
    files += [path for folder in folders for path in folder.rglob("*") if path.is_file()]
    holding = [
        path.relative_to(ROOT).as_posix()
        for path in files
        if path.suffix in texts and DOWNLOADS.search(path.read_text("utf-8", "replace"))
    ]
    assert holding == []
    assert "requirements.txt" in {path.name for path in files}


@pytest.mark.parametrize("package", ["geometry", "webapp"])
def test_nothing_is_left_for_later(package: str) -> None:
    left = re.compile(r"\b(TODO|FIXME|XXX|HACK)\b|raise NotImplementedError")
    assert [m.name for m in modules(package) if left.search(m.path.read_text())] == []
