"""Every kind of statement that geometry can make."""

from __future__ import annotations

import importlib
import pkgutil

import geometry
from geometry.core import AnyOf, Remedy, Statement


def every_statement() -> list[type[Statement]]:
    """All of them, by name; those that only hold others are left out."""
    for module in pkgutil.walk_packages(geometry.__path__, "geometry."):
        importlib.import_module(module.name)
    found: list[type[Statement]] = []
    open_ = [Statement]
    while open_:
        kinds = open_.pop().__subclasses__()
        open_ += kinds
        found += [kind for kind in kinds if kind.__module__.startswith("geometry.")]
    return sorted(set(found) - {AnyOf, Remedy}, key=lambda kind: kind.__name__)
