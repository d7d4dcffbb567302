"""Every remedy the geometry knows has its sentence, and every unit in one its word."""

from __future__ import annotations

import ast
from collections.abc import Iterator

from geometry.core import OneOf, WholeNumber
from tests.architecture.reading_code import modules
from webapp.common.remedies import REMEDIES, UNITS


def test_a_remedy_is_said_as_people_write() -> None:
    assert REMEDIES.say(WholeNumber(unit="teeth")) == "must be a whole number of teeth"
    assert REMEDIES.say(OneOf(choices=("chain", "belt"))) == "must be chain or belt"


def units(tree: ast.Module) -> Iterator[str]:
    """Units that the numbers of a module are checked in."""
    places = {"number": 0, "checked": 2, "whole": 2}
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            at = places.get(node.func.id, 99)
            given = node.args[at] if at < len(node.args) else None
            if isinstance(given, ast.Constant):
                yield str(given.value)


def test_every_unit_of_the_geometry_has_a_word() -> None:
    found = {unit for module in modules("geometry") for unit in units(module.tree)}
    assert found >= {"mm", "degrees", "teeth", "kg"}
    assert found <= set(UNITS)
