"""The packages of geometry import in one order, and are used by their public names."""

from __future__ import annotations

import ast
import importlib

import pytest

from tests.architecture.reading_code import ROOT, Module, imports, modules

# Each package may use those on the lines above its own, and nothing on its own line or below.
ORDER = (
    {"core"},
    {"glossary", "checks"},
    {"bike"},
    {"loads", "drive", "matrix", "position", "search", "uncertainty"},
    {"rider", "clearance", "verify"},
    {"sizing"},
    {"population"},
    {"examples"},
)
LEVEL = {package: level for level, line in enumerate(ORDER) for package in line}
PACKAGES = sorted(LEVEL)
LONGEST_LIST = 15  # files in one folder


def package_of(name: str) -> str:
    """The package of geometry in a dotted name; empty for geometry itself."""
    parts = name.split(".")
    return parts[1] if len(parts) > 1 and parts[1] in LEVEL else ""


def test_the_order_names_every_package() -> None:
    folders = {p.name for p in (ROOT / "geometry").iterdir() if p.is_dir()} - {"__pycache__"}
    assert folders == set(PACKAGES)


@pytest.mark.parametrize(
    "module", [m for m in modules("geometry") if m.name != "geometry"], ids=lambda m: m.name
)
def test_packages_import_only_from_those_before_them(module: Module) -> None:
    own = package_of(module.name)
    used = {name for name in imports(module) if name.split(".")[0] == "geometry"}
    assert own
    assert all(package_of(name) for name in used), "geometry itself stands above its packages"
    assert {
        name for name in used if package_of(name) != own and LEVEL[package_of(name)] >= LEVEL[own]
    } == set()


@pytest.mark.parametrize("module", modules("geometry") + modules("webapp"), ids=lambda m: m.name)
def test_other_packages_are_asked_by_their_public_names(module: Module) -> None:
    own = package_of(module.name)
    assert [name for name in asked(module) if package_of(name) != own and not public(name)] == []


def asked(module: Module) -> list[str]:
    """Names of geometry that a module imports."""
    return [name for name in imports(module) if name.split(".")[0] == "geometry"]


def public(name: str) -> bool:
    """Whether a dotted name is exported by geometry or by one of its packages."""
    home, _, last = name.rpartition(".")
    if home != "geometry" and home.removeprefix("geometry.") not in LEVEL:
        return False
    return last in importlib.import_module(home).__all__


def test_a_name_that_is_not_public_would_be_found() -> None:
    assert public("geometry.stand")
    assert public("geometry.bike.stand")
    assert not public("geometry.bike.standing.stand")
    assert not public("geometry.bike.standing")
    assert not public("geometry.bike.solve")


@pytest.mark.parametrize("package", PACKAGES)
def test_a_package_says_what_is_in_it_and_exports_what_it_has(package: str) -> None:
    found = importlib.import_module(f"geometry.{package}")
    text = ast.get_docstring(ast.parse((ROOT / "geometry" / package / "__init__.py").read_text()))
    assert text
    assert len(text.splitlines()) <= 3
    assert found.__all__
    assert [name for name in found.__all__ if not hasattr(found, name)] == []


@pytest.mark.parametrize("package", PACKAGES)
def test_no_exported_name_hides_a_module(package: str) -> None:
    files = {path.stem for path in (ROOT / "geometry" / package).glob("*.py")}
    assert files & set(importlib.import_module(f"geometry.{package}").__all__) == set()
    assert len(files) <= LONGEST_LIST
