"""Imports point one way: pages, then services, then tables and geometry."""

from __future__ import annotations

import sys

import pytest

from tests.architecture.reading_code import Module, imports, modules

WEB = {"fastapi", "starlette", "uvicorn"}

# The only places that import the web framework: each package's pages, the JSON interface, and
# the modules of `common` that serve both.
WEB_MODULES = {
    "webapp.app",
    "webapp.__main__",
    "webapp.accounts.confirmation",
    "webapp.accounts.dependencies",
    "webapp.common.web.static_files",
    "webapp.common.web.dependencies",
    "webapp.common.web.error_answers",
    "webapp.common.security.layers",
    "webapp.common.web.kept_answers",
    "webapp.common.web.reader_units",
    "webapp.common.web.uncached",
    "webapp.common.web.templating",
    "webapp.serving",
    "webapp.rate_limits.dependencies",
    "webapp.monitoring.layers",
    "webapp.office.forms.submitted",
    "webapp.monitoring.pages",
}


def speaks_web(module: str) -> bool:
    parts = module.split(".")
    routes = "pages" in parts[2:] or parts[-1] == "pages" or parts[-1].endswith("_pages")
    return module in WEB_MODULES or parts[1:2] == ["api"] or routes


def top(name: str) -> str:
    return name.split(".", maxsplit=1)[0]


@pytest.mark.parametrize("module", modules("geometry"), ids=lambda m: m.name)
def test_geometry_needs_numpy_and_the_standard_library_alone(module: Module) -> None:
    allowed = {"numpy", "geometry"} | sys.stdlib_module_names
    assert {name for name in imports(module) if top(name) not in allowed} == set()


# Pure computing: no database, no files, no network, no clock, no random numbers.
FORBIDDEN_IN_GEOMETRY = {"sqlite3", "socket", "http", "urllib", "os", "pathlib", "io", "random",
                         "time", "datetime", "subprocess", "logging"}  # fmt: skip


@pytest.mark.parametrize("module", modules("geometry"), ids=lambda m: m.name)
def test_geometry_touches_nothing_outside(module: Module) -> None:
    assert {top(name) for name in imports(module)} & FORBIDDEN_IN_GEOMETRY == set()


@pytest.mark.parametrize(
    "module", [m for m in modules("webapp") if not speaks_web(m.name)], ids=lambda m: m.name
)
def test_services_know_no_web_framework(module: Module) -> None:
    found = {name for name in imports(module) if top(name) in WEB or speaks_web(_module(name))}
    assert found == set()


def _module(name: str) -> str:
    """The module in an imported name: ``webapp.fit.pages.router`` is of ``webapp.fit.pages``."""
    known = {module.name for module in modules("webapp")}
    return name if name in known else name.rpartition(".")[0]


def test_a_service_that_imports_pages_would_be_found() -> None:
    assert speaks_web(_module("webapp.app.create_app"))
    assert speaks_web("webapp.fit.pages")
    assert speaks_web("webapp.api.v1")
    assert not speaks_web("webapp.fit.advice")
    assert not speaks_web("webapp.common.text.money")


@pytest.mark.parametrize(
    "module", [m for m in modules("webapp") if m.name.startswith("webapp.common")],
    ids=lambda m: m.name,
)  # fmt: skip
def test_common_knows_no_room_built_on_it(module: Module) -> None:
    above = {n for n in imports(module) if top(n) == "webapp" and not n.startswith("webapp.common")}
    assert above == set()


@pytest.mark.parametrize(
    "module", [m for m in modules("webapp") if m.name.startswith("webapp.catalogue")],
    ids=lambda m: m.name,
)  # fmt: skip
def test_the_catalogue_knows_no_room_built_on_it(module: Module) -> None:
    allowed = ("webapp.common", "webapp.catalogue", "webapp.migrations")
    above = {n for n in imports(module) if top(n) == "webapp" and not n.startswith(allowed)}
    assert above == set()


def _needs_in_a_circle(needs: dict[str, set[str]]) -> dict[str, set[str]]:
    """What is left when everything that needs only earlier ones has been taken out."""
    left = {name: used & needs.keys() for name, used in needs.items()}
    while ready := [name for name, used in left.items() if not used & left.keys()]:
        for name in ready:
            del left[name]
    return left


def test_no_two_packages_need_each_other() -> None:
    """The packages of the service can be put in an order in which each needs only earlier ones."""
    needs: dict[str, set[str]] = {}
    for module in modules("webapp"):
        parts = module.name.split(".")
        # The application includes every package's pages, and migrations know every table.
        if len(parts) == 1 or parts[1] in {"app", "__main__", "migrations"}:
            continue
        used = {n.split(".")[1] for n in imports(module) if n.startswith("webapp.")}
        needs.setdefault(parts[1], set()).update(used - {parts[1], "migrations"})
    assert _needs_in_a_circle(needs) == {}


@pytest.mark.parametrize("package", ["catalogue", "builds", "quote", "office"])
def test_no_two_subpackages_need_each_other(package: str) -> None:
    """The subpackages of a package, and the modules at its root, need only earlier ones."""
    inside = f"webapp.{package}."
    needs: dict[str, set[str]] = {}
    for module in modules("webapp"):
        if module.name.startswith(inside):
            part = module.name.split(".")[2]
            used = {n.split(".")[2] for n in imports(module) if n.startswith(inside)}
            needs.setdefault(part, set()).update(used - {part})
    assert len(needs) > 4
    assert _needs_in_a_circle(needs) == {}


def test_a_circle_would_be_found() -> None:
    assert _needs_in_a_circle({"a": {"b"}, "b": {"c"}, "c": set()}) == {}
    assert _needs_in_a_circle({"a": {"b"}, "b": {"a"}, "c": {"a"}}).keys() == {"a", "b", "c"}


@pytest.mark.parametrize("package", ["geometry", "webapp"])
def test_tests_are_not_imported_by_what_they_test(package: str) -> None:
    assert [m.name for m in modules(package) if any(top(n) == "tests" for n in imports(m))] == []
