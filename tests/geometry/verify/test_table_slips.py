"""Single slips of regular tables: found, mended where they are, and none seen where none are."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from geometry.bike import Bike
from geometry.examples import trail_build, trail_hardtail
from geometry.verify import DrawnSize, Finding, check_table
from geometry.verify.table_check_size import relations_of
from geometry.verify.table_columns import expectations
from geometry.verify.table_slips import _MEDIAN, FAR, Numbers, runs_of, statistics
from tests.geometry.verify.invented_tables import KINDS, invented, slipped
from tests.geometry.verify.slip_rates import rates


@pytest.fixture(scope="module")
def hardtail() -> list[DrawnSize]:
    return invented(KINDS["hardtail"], np.random.default_rng(16))


def first(sizes: list[DrawnSize]) -> Finding:
    return check_table(sizes).findings[0]


def test_slips_beyond_twice_the_rounding_are_found_and_right_tables_left_alone() -> None:
    """A sample of what `tests.benchmarks.bench_table_check` counts whole, to the same bounds."""
    samples = [rates(kind, tables=8, every=11, seed=5) for kind in KINDS.values()]
    beyond, found = sum(one.beyond for one in samples), sum(one.found for one in samples)
    assert beyond >= 50
    assert found >= 0.95 * beyond
    assert sum(one.mended for one in samples) >= 0.70 * found
    assert not any(one.false_alarms for one in samples)


def test_a_head_angle_slipped_by_two_degrees_is_the_mend_of_all_it_upsets(
    hardtail: list[DrawnSize],
) -> None:
    right = hardtail[2].frame.head_angle
    report = check_table(slipped(hardtail, 2, "frame.head_angle", 2.0))
    upset = [one for one in report.findings if one.size == "3"]
    assert {"slip", "closure", "published"} <= {one.what for one in upset}
    assert {one.mends[0].key for one in upset} == {"frame.head_angle"}
    assert [one.mends[0].then for one in upset] == pytest.approx([right] * len(upset), abs=0.11)
    assert upset[0].what == "slip"
    assert report.outcome == "no"


def test_what_no_comparison_computes_is_found_by_the_run_of_its_column(
    hardtail: list[DrawnSize],
) -> None:
    slip = first(slipped(hardtail, 1, "frame.seat_tube_length", 9.0))
    assert (slip.what, slip.size, slip.outcome) == ("slip", "2", "tight")
    assert slip.how_much == pytest.approx(9.0, abs=1.5)


def test_a_seat_angle_of_another_table_is_told_with_its_neighbours_value(
    hardtail: list[DrawnSize],
) -> None:
    bare = [replace(size, published={}) for size in hardtail]
    slip = first(slipped(bare, 4, "frame.seat_tube_angle", 5.4))
    assert slip.mends[0].then == pytest.approx(hardtail[0].frame.seat_tube_angle)


def test_a_further_column_is_looked_at_along_the_sizes(hardtail: list[DrawnSize]) -> None:
    heavy = replace(hardtail[3], further={"mass": 24.7})
    slip = first([*hardtail[:3], heavy, hardtail[4]])
    assert (slip.field, slip.unit, slip.size) == ("mass", "", "4")
    assert slip.mends[0].then == pytest.approx(hardtail[3].further["mass"], abs=0.05)


def test_a_copied_size_left_unchanged_is_told_as_such(hardtail: list[DrawnSize]) -> None:
    copied = replace(hardtail[2], name="4")
    findings = check_table([*hardtail[:3], copied, hardtail[4]]).findings
    assert [(one.what, one.size, one.beside) for one in findings] == [("copy", "4", "3")]


def test_a_size_that_is_gone_is_missed(hardtail: list[DrawnSize]) -> None:
    findings = check_table([*hardtail[:2], *hardtail[3:]]).findings
    assert [(one.what, one.size, one.beside) for one in findings] == [("gap", "4", "2")]


def test_wheels_rounded_alike_in_every_size_are_no_slip_of_any(hardtail: list[DrawnSize]) -> None:
    """A fork half a millimetre off for all is within its rounding; beyond it, all are told."""

    def with_fork(length: float) -> list[DrawnSize]:
        return [
            replace(
                size,
                frame=replace(
                    size.frame,
                    drawn_with=replace(
                        size.frame.drawn_with,
                        fork=replace(size.frame.drawn_with.fork, axle_to_crown=length),
                    ),
                ),
            )
            for size in hardtail
        ]

    assert check_table(with_fork(530.4)).outcome == "clear"
    report = check_table(with_fork(538.0))
    off = [one for one in report.findings if one.what == "closure"]
    assert sorted(one.size for one in off) == ["1", "2", "3", "4", "5"]
    assert {one.outcome for one in off} == {"no"}
    assert "drawn_with.fork.axle_to_crown" in {mend.key for mend in off[0].mends}
    assert not [one for one in report.findings if one.what == "slip"]


def test_a_column_with_two_groups_of_sizes_is_no_slip() -> None:
    """Longer stays for the two largest sizes: a builder's choice."""
    stays = np.array([430.0, 430.0, 430.0, 440.0, 440.0])
    expected, spread = expectations(stays, at=range(5), half=0.5)
    assert np.all(np.abs(stays - expected) < 3.8 * spread)


