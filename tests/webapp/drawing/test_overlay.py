"""Overlays: line types, balloons, alignment, ground."""

from __future__ import annotations

import itertools
import math
from xml.etree import ElementTree as ET

import pytest

from tests.webapp.drawing.builds import all_drawn
from webapp.drawing.guides.measuring_guide import Measure, measuring, measuring_words
from webapp.drawing.overlay import Alignment, OverlaidBuild, overlay

SVG = "{http://www.w3.org/2000/svg}"
BUILDS = [
    OverlaidBuild(label=f"<{name}> & more", points=each.points)
    for name, each in all_drawn().items()
]


def groups(text: str, name: str) -> list[ET.Element]:
    root = ET.fromstring(text)  # noqa: S314  # our own output
    return [g for g in root.iter(f"{SVG}g") if name in (g.get("class") or "").split()]


@pytest.mark.parametrize("count", [2, 3, 4])
def test_each_build_has_its_line_type_and_letter(count: int) -> None:
    text = overlay(BUILDS[:count], title="x")
    letters = ["".join(g.itertext()) for g in groups(text, "balloon")]
    assert letters == list("ABCD"[:count])
    dashes = {
        groups(text, f"line-{letter.lower()}")[0].get("stroke-dasharray") for letter in letters
    }
    assert len(dashes) == count


def test_no_letter_of_an_overlay_meets_another() -> None:
    """Wheels of every kind beside each other; each balloon is a circle of its own size."""
    for four in itertools.permutations(BUILDS, 4):
        for layout in ("full", "compact"):
            text = overlay(four, title="x", layout=layout)
            circles = [next(g.iter(f"{SVG}circle")) for g in groups(text, "balloon")]
            places = [tuple(float(c.get(n) or 0) for n in ("cx", "cy", "r")) for c in circles]
            for (x, y, r), (u, v, _) in itertools.combinations(places, 2):
                assert math.hypot(x - u, y - v) > 2 * r


@pytest.mark.parametrize(("align", "index"), [("bb", None), ("rear_axle", 0)])
def test_builds_share_the_point_they_are_aligned_at(align: Alignment, index: int | None) -> None:
    text = overlay(BUILDS[:3], title="x", align=align)
    tyres = [g for g in groups(text, "part-tyre") if len(list(g.iter(f"{SVG}circle"))) == 2]
    rear = {(next(iter(g)).get("cx"), next(iter(g)).get("cy")) for g in tyres}
    assert (len(rear) == 1) == (index is not None)


def test_ground_is_one_line_only_where_it_is_one() -> None:
    same = overlay([BUILDS[0], BUILDS[0]], title="x")
    apart = overlay([BUILDS[0], BUILDS[2]], title="x")
    assert len(groups(same, "ground-line")) == 1
    assert groups(apart, "ground-line") == []


def test_words_and_legend_name_builds_safely() -> None:
    text = overlay(BUILDS[:2], title="x", legend=True)
    root = ET.fromstring(text)  # noqa: S314
    assert "A, continuous line: <medium> & more" in (root[1].text or "")
    assert "<medium>" not in text
    assert any("<medium> & more" in "".join(t.itertext()) for t in root.iter(f"{SVG}text"))


@pytest.mark.parametrize("count", [0, 1, 5])
def test_other_counts_are_refused(count: int) -> None:
    with pytest.raises(ValueError, match="2 to 4"):
        overlay(BUILDS[:count], title="x")


@pytest.mark.parametrize("measure", ["stature", "inseam", "span"])
def test_measuring_has_title_words_and_a_dimension(measure: Measure) -> None:
    text = measuring(measure)
    root = ET.fromstring(text)  # noqa: S314
    assert (root[0].text, root[1].text) == measuring_words(measure)
    assert groups(text, "dimension")
    assert list(root.iter(f"{SVG}text")) == []
