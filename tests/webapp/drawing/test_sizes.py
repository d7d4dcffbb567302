"""All sizes over each other: a line type and a name of its own for each."""

from __future__ import annotations

import itertools
import re

from tests.webapp.drawing.builds import all_drawn
from webapp.drawing.dimensioning.bike_dimensions import Layout
from webapp.drawing.sizes import DrawnSize, sizes_in_words, sizes_picture

POINTS = [each.points for each in all_drawn().values()]
NAMES = ["Extra small", "Small", "Medium", "Large", "Extra large", "Extra extra large"]
LAYOUTS: tuple[Layout, ...] = ("full", "compact")


def six(own: str = "") -> list[DrawnSize]:
    return [
        DrawnSize(name=name, short=name[:2].upper(), points=points, own=name == own)
        for name, points in zip(NAMES, POINTS, strict=False)
    ]


def test_six_sizes_have_six_line_types_and_say_which_is_whose() -> None:
    for layout in LAYOUTS:
        drawn = sizes_picture(six(), title="x", words="w", layouts=[layout]).svg
        dashes = {
            re.search(rf'class="line-{line} size-{at}"[^>]*?(stroke-dasharray="[^"]+"|>)', drawn)[1]  # type: ignore[index]
            for at, line in enumerate("abcdef", start=1)
        }
        assert len(dashes) == 6
        for name in NAMES:
            assert (name if layout == "full" else name[:2].upper()) + "</text>" in drawn


def test_no_name_meets_another() -> None:
    for layout in LAYOUTS:
        drawn = sizes_picture(six(), title="x", words="w", layouts=[layout]).svg
        rows = [float(y) for y in re.findall(r'<text [^>]* y="([-\d.]+)"', drawn)]
        size = float(re.search(r'font-size="([\d.]+)"', drawn)[1])  # type: ignore[index]
        assert len(rows) == 6
        assert all(abs(a - b) >= 1.26 * size for a, b in itertools.combinations(rows, 2))


def test_the_riders_own_size_is_marked() -> None:
    drawn = sizes_picture(six(own="Large"), title="x", words="w").svg
    marked = re.findall(r'class="([^"]*size-own[^"]*)"', drawn)
    assert {name.split()[1] for name in marked} == {"size-4"}


def test_words_name_every_size_and_its_state() -> None:
    words = sizes_in_words(NAMES, "sagged")
    assert all(name in words for name in NAMES)
    assert "sagged" in words
