"""Which changes are made, and which tests should notice them."""

from __future__ import annotations

import ast
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.by_hand.mutation.mutants import Mutant, mutants

ROOT = Path(__file__).parents[3]
EQUIVALENTS = Path(__file__).with_name("equivalents.txt")

# Further test folders of a package, besides its mirror.
ALSO = {
    "webapp/quote/lifecycle": ["webapp/quote", "webapp/counter"],
    "webapp/pricing": ["webapp/quote/freezing", "webapp/quote/agreed_terms"],
}


@dataclass(frozen=True)
class Job:
    """One mutant of one module."""

    path: Path
    mutant: Mutant
    tree: ast.Module

    @property
    def key(self) -> tuple[str, str, str]:
        """Its key in the list of equivalents."""
        return str(self.path), self.mutant.where, self.mutant.change


def dotted(path: Path) -> str:
    """Name of a module by its path from the root."""
    return ".".join(path.with_suffix("").parts)


def modules(package: str) -> list[Path]:
    """The files of a package, or the module of that name."""
    path = Path(*package.split("."))
    if path.with_suffix(".py").is_file():
        return [path.with_suffix(".py")]
    return sorted(file for file in path.rglob("*.py") if file.name != "__init__.py")


def equivalents() -> set[tuple[str, str, str]]:
    """The listed changes: file, function and change, a reason after them."""
    lines = EQUIVALENTS.read_text().splitlines()
    rows = [line.split(" | ", 2) for line in lines if line and not line.startswith("#")]
    return {(file, where, rest.rpartition(" | ")[0]) for file, where, rest in rows}


def jobs_of(paths: Iterable[Path]) -> Iterator[Job]:
    """Every mutant of these files, whether listed as equivalent or not."""
    for path in paths:
        tree = ast.parse(path.read_text())
        for mutant in mutants(tree):
            yield Job(path, mutant, tree)


def mirrors(path: Path) -> list[str]:
    """The module itself for its doctests, and the test files named as it is."""
    folder, stem = Path("tests") / path.parent, path.stem
    exact = sorted(folder.glob(f"test_{stem}*.py"))
    return [*map(str, exact), str(path)]


def nearest(path: Path) -> list[str]:
    """Every test and doctest of the package, and those of all geometry."""
    rooms = [path.parent, *map(Path, ALSO.get(str(path.parent), []))]
    here = [file for room in rooms for file in sorted(Path("tests", room).rglob("test_*.py"))]
    common = sorted(Path("tests", "geometry").glob("test_*.py"))
    here += common if path.parts[0] == "geometry" else []
    return list(map(str, [*here, *sorted(path.parent.glob("*.py"))]))


def wider(path: Path) -> list[str]:
    """The same, and every test file that imports the module."""
    names = [f"{dotted(path)} "]
    if path.stem in path.with_name("__init__.py").read_text():
        names.append(f"from {dotted(path.parent)} import")
    naming = [
        str(file)
        for file in sorted(Path("tests", path.parts[0]).rglob("test_*.py"))
        if any(name in file.read_text() for name in names)
    ]
    return list(dict.fromkeys([*nearest(path), *naming]))
