"""The picture of the architecture in DEVELOPERS.md, drawn from the code's own imports.

    python -m tests.develop.picture

writes it anew between the two marks there. `tests/architecture` fails while it is out of date.
An arrow says "imports"; what can be reached by other arrows is not drawn again, and packages
that need each other stand in one box.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from tests.architecture.reading_code import ROOT, imports, modules

GUIDE = ROOT / "DEVELOPERS.md"
START, END = "<!-- picture: drawn by tests/develop/picture.py -->", "<!-- end of picture -->"
LEFT_OUT = {"examples", "migrations"}  # what the tests stand on, and what declares no service
Graph = Mapping[str, frozenset[str]]


def packages(top: str) -> Graph:
    """Each package below ``top`` with those that it imports from."""
    names = {path.name for path in (ROOT / top).iterdir() if (path / "__init__.py").exists()}
    names -= LEFT_OUT
    found: dict[str, set[str]] = {name: set() for name in names}
    for module in modules(top):
        room = module.name.split(".")[1] if "." in module.name else ""
        if room in found:
            parts = (name.split(".") for name in imports(module) if name.startswith(f"{top}."))
            found[room] |= {part[1] for part in parts} & names - {room}
    return {name: frozenset(found[name]) for name in sorted(found)}


def reached(graph: Graph) -> Graph:
    """Everything that each can get to."""
    found = dict(graph)
    while True:
        more = {
            name: beside.union(*(found[each] for each in beside)) for name, beside in found.items()
        }
        if more == found:
            return found
        found = more


def boxes(graph: Graph) -> tuple[dict[str, str], set[tuple[str, str]]]:
    """The box of each package, and the arrows that cannot be left out."""
    far = reached(graph)
    box = {
        name: " + ".join([n for n in graph if n == name or (n in far[name] and name in far[n])])
        for name in graph
    }
    pairs = {(box[a], box[b]) for a, beside in graph.items() for b in beside if box[a] != box[b]}
    beside = {name: frozenset(b for a, b in pairs if a == name) for name in box.values()}
    deep = reached(beside)
    return box, {(a, b) for a, b in pairs if not any(b in deep[c] for c in beside[a] - {b})}


def mermaid() -> str:
    """Both packages as one Mermaid flow chart."""
    lines = ["```mermaid", "flowchart TD"]
    for top in ("webapp", "geometry"):
        box, arrows = boxes(packages(top))
        key = {name: f"{top[0]}_{re.sub(r'[^a-z]+', '_', name)}" for name in box.values()}
        lines.append(f"  subgraph {top}")
        lines += [f'    {key[name]}["{name}"]' for name in sorted(key)]
        lines += [f"    {key[a]} --> {key[b]}" for a, b in sorted(arrows)]
        lines.append("  end")
    return "\n".join([*lines, "  webapp --> geometry", "```"])


def drawn(text: str) -> str:
    """The guide with the picture as it is today."""
    before, _, rest = text.partition(START)
    return f"{before}{START}\n{mermaid()}\n{END}{rest.partition(END)[2]}"


def main(guide: Path = GUIDE) -> None:
    """Write it."""
    guide.write_text(drawn(guide.read_text("utf-8")), "utf-8")


if __name__ == "__main__":
    main()
