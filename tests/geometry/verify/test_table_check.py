"""Table check: sound tables pass, single misprints are found and mended."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest

from geometry.bike.drawing import closure, rear_axle
from geometry.bike.parts import Build, DrawnWith, Fork, Frame, TopTube
from geometry.bike.whole_bike import Bike, figures
from geometry.core.errors import ContradictoryInput, GeometryError, InvalidInput
from geometry.verify.table_check import ORDERED, DrawnSize, check_table
from geometry.verify.table_check_size import Case, cases, printed_decimals, slopes
from geometry.verify.table_slips import FAR

PUBLISHED = (
    "effective_top_tube",
    "wheelbase",
    "front_centre",
    "front_centre_straight",
    "rear_centre",
    "bb_height",
    "trail",
    "standover",
)
SIZES = {"S": (446.0, 365.0, 105.0), "M": (470.0, 400.0, 110.0), "L": (494.0, 440.0, 120.0)}


def drawn(
    reach: float, seat_tube: float, head_tube: float, front: float = 370.0, rear: float = 370.0
) -> Frame:
    """An invented size whose stack closes the drawing to less than 0.005 mm."""
    frame = Frame(
        reach=reach,
        stack=600.0,
        head_angle=68.2,
        head_tube_length=head_tube,
        seat_tube_angle=75.0,
        seat_tube_length=seat_tube,
        chainstay_length=430.0,
        bb_drop=66.0,
        slot_length=16.0,
        slot_angle=2.0,
        drawn_with=DrawnWith(
            fork=Fork(axle_to_crown=520.0, offset=48.0, travel=125.0),
            lower_headset_stack=12.0,
            front_radius=front,
            rear_radius=rear,
        ),
        top_tube=TopTube(below_head_tube_top=40.0, along_seat_tube=seat_tube - 40, diameter=34.9),
    )
    return dataclasses.replace(frame, stack=round(float(600.0 - closure(frame).axle), 2))


def published(frame: Frame, decimals: int = 1) -> dict[str, float]:
    """What a sound table prints of a size."""
    parts = frame.drawn_with
    build = Build(
        frame=frame,
        fork=parts.fork,
        lower_headset_stack=parts.lower_headset_stack,
        front_radius=parts.front_radius,
        rear_radius=parts.rear_radius,
        slot_position=parts.slot_position,
    )
    values = figures(Bike(build=build, standover_ahead=50.0))
    return {key: round(float(values[key]), decimals) for key in PUBLISHED}


def table(decimals: int = 1) -> list[DrawnSize]:
    """Three sound sizes."""
    frames = {name: drawn(*numbers) for name, numbers in SIZES.items()}
    return [
        DrawnSize(
            name=name,
            frame=frame,
            published=published(frame, decimals),
            decimals=dict.fromkeys(PUBLISHED, decimals),
            standover_ahead=50.0,
        )
        for name, frame in frames.items()
    ]


def with_frame(sizes: list[DrawnSize], place: int, **values: Any) -> list[DrawnSize]:
    """The table with drawn values of one size changed."""
    size = sizes[place]
    changed = dataclasses.replace(size, frame=dataclasses.replace(size.frame, **values))
    return [*sizes[:place], changed, *sizes[place + 1 :]]


def with_published(
    sizes: list[DrawnSize], place: int, values: Mapping[str, float]
) -> list[DrawnSize]:
    """The table with published values of one size changed."""
    size = sizes[place]
    changed = dataclasses.replace(size, published={**size.published, **values})
    return [*sizes[:place], changed, *sizes[place + 1 :]]


@pytest.mark.parametrize("decimals", [0, 1])
def test_a_sound_table_is_clear(decimals: int) -> None:
    report = check_table(table(decimals))
    assert report.findings == ()
    assert report.outcome == "clear"
    assert set(report.closures()) == set(SIZES)


def test_everything_is_compared_in_every_size() -> None:
    report = check_table(table())
    of_m = [one for one in report.compared if one.size == "M"]
    assert {one.field for one in of_m if one.what == "published"} == set(PUBLISHED)
    assert [one.what for one in of_m].count("closure") == 1
    assert [one.what for one in of_m].count("triangle") >= 2


@pytest.mark.parametrize("key", PUBLISHED)
def test_a_misprinted_redundant_value_is_mended_to_the_computed_one(key: str) -> None:
    sizes = table()
    right = sizes[1].published[key]
    report = check_table(with_published(sizes, 1, {key: right + 9.0}))
    finding = next(one for one in report.findings if one.field == key and one.what == "published")
    assert (finding.size, finding.outcome) == ("M", "no")
    assert finding.how_much == pytest.approx(9.0, abs=0.1)
    best = finding.mends[0]
    assert (best.size, best.key, best.leaves) == ("M", key, 0)
    assert best.then == pytest.approx(right, abs=0.1)


# A slipped digit in a drawn value, as a typist makes it.
@pytest.mark.parametrize(
    ("field", "wrong"),
    [("head_angle", 69.2), ("chainstay_length", 440.0), ("reach", 407.0), ("bb_drop", 72.0)],
)
def test_a_misprinted_drawn_value_is_the_best_mend_of_what_it_upsets(
    field: str, wrong: float
) -> None:
    sizes = table()
    right = getattr(sizes[1].frame, field)
    report = check_table(with_frame(sizes, 1, **{field: wrong}))
    of_m = [one for one in report.findings if one.size == "M"]
    assert len(of_m) > 1
    best = min((mend for one in of_m for mend in one.mends), key=lambda mend: mend.leaves)
    assert (best.key, best.leaves) == (f"frame.{field}", 0)
    assert best.then == pytest.approx(right, abs=0.11)


def test_closure_beyond_rounding_is_a_finding_with_its_size() -> None:
    sizes = table()
    frame = sizes[0].frame
    report = check_table(with_frame(sizes, 0, stack=frame.stack + 6.0))
    finding = report.closures()["S"]
    assert (finding.outcome, finding.unit) == ("no", "mm")
    assert finding.how_much == pytest.approx(6.0, abs=0.01)
    assert "frame.stack" in {mend.key for mend in finding.mends}


def test_closure_within_rounding_is_clear() -> None:
    """Stack printed to whole millimetres may be 0.5 mm off; that is no fault."""
    sizes = [
        dataclasses.replace(
            size, frame=dataclasses.replace(size.frame, stack=round(float(size.frame.stack)))
        )
        for size in table(0)
    ]
    assert check_table(sizes).outcome == "clear"


def test_no_rounding_of_a_sound_table_is_ever_beyond_its_limit() -> None:
    """Tables of random numbers, exact, then printed to 1 mm and 0.1°: never a "no"."""
    rng = np.random.default_rng(11)
    for _ in range(40):
        frame = drawn(rng.uniform(400, 500), 400.0, rng.uniform(90, 130), rng.uniform(340, 380))
        exact = published(frame, 6)
        short = dataclasses.replace(
            frame,
            reach=round(float(frame.reach)),
            stack=round(float(frame.stack)),
            head_tube_length=round(float(frame.head_tube_length)),
            drawn_with=dataclasses.replace(
                frame.drawn_with, front_radius=round(float(frame.drawn_with.front_radius))
            ),
        )
        size = DrawnSize(
            name="M",
            frame=short,
            published={key: round(value) for key, value in exact.items()},
            standover_ahead=50.0,
        )
        assert check_table([size]).outcome != "no"


def limits(case: Case) -> tuple[float, float]:
    """What the rounding of its values does to a closure but for rare cases, and can do at most."""
    parts = np.array([slope * case.halves[key] for key, slope in slopes(case)["closure"].items()])
    return FAR * float(np.sqrt(np.square(parts).sum() / 3)), float(np.abs(parts).sum())


def test_a_tight_comparison_is_possible_but_unlikely() -> None:
    size = table(0)[1]
    (case,) = cases([size])
    likely, certain = limits(case)
    assert likely < certain
    between = dataclasses.replace(size.frame, stack=size.frame.stack + (likely + certain) / 2)
    tight = dataclasses.replace(size, frame=between, decimals={**size.decimals, "frame.stack": 2})
    (case,) = cases([tight])
    likely, certain = limits(case)
    moved = dataclasses.replace(size.frame, stack=size.frame.stack + (likely + certain) / 2)
    found = check_table([dataclasses.replace(tight, frame=moved)]).closures()["M"]
    assert found.outcome == "tight"


@pytest.mark.parametrize(
    "field", [key.removeprefix("frame.") for key in ORDERED if key.startswith("frame.")]
)
def test_columns_that_decrease_are_found(field: str) -> None:
    sizes = table()
    value = getattr(sizes[1].frame, field) - 60.0
    report = check_table(with_frame(sizes, 1, **{field: value}))
    finding = next(one for one in report.findings if one.what == "order" and one.size == "M")
    assert finding.field == f"frame.{field}"
    assert finding.how_much == pytest.approx(getattr(sizes[0].frame, field) - value)
    assert {mend.size for mend in finding.mends} == {"S", "M"}


def test_printed_values_that_contradict_one_another_are_a_triangle() -> None:
    sizes = table()
    right = sizes[2].published["front_centre_straight"]
    report = check_table(with_published(sizes, 2, {"front_centre_straight": right - 12.0}))
    triangle = next(one for one in report.findings if one.what == "triangle")
    assert "front" in triangle.relation
    assert abs(triangle.how_much) == pytest.approx(12.0, abs=0.2)


def test_unequal_wheels_close_and_agree() -> None:
    frame = drawn(445.0, 400.0, 100.0, front=375.0, rear=355.0)
    size = DrawnSize(name="M", frame=frame, published=published(frame), standover_ahead=50.0)
    assert check_table([size]).outcome == "clear"


def test_a_slid_axle_is_compared_where_it_is_drawn() -> None:
    frame = drawn(445.0, 400.0, 100.0)
    slid = dataclasses.replace(frame.drawn_with, slot_position=9.0)
    frame = dataclasses.replace(frame, drawn_with=slid)
    frame = dataclasses.replace(frame, stack=round(float(frame.stack - closure(frame).axle), 2))
    values = {**published(frame), "chainstay_length": 0.0, "bb_drop": 0.0}
    x, y = rear_axle(chainstay_length=430.0, bb_drop=66.0, slot_angle=2.0, slot_position=9.0)
    values["chainstay_length"] = round(float(np.hypot(x, y)), 1)
    values["bb_drop"] = round(float(y), 1)
    size = DrawnSize(name="M", frame=frame, published=values, standover_ahead=50.0)
    assert check_table([size]).outcome == "clear"


def test_columns_have_the_decimals_of_their_longest_value() -> None:
    sizes = with_frame(table(), 0, head_angle=65.0)
    whole = cases(sizes)[0]
    assert whole.halves["frame.head_angle"] == pytest.approx(0.05)
    assert printed_decimals(65.0) == 0


class TestBadInput:
    def test_no_sizes(self) -> None:
        with pytest.raises(InvalidInput) as caught:
            check_table([])
        assert caught.value.field == "sizes"

    def test_two_sizes_of_one_name(self) -> None:
        sizes = table()
        with pytest.raises(InvalidInput) as caught:
            check_table([sizes[0], sizes[0]])
        assert caught.value.field == "sizes.1.name"

    def test_a_standover_without_its_place(self) -> None:
        with pytest.raises(InvalidInput) as caught:
            check_table([dataclasses.replace(table()[0], standover_ahead=None)])
        assert caught.value.field == "sizes.0.standover_ahead"

    @pytest.mark.parametrize("key", ["rake", "fork.offset", "grips"])
    def test_published_values_that_are_no_figures(self, key: str) -> None:
        with pytest.raises(InvalidInput) as caught:
            DrawnSize(name="M", frame=table()[0].frame, published={key: 1.0})
        assert caught.value.value == key

    @pytest.mark.parametrize("key", ["grip_height", "closure_axle", "front_lift"])
    def test_published_values_that_a_bare_frame_does_not_have(self, key: str) -> None:
        size = DrawnSize(name="M", frame=table()[0].frame, published={key: 1.0})
        with pytest.raises(InvalidInput) as caught:
            check_table([size])
        assert (caught.value.field, caught.value.value) == ("sizes.0.published", key)

    def test_published_values_that_are_no_numbers(self) -> None:
        with pytest.raises(InvalidInput) as caught:
            DrawnSize(name="M", frame=table()[0].frame, published={"trail": float("nan")})
        assert caught.value.field == "published.trail"

    @pytest.mark.parametrize("decimals", [-1, 0.5])
    def test_decimals_that_are_no_count(self, decimals: Any) -> None:
        with pytest.raises(InvalidInput) as caught:
            DrawnSize(name="M", frame=table()[0].frame, decimals={"trail": decimals})
        assert caught.value.field == "decimals.trail"

    def test_a_size_that_cannot_stand_says_which(self) -> None:
        sizes = with_frame(table(), 1, reach=-300.0)
        with pytest.raises(GeometryError) as caught:
            check_table(sizes)
        assert caught.value.field.startswith("sizes.1.")

    def test_a_drawing_that_no_head_angle_closes(self) -> None:
        frame = dataclasses.replace(table()[0].frame, stack=1500.0)
        with pytest.raises(ContradictoryInput) as caught:
            check_table([DrawnSize(name="M", frame=frame)])
        assert caught.value.field == "sizes.0.stack"
