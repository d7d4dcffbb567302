"""Reads the project's own Python files as syntax trees, for the rules of this folder."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class Module:
    """One Python file: dotted name, path, tree."""

    name: str
    path: Path
    tree: ast.Module

    @property
    def lines(self) -> int:
        return len(self.path.read_text().splitlines())


@cache
def modules(package: str) -> tuple[Module, ...]:
    """Every module of a top-level package."""
    found = []
    for path in sorted((ROOT / package).rglob("*.py")):
        parts = path.relative_to(ROOT).with_suffix("").parts
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        found.append(Module(name, path, ast.parse(path.read_text(), str(path))))
    return tuple(found)


def imports(module: Module) -> Iterator[str]:
    """Dotted names a module imports, wherever in the file; relative ones made absolute."""
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = _absolute(module, node)
            yield from (f"{base}.{alias.name}" for alias in node.names)


def _absolute(module: Module, node: ast.ImportFrom) -> str:
    if not node.level:
        return node.module or ""
    package = module.name.split(".")
    if module.path.name != "__init__.py":
        package = package[:-1]
    package = package[: len(package) - node.level + 1]
    return ".".join([*package, *([node.module] if node.module else [])])


def public_functions(module: Module) -> Iterator[ast.FunctionDef]:
    """Functions of a module that others may call."""
    for node in module.tree.body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield node