def test_few_sizes_tell_little_of_one_another() -> None:
    expected, _ = expectations(np.array([430.0, 460.0]), at=range(2), half=0.5)
    assert np.isnan(expected).all()
    expected, spread = expectations(np.array([430.0, 460.0, 485.0]), at=range(3), half=0.5)
    assert np.isnan(expected[[0, 2]]).all()
    assert expected[1] == pytest.approx(457.5)
    assert spread[1] > 3.0


def test_what_counts_as_wrong_is_chance_twice_in_a_hundred_tables() -> None:
    """Six sizes of twenty values each, either way; a median's variance is π/2 of a mean's [M]."""
    assert round(6 * 20 * 2 * float(norm.sf(FAR)), 2) == 0.02
    assert pytest.approx(np.pi / 2, abs=0.005) == _MEDIAN


def numbers(values: list[list[float]], gaps: list[float]) -> Numbers:
    """Two columns printed to 1 and 0.2, and one comparison that follows them by 1 and −2."""
    return Numbers(
        keys=("a", "b"), names=("c",), values=np.array(values), halves=np.array([0.5, 0.1]),
        gaps=np.array(gaps)[:, None], slopes=np.tile([1.0, -2.0], (len(gaps), 1, 1)),
        at=tuple(range(len(gaps))), uneven=(0.02, 0.02),
    )  # fmt: skip


def test_rounding_spreads_evenly_over_its_step() -> None:
    """Of ± h a third of h² is the variance; a gap is held against that of all its values."""
    one = numbers([[40.0, 7.0]], [3.0])
    variance = (0.5**2 + (2 * 0.1) ** 2) / 3
    assert one.own_variances[0, 0] == pytest.approx(variance)
    assert one.own_limits[0, 0] == pytest.approx(0.7)
    far, by = statistics(one, 0, runs_of(one))
    assert far == pytest.approx([3.0 / np.sqrt(variance), -3.0 / np.sqrt(variance)])
    assert by == pytest.approx([3.0, -1.5])


def test_of_two_sizes_nothing_is_held_in_common_of_three_it_is() -> None:
    same = [[40.0, 7.0]] * 3
    assert not numbers(same[:2], [0.0] * 2).shared.any()
    assert numbers(same, [0.0] * 3).shared.all()
    assert numbers(same, [0.0] * 3).shared_limits.tolist() == pytest.approx([0.7])


@pytest.mark.parametrize(("position", "told"), [(0.0, True), (1.0, False)])
def test_a_drawing_s_chainstay_is_compared_where_the_axle_is_at_its_front(
    position: float, told: bool
) -> None:
    published = {"front_centre": 750.0, "wheelbase": 1171.0}
    drawn = replace(trail_hardtail().drawn_with, slot_position=position)
    frame = replace(trail_hardtail(), drawn_with=drawn)
    found = relations_of(Bike(build=replace(trail_build(), frame=frame)), published)
    assert ("W = sqrt(CS² − D²) + FC" in {one.formula for one in found}) is told
