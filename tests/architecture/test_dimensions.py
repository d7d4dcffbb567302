"""A frame's dimension is declared once; every list of them is read from there.

The declaration is the field of the catalogue's `SizeData`. Besides it, the solver spells
its own inputs, and the glossary tells what they mean.
"""

from __future__ import annotations

import re
from dataclasses import fields

import pytest

from geometry.bike import Frame
from geometry.glossary import GLOSSARY
from tests.architecture.reading_code import ROOT, modules
from webapp.api.geometry_body import GeometryBody
from webapp.catalogue.schema.frames import DIMENSIONS, SOLVED, Tolerances

DECLARED = "webapp/catalogue/schema/frames.py"

# Files that may spell a dimension by name, with the reason.
SPELLED = {
    "seat_tube_offset": {
        DECLARED,
        "geometry/bike/parts.py",  # the solver's input
        "geometry/bike/standing.py",
        "geometry/bike/saddle.py",
        "geometry/bike/standover_height.py",
        "geometry/matrix/axes.py",
        "geometry/matrix/rows.py",
        "geometry/search/parts.py",
        "geometry/search/gaps.py",
        "geometry/clearance/from_build.py",
        "geometry/glossary/input_entries.py",  # what it means
        "geometry/glossary/formula_terms.py",
        "geometry/examples/trail_bike.py",  # an example's data
    },
    "slot_angle": {
        DECLARED,
        "webapp/api/geometry_body.py",  # the example of a request
        "webapp/api/slot.py",  # a slot asked about without its frame
        "webapp/builds/fitting/calculations/drive.py",  # the same, remembered by its numbers
        "webapp/drawing/points.py",  # the slot is drawn
    },
}


@pytest.mark.parametrize("key", SPELLED)
def test_a_dimension_is_spelled_where_it_is_declared_and_solved(key: str) -> None:
    packages = ("webapp", "geometry") if key == "seat_tube_offset" else ("webapp",)
    found = {
        module.path.relative_to(ROOT).as_posix()
        for package in packages
        for module in modules(package)
        if re.search(rf"\b{key}\b", module.path.read_text())
    }
    assert found == SPELLED[key]
    pages = [*(ROOT / "templates").rglob("*.html"), *(ROOT / "static" / "js").rglob("*.js")]
    assert [path.name for path in pages if key in path.read_text()] == []


def test_every_list_of_dimensions_is_the_declared_one_in_its_order() -> None:
    of_a_frame = [each for each in DIMENSIONS if f"frame.{each.key}" in GLOSSARY]
    names = [each.key for each in of_a_frame]
    assert set(SOLVED) < set(of_a_frame) < set(DIMENSIONS)
    assert [field.name for field in fields(Frame)][: len(names)] == names
    assert [key for key in GLOSSARY if re.fullmatch(r"frame\.\w+", key)] == [
        f"frame.{name}" for name in names
    ]
    assert [GLOSSARY[f"frame.{each.key}"].unit for each in of_a_frame] == [
        each.unit for each in of_a_frame
    ]
    assert list(GeometryBody.model_fields)[: len(names)] == names
    assert list(Tolerances.model_fields)[: len(names)] == names
