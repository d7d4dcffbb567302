"""Side elevations: valid, safe, honest, and without lettering on lettering."""

from __future__ import annotations

import itertools
import random
import re
from dataclasses import fields, is_dataclass, replace
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.bike.standing import stand
from geometry.examples.trail_bike import trail_build
from tests.webapp.drawing.builds import STANDOVER_AHEAD, Drawn, all_drawn
from webapp.drawing.elevation import Layout, draw, elevation
from webapp.drawing.labels import NAMES, printed, standard_figures
from webapp.drawing.outline import outline_of
from webapp.drawing.paper import elevation_for_paper
from webapp.drawing.points import RiderPoints, bike_points
from webapp.drawing.traced import traced

SVG = "{http://www.w3.org/2000/svg}"
BUILDS = all_drawn()
LAYOUTS: tuple[Layout, ...] = ("full", "compact")
RIDER = RiderPoints(
    hip=(-200.0, 800.0),
    knee=(120.0, 480.0),
    ankle=(20.0, 80.0),
    toe=(170.0, 0.0),
    shoulder=(130.0, 1250.0),
    elbow=(300.0, 960.0),
    hand=(420.0, 715.0),
    head=(230.0, 1450.0),
)
every_drawing = pytest.mark.parametrize(
    ("name", "layout"), list(itertools.product(BUILDS, LAYOUTS))
)


def svg_of(build: Drawn, layout: Layout, title: str = "Knapweed, Medium") -> str:
    return elevation(
        build.points, build.figures, title=title, layout=layout, standover_ahead=STANDOVER_AHEAD
    )


@every_drawing
def test_is_one_valid_small_svg_with_text_equivalent(name: str, layout: Layout) -> None:
    text = svg_of(BUILDS[name], layout)
    root = ET.fromstring(text)  # noqa: S314  # our own output
    assert root.tag == f"{SVG}svg"
    assert root.get("role") == "img"
    ids = (root.get("aria-labelledby") or "").split()
    assert [root[0].get("id"), root[1].get("id")] == ids
    assert "nan" not in text
    assert "inf" not in text
    assert " style=" not in text
    assert len(text) < 25_000


@every_drawing
def test_lettering_stands_apart_and_inside(name: str, layout: Layout) -> None:
    build = BUILDS[name]
    sheet = draw(
        build.points,
        build.figures,
        layout=layout,
        unit="mm",
        standover_ahead=STANDOVER_AHEAD,
        rider=None,
    )
    assert len(sheet.spots) >= (len(build.figures) if layout == "full" else 3)
    met = [
        (a.shape.rows, b.shape.rows)
        for a, b in itertools.combinations(sheet.spots, 2)
        if a.meets(b, 0.0)
    ]
    assert met == []
    frame = sheet.frame(0.0)
    for spot in sheet.spots:
        (x, y), (wide, high) = spot.centre, (spot.shape.half_width, spot.shape.half_height)
        assert frame.left <= x - wide < x + wide <= frame.right
        assert frame.bottom <= y - high < y + high <= frame.top


@pytest.mark.parametrize("layout", LAYOUTS)
@given(seed=st.integers(0, 10**6))
@settings(max_examples=40)
def test_no_lettering_meets_whatever_the_points_are(layout: Layout, seed: int) -> None:
    """Bikes nobody would build: every point of the drawing moved by up to 200 mm."""
    chance = random.Random(seed)  # noqa: S311  # shapes, no secret
    build = BUILDS["medium"]
    points = _shaken(build.points, chance)
    figures = {key: value * chance.uniform(0.1, 20.0) for key, value in build.figures.items()}
    sheet = draw(
        points, figures, layout=layout, unit="mm", standover_ahead=chance.uniform(-300.0, 500.0),
        rider=None,
    )  # fmt: skip
    assert not any(a.meets(b, 0.0) for a, b in itertools.combinations(sheet.spots, 2))
    if layout == "full":
        assert len(sheet.spots) == len(figures)


def _shaken(whole: Any, chance: random.Random) -> Any:
    """The same tree of points, each elsewhere."""
    if isinstance(whole, tuple) and isinstance(whole[0], float):
        return tuple(value + chance.uniform(-200.0, 200.0) for value in whole)
    if isinstance(whole, tuple):
        return tuple(_shaken(each, chance) for each in whole)
    if is_dataclass(whole) and not isinstance(whole, type):
        moved = {each.name: _shaken(getattr(whole, each.name), chance) for each in fields(whole)}
        return replace(whole, **moved)
    return whole


