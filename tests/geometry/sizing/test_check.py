"""The check of a run of sizes, against counting its people one by one."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from scipy.stats import linregress

from geometry.rider import LANDMARKS, SHOE_SOLE, Bodies, condition
from geometry.sizing import FIGURES, Run, check_fit, needed, run_of
from geometry.sizing.check import (
    GRIPS_MOVED,
    WINDOWS_MOVED,
    backward,
    growing,
    in_range,
    size_by_chart,
)
from tests.geometry.sizing.example import RUN, people

# Sizes that are named to those the chart gives two others, and whose posts end early.
OFF = run_of(
    replace(RUN.sold, saddle_highest=RUN.sold.saddle_highest - 12.0),
    usually=RUN.usually,
    chart=RUN.chart,
    windows=RUN.windows,
    rules=replace(RUN.rules, posture_share=1.0),
    longer_by=38.0,
)


def fitting(run: Run, bodies: Bodies) -> list[dict[int, float]]:
    """Of each body, how far the sizes that fit as sold are from the length needed [mm]."""
    needs, given = needed(run, bodies), run.given.tolist()
    found = []
    for n in range(len(bodies)):
        own: dict[int, float] = {}
        for i, length in enumerate(given):
            miss = length - float(needs.length[n])
            shorter = 0.75 * (length - given[i - 1]) if i else 1.25 * (given[1] - given[0])
            last = i == len(given) - 1
            longer = 1.25 * (length - given[i - 1]) if last else 0.75 * (given[i + 1] - length)
            height = float(needs.saddle_height[i, n])
            low, high = run.sold.saddle_lowest[i] - 5.0, run.sold.saddle_highest[i] + 5.0
            room = bodies["crotch_height"][n] + SHOE_SOLE - run.sold.standover[i]
            if -longer <= miss <= shorter and low <= height <= high and room >= 50.0:
                own[i] = abs(miss)
        found.append(own)
    return found


def at_the_edge(run: Run) -> Bodies:
    """Bodies whom their size just fits, or just does not, now or with the grips moved."""
    many = people(6000)
    edge = np.zeros(len(many), dtype=bool)
    for off in (-10.0, 0.0, 10.0):
        sold = replace(run.sold, grip_x=run.sold.grip_x + off)
        miss = run.given[:, np.newaxis] - needed(replace(run, sold=sold), many).length
        edge |= (np.abs(np.abs(miss) - 18.75) < 0.15).any(axis=0)
    return Bodies(many.values[edge])


def nearest(fits: dict[int, float]) -> int | None:
    return min(fits, key=lambda i: fits[i]) if fits else None


def moved(run: Run) -> tuple[list[Run], list[Run]]:
    """Runs with their grips 10 mm off, and with each window 1° off."""
    at = run.sold.grip_x
    grips = [replace(run, sold=replace(run.sold, grip_x=at + off)) for off in (-10.0, 10.0)]
    windows = []
    for name in FIGURES:
        window = getattr(run.windows, name)
        for off in (-1.0, 1.0):
            other: dict[str, Any] = {
                name: replace(window, low=window.low + off, high=window.high + off)
            }
            windows.append(
                run_of(
                    run.sold, usually=run.usually, chart=run.chart, rules=run.rules,
                    windows=replace(run.windows, **other), longer_by=run.longer_by,
                )
            )  # fmt: skip
    return grips, windows


@pytest.mark.parametrize(
    ("run", "everyone"),
    [(RUN, people()), (OFF, at_the_edge(OFF))],
    ids=["the chart's", "another length"],
)
def test_what_it_counts_is_counted_one_by_one(run: Run, everyone: Bodies) -> None:
    found = check_fit(run, everyone)
    stature = everyone["stature"]
    inside = Bodies(everyone.values[(stature >= 1510.0) & (stature <= 1940.0)])
    fits = fitting(run, inside)
    count = len(fits)
    assert found.people == count < len(everyone)
    some = [sum(len(own) == k for own in fits) / count for k in range(3)]
    assert list(found.fitting) == pytest.approx([*some, 0.0])
    middles = [1565.0, 1645.0, 1725.0, 1805.0, 1885.0]
    chart = [int(np.argmin([abs(m - s) for m in middles])) for s in inside["stature"]]
    named = [nearest(own) for own in fits]
    pairs = [(n, c) for n, c in zip(named, chart, strict=True) if n is not None]
    assert found.with_chart == pytest.approx(np.mean([n == c for n, c in pairs]))
    assert found.two_off == pytest.approx(np.mean([abs(n - c) >= 2 for n, c in pairs]))
    assert list(found.named) == pytest.approx(
        [np.mean([n == i for n, _ in pairs]) for i in range(5)]
    )
    for kept, runs in zip((found.grips_kept, found.windows_kept), moved(run), strict=True):
        still = [
            [
                n in own
                for n, own in zip(named, fitting(other, inside), strict=True)
                if n is not None
            ]
            for other in runs
        ]
        assert kept == pytest.approx(min(np.mean(each) for each in still))
    assert found.backward == backward(run)


def test_those_counted_differ_from_each_other() -> None:
    """What is counted above tells its parts apart: no two shares of it are the same."""
    found = check_fit(OFF, at_the_edge(OFF))
    shares = [*found.fitting[:3], found.with_chart, found.two_off, *found.named]
    assert len(set(shares)) == len(shares)
    assert 0.0 < found.two_off < 0.5
    assert 0.5 < found.windows_kept < 1.0
    assert 0.0 < found.grips_kept < 1.0


def test_the_chart_begins_and_ends_where_it_says() -> None:
    assert in_range(RUN, np.array([1509.9, 1510.0, 1940.0, 1940.1])).tolist() == [
        False, True, True, False,
    ]  # fmt: skip
    assert size_by_chart(RUN, np.array([1604.9, 1605.1, 1999.0])).tolist() == [0, 1, 4]


def test_bodies_grow_along_the_regression_of_drawn_ones() -> None:
    """Least squares over many drawn bodies, each landmark on stature; 1,480 to 2,050 mm."""
    for sex, own in zip(("man", "woman", None), growing(), strict=True):
        assert (own["stature"][0], own["stature"][-1]) == pytest.approx((1480.0, 2050.0))
        assert np.diff(own["stature"]) == pytest.approx(2.0)
        drawn = condition([], sex=sex).draw(20_000, np.random.default_rng(7))  # type: ignore[arg-type]
        for landmark in LANDMARKS[:-1]:
            line = linregress(drawn["stature"], drawn[landmark])
            at = line.intercept + line.slope * own["stature"][[0, 100, -1]]
            slack = 6.0 * line.stderr * 300.0 + 0.1
            assert own[landmark][[0, 100, -1]] == pytest.approx(at, abs=slack), landmark


def test_a_body_that_grows_past_a_size_is_told_where() -> None:
    """Sizes taken out of reach one at a time: skipped where the next is named, or none between."""
    for gone in ([2], [1, 2], [3], [1, 3]):
        standover = RUN.sold.standover.copy()
        standover[gone] += 400.0
        run = replace(RUN, sold=replace(RUN.sold, standover=standover))
        wrong: set[float] = set()
        for bodies in growing():
            sizes = [(k, nearest(fits)) for k, fits in enumerate(fitting(run, bodies))]
            named = [(k, size) for k, size in sizes if size is not None]
            for (at, before), (k, size) in pairwise(named):
                if size < before or size > before + 1 or k > at + 1:
                    wrong.add(1480.0 + 2.0 * k)
        assert backward(run) == tuple(sorted(wrong))
        assert wrong


def test_what_is_moved_is_moved_by_a_stem_s_step_and_a_degree() -> None:
    """[CP] Stems come in steps of 10 mm; an angle is read off a rider to one degree."""
    assert (GRIPS_MOVED, WINDOWS_MOVED) == (10, 1)
