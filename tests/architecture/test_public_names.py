"""Public names of geometry are used outside the tests.

The programs under tests/calibration count as users, since what they print is shipped, and so
does DEVELOPERS.md's tour; measurements, sample data and what else is run by hand do not.
The examples are there for the doctests. A class may be exported because an exported function
takes or returns it.
"""

from __future__ import annotations

import ast
import importlib
import re
from collections.abc import Iterator
from functools import cache

import pytest

import geometry
from tests.architecture.reading_code import ROOT, Module, imports, modules, public_functions
from tests.architecture.test_geometry_packages import PACKAGES, package_of

PROGRAMS = ("tests.calibration.",)
GUIDE = (ROOT / "DEVELOPERS.md").read_text()


@cache
def users() -> tuple[Module, ...]:
    """Modules whose use of a name counts."""
    programs = (module for module in modules("tests") if module.name.startswith(PROGRAMS))
    own = (module for module in modules("geometry") if module.path.name != "__init__.py")
    return (*own, *modules("webapp"), *programs)


def _names(tree: ast.AST) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Name):
            yield node.id
        elif isinstance(node, ast.Attribute):
            yield node.attr


@cache
def used() -> frozenset[str]:
    """Every name that users mention, and those the tour imports."""
    return frozenset(name for module in users() for name in _names(module.tree)) | toured()


@cache
def toured() -> frozenset[str]:
    """Names that the tour imports from geometry."""
    lines = re.findall(r"^>>> from geometry\S* import (.+)$", GUIDE, re.MULTILINE)
    return frozenset(name for line in lines for name in line.split(", "))


@cache
def imported(package: str) -> frozenset[str]:
    """Names of a package of geometry that users outside it import."""
    found = {
        name.rpartition(".")[2]
        for module in users()
        if package_of(module.name) != package
        for name in imports(module)
        if package_of(name) == package
    }
    return frozenset(found) | toured()


@cache
def in_doctests() -> frozenset[str]:
    """Names of the examples that doctests import."""
    lines = (
        line
        for module in modules("geometry")
        for line in re.findall(r">>> from geometry\.examples import (.+)", module.path.read_text())
    )
    return frozenset(name for line in lines for name in line.split(", "))


@cache
def in_signatures(package: str) -> frozenset[str]:
    """Names in the annotations of a package's public functions, classes and aliases."""
    found: set[str] = set()
    for module in modules("geometry"):
        if package_of(module.name) != package:
            continue
        for node in ast.walk(module.tree):
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                arguments = (*node.args.args, *node.args.kwonlyargs)
                told = [*(each.annotation for each in arguments), node.returns]
            elif isinstance(node, ast.AnnAssign):
                told = [node.annotation]
            else:
                continue
            found.update(name for each in told if each for name in _names(each))
    return frozenset(found)


def without_user(package: str) -> list[str]:
    """Exported names that nobody outside the tests uses."""
    home = importlib.import_module(f"geometry.{package}")
    functions = {f.name for module in modules("geometry") for f in public_functions(module)}
    taken = imported(package) | set(geometry.__all__)
    if package == "examples":
        taken |= in_doctests()
    types = {name for name in home.__all__ if not name.isupper() and name not in functions}
    return sorted(set(home.__all__) - taken - (types & in_signatures(package)))


@pytest.mark.parametrize("package", PACKAGES)
def test_an_exported_name_has_a_user_outside_the_tests(package: str) -> None:
    assert without_user(package) == []


def test_a_public_function_has_a_user_outside_the_tests() -> None:
    lonely = [
        f"{module.name}.{function.name}"
        for module in modules("geometry")
        for function in public_functions(module)
        if function.name not in used()
        and not (package_of(module.name) == "examples" and function.name in in_doctests())
    ]
    assert lonely == []


def methods(package: str) -> Iterator[str]:
    """Public methods and properties, as ``Matrix.at``."""
    for module in modules(package):
        for node in ast.walk(module.tree):
            if isinstance(node, ast.ClassDef):
                for inner in node.body:
                    if isinstance(inner, ast.FunctionDef) and not inner.name.startswith("_"):
                        yield f"{node.name}.{inner.name}"


def test_a_public_method_has_a_user_outside_the_tests() -> None:
    found = list(methods("geometry"))
    assert "Matrix.at" in found
    assert [name for name in found if name.partition(".")[2] not in used()] == []


def test_a_name_without_a_user_would_be_found() -> None:
    assert {"stand", "hands"} <= used()
    assert "find_me_nowhere" not in used()
    assert "Closure" in in_signatures("bike")
    assert "closing_positions" in imported("drive")
    assert "_loop_slope" not in imported("drive")