def test_a_text_without_a_place_stands_in_a_row_below() -> None:
    build = BUILDS["medium"]
    sheet = draw(
        build.points, build.figures, layout="full", unit="mm", standover_ahead=STANDOVER_AHEAD,
        rider=None, beside=dict.fromkeys(build.figures, "x" * 90),
    )  # fmt: skip
    assert len(sheet.spots) == len(build.figures)
    assert not any(a.meets(b, 0.0) for a, b in itertools.combinations(sheet.spots, 2))


@every_drawing
def test_all_that_is_drawn_lies_within_the_view(name: str, layout: Layout) -> None:
    root = ET.fromstring(svg_of(BUILDS[name], layout))  # noqa: S314
    left, top, wide, high = map(float, (root.get("viewBox") or "").split())
    for path in root.iter(f"{SVG}path"):
        steps = re.sub(r"A\S+ \S+ 0 0 [01] ", "L", path.get("d") or "")
        numbers = [float(n) for n in re.findall(r"-?[\d.]+", steps)]
        assert all(left <= x <= left + wide for x in numbers[::2])
        assert all(top <= y <= top + high for y in numbers[1::2])


@pytest.mark.parametrize("name", BUILDS)
def test_full_shows_every_figure_given_and_as_given(name: str) -> None:
    build = BUILDS[name]
    root = ET.fromstring(svg_of(build, "full"))  # noqa: S314
    shown = {
        group.get("data-figure"): group.get("data-value")
        for group in root.iter(f"{SVG}g")
        if group.get("data-figure")
    }
    assert shown == {f"drawing-{key}": printed(key, v) for key, v in build.figures.items()}
    lettered = {
        group.get("data-figure"): " ".join(text.itertext()).split()[-1]
        for group in root.iter(f"{SVG}g")
        for text in group.findall(f"{SVG}text")
        if group.get("data-figure")
    }
    assert lettered == shown


def test_words_hold_every_figure() -> None:
    build = BUILDS["medium"]
    root = ET.fromstring(svg_of(build, "compact"))  # noqa: S314
    words = root[1].text or ""
    for key, value in build.figures.items():
        assert f"{NAMES[key]} {printed(key, value)}" in words


def test_compact_has_larger_lettering_and_fewer_figures() -> None:
    build = BUILDS["medium"]
    texts = {
        layout: list(ET.fromstring(svg_of(build, layout)).iter(f"{SVG}text"))  # noqa: S314
        for layout in LAYOUTS
    }
    assert len(texts["compact"]) < len(texts["full"])
    sizes = {layout: float(found[0].get("font-size") or 0) for layout, found in texts.items()}
    assert sizes["compact"] > 1.8 * sizes["full"]


def test_changed_figures_carry_the_revision_triangle() -> None:
    build = BUILDS["medium"]
    text = elevation(build.points, build.figures, title="x", changed={"reach", "trail"})
    root = ET.fromstring(text)  # noqa: S314
    shown = {
        group.get("data-figure")
        for group in root.iter(f"{SVG}g")
        for path in group.findall(f"{SVG}path[@class='revision']")
        if path.get("visibility") != "hidden"
    }
    assert shown == {"drawing-reach", "drawing-trail"}
    # The others carry one too, hidden, which a page shows when it finds them changed.
    assert text.count('class="revision"') == len(build.figures) - 1  # no standover is placed


def test_the_finish_lies_thinly_on_the_tubes_alone() -> None:
    build = BUILDS["medium"]
    text = elevation(build.points, {}, title="x", finish="#5b6f4e")
    assert text.count('class="tint" fill="#5b6f4e" fill-opacity="0.4"') == 6
    assert "tint" not in elevation(build.points, {}, title="x")


@pytest.mark.parametrize("finish", ["#000000", "#7a1f1f", "#2b3a5e", "#ffffff"])
def test_edges_keep_their_contrast_on_any_finish(finish: str) -> None:
    """WCAG 2.2, 1.4.11: 3 to 1 between an edge and what it bounds; the ink on the tinted paper."""
    text = elevation(BUILDS["medium"].points, {}, title="x", finish=finish)
    share = float(re.search(r'class="tint"[^>]* fill-opacity="([\d.]+)"', text)[1])  # type: ignore[index]
    paper, ink = _channels("#fcfbf8"), _channels("#17212b")
    tinted = [share * c + (1 - share) * p for c, p in zip(_channels(finish), paper, strict=True)]
    high, low = _luminance(tinted), _luminance(ink)
    assert (high + 0.05) / (low + 0.05) >= 3.0


def _channels(colour: str) -> list[float]:
    return [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]


def _luminance(channels: list[float]) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    parts = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def test_a_rider_hides_what_lies_behind_and_no_text_stands_on_the_figure() -> None:
    build = BUILDS["medium"]
    plain, ridden = (
        draw(
            build.points, build.figures, layout="full", unit="mm",
            standover_ahead=STANDOVER_AHEAD, rider=rider,
        )
        for rider in (None, RIDER)
    )  # fmt: skip
    parts = ridden.svg(title="x", words="x", name="x", margin=0.0)
    lines, body = parts.index('class="dimension"'), parts.rindex('class="part-rider"')
    lettering = parts.index("<text")
    assert lines < body < lettering
    trunk = [
        (x1 + (x2 - x1) * t / 20, y1 + (y2 - y1) * t / 20)
        for (x1, y1), (x2, y2) in ((RIDER.hip, RIDER.shoulder), (RIDER.hip, RIDER.knee))
        for t in range(21)
    ]
    for spot in ridden.spots:
        (x, y), (wide, high) = spot.centre, (spot.shape.half_width, spot.shape.half_height)
        assert not any(abs(u - x) < wide and abs(v - y) < high for u, v in trunk)
    assert len(plain.spots) == len(ridden.spots)


def test_hostile_text_is_escaped() -> None:
    hostile = '"><script>alert(1)</script>&'
    text = elevation(BUILDS["medium"].points, {}, title=hostile, name=hostile)
    root = ET.fromstring(text)  # noqa: S314
    assert root[0].text == hostile
    assert "<script" not in text


def test_frame_alone_shows_its_seat_tube_angle() -> None:
    build = trail_build()
    standing = stand(build)
    text = elevation(bike_points(standing, build), standard_figures(standing), title="Frame")
    assert 'data-figure="drawing-seat_tube_angle"' in text
    assert "part-saddle" not in text
    assert "part-cockpit" not in text


def test_unknown_figures_are_refused() -> None:
    with pytest.raises(KeyError):
        elevation(BUILDS["medium"].points, {"rake": 44.0}, title="x")


def test_negative_trail_and_drop_are_drawn() -> None:
    build = BUILDS["medium"]
    figures = build.figures | {"trail": -12.4, "bb_drop": -8.0}
    text = elevation(build.points, figures, title="x")
    assert 'data-value="−12.4"' in text
    assert 'data-value="−8"' in text


def test_inches_are_the_readers() -> None:
    text = elevation(BUILDS["medium"].points, {"reach": 465.0}, title="x", unit="in")
    assert 'data-value="18.31"' in text
    assert "Lengths in inches" in text


def test_rider_is_drawn_only_when_given() -> None:
    points = BUILDS["medium"].points
    assert "part-rider" in elevation(points, {}, title="x", rider=RIDER)
    assert "part-rider" not in elevation(points, {}, title="x")


def test_a_bike_drawn_once_serves_every_layout() -> None:
    """Each layout lays its own lines' widths over it, whichever was asked for first."""
    build, finish = BUILDS["medium"], "#5b6f4e"
    ghost = outline_of(BUILDS["large"].points)
    once = traced(build.points, build.figures, RIDER, ghost=ghost, finish=finish)
    given: Any = {"title": "x", "rider": RIDER, "ghost": ghost, "finish": finish}
    for layout in (*LAYOUTS, *LAYOUTS):
        alone = elevation(build.points, build.figures, layout=layout, **given)
        shared = elevation(build.points, build.figures, layout=layout, drawn=once, **given)
        assert shared == alone


def test_small_changes_do_not_resize_the_sheet() -> None:
    boxes = set()
    for slot in (4.0, 5.0, 6.0):
        build = trail_build(slot)
        text = elevation(bike_points(stand(build), build), {}, title="x")
        boxes.add(re.search('viewBox="([^"]+)"', text)[1])  # type: ignore[index]
    assert len(boxes) == 1


@pytest.mark.parametrize("name", BUILDS)
def test_paper_is_to_scale(name: str) -> None:
    build = BUILDS[name]
    made = elevation_for_paper(
        build.points, build.figures, title="x", width=170.0, standover_ahead=STANDOVER_AHEAD
    )
    root = ET.fromstring(made.svg)  # noqa: S314
    _, _, wide, high = map(float, (root.get("viewBox") or "").split())
    assert wide / made.scale == pytest.approx(170.0, abs=0.05)
    assert high / made.scale == pytest.approx(made.height, abs=0.05)
    assert f"scale 1 : {made.scale}" in made.svg


def test_paper_must_be_wide_enough() -> None:
    with pytest.raises(ValueError, match="100 mm"):
        elevation_for_paper(BUILDS["medium"].points, {}, title="x", width=40.0)
