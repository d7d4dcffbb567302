"""The search, against looking at every combination with the solver's own formulas."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.bike import Build, Cockpit, Fork, Handlebar, Seat, Stem, hands, seated, stand
from geometry.core import ContradictoryInput, FloatArray, InvalidInput
from geometry.examples import trail_hardtail
from geometry.search import (
    Fronts,
    Package,
    Refusal,
    Search,
    Seats,
    Stances,
    Sum,
    Target,
    combinations,
    failed,
    trades,
)
from geometry.search.ranking import Bounds, Found

AXES = ("stance", "front", "seat")
TARGET = Target(grip=(455.0, 705.0), saddle=(-190.0, 690.0))


def of(random: np.random.Generator, low: float, high: float, *shape: int) -> FloatArray:
    return random.uniform(low, high, shape)


@dataclass(frozen=True)
class Case:
    """A random catalogue, and every combination of it by brute force."""

    given: dict[str, Any]
    distance: FloatArray
    fails: dict[str, np.ndarray[Any, np.dtype[np.bool_]]]
    price: FloatArray
    mass: FloatArray

    @property
    def search(self) -> Search:
        return Search(**self.given, target=TARGET)

    @property
    def orderable(self) -> np.ndarray[Any, np.dtype[np.bool_]]:
        whole = np.isfinite(self.distance)
        for mask in self.fails.values():
            whole &= ~mask
        return whole


def case(seed: int, shape: tuple[int, int, int]) -> Case:
    """A random catalogue with all its combinations."""
    given = case_parts(seed, shape)
    return Case(given, _distances(given), _fails(given, shape), *_sums(given))


def case_parts(seed: int, shape: tuple[int, int, int]) -> dict[str, Any]:
    """Random stances, fronts and seats, with checks and sums; many distances to choose from."""
    random = np.random.default_rng(seed)
    n, j, k = shape
    groups = max(1, n // 2)
    return {
        "stances": Stances(
            reach=of(random, 400, 490, n),
            stack=of(random, 580, 660, n),
            head_angle=of(random, 63, 74, n),
            lift=of(random, 0, 20, n),
            seat_tube_angle=of(random, 70, 79, n),
            seat_tube_offset=of(random, -30, 30, n),
            figures={"trail": of(random, 60, 120, n)},
        ),
        "fronts": Fronts(up=of(random, 20, 90, j), forward=of(random, 0, 90, j)),
        "seats": Seats(
            setback=of(random, 0, 25, k),
            rail=of(random, -20, 20, k),
            saddle_stack=of(random, 40, 55, k),
            lowest=of(random, 600, 720, n, k),
            highest=of(random, 650, 800, n, k),
        ),
        "refusals": [
            Refusal(
                code=f"{axis}.{at}",
                along=axis,  # type: ignore[arg-type]  # of AXES
                fails=random.random((groups, {"stance": 1, "front": j, "seat": k}[axis])) < 0.2,
                group=random.integers(0, groups, n),
            )
            for axis in AXES
            for at in range(2)
        ],
        "sums": {
            "price": Sum(
                stances=random.integers(1000, 2000, n).astype(np.float64),
                fronts=random.integers(50, 300, j).astype(np.float64),
                seats=random.integers(50, 200, k).astype(np.float64),
                packages=tuple(
                    Package(
                        amount=float(amount),
                        stances=random.random(n) < 0.6,
                        fronts=random.random(j) < 0.4,
                        seats=random.random(k) < 0.6,
                    )
                    for amount in (-300, -90, 120)
                ),
            ),
            "mass": Sum(
                stances=of(random, 7, 9, n), fronts=of(random, 0.3, 0.9, j),
                seats=of(random, 0.4, 1.0, k),
            ),
        },
    }  # fmt: skip


def _sums(given: dict[str, Any]) -> tuple[FloatArray, FloatArray]:
    def whole(part: Sum) -> FloatArray:
        added = part.stances[:, None, None] + part.fronts[:, None] + part.seats
        for each in part.packages:
            together = each.stances[:, None, None] & each.fronts[:, None] & each.seats
            added = added + np.where(together, each.amount, 0.0)
        return np.asarray(added)

    return whole(given["sums"]["price"]), whole(given["sums"]["mass"])


def _fails(given: dict[str, Any], shape: tuple[int, int, int]) -> dict[str, Any]:
    found = {}
    for one in given["refusals"]:
        rows = one.fails[one.group]
        rows = rows[:, :, None] if one.along == "front" else rows[:, None, :]
        found[one.code] = np.broadcast_to(rows, shape)
    return found


def _distances(given: dict[str, Any]) -> FloatArray:
    """Every combination's distance, each seat at every whole millimetre it has."""
    stances, fronts, seats = given["stances"], given["fronts"], given["seats"]
    sine, cosine = (f(np.radians(stances.head_angle))[:, None] for f in (np.sin, np.cos))
    up, ahead = fronts.up + stances.lift[:, None], fronts.forward
    x = stances.reach[:, None] - up * cosine + ahead * sine
    y = stances.stack[:, None] + up * sine + ahead * cosine
    grips = (x - TARGET.grip[0]) ** 2 + (y - TARGET.grip[1]) ** 2
    sine, cosine = (f(np.radians(stances.seat_tube_angle))[:, None, None] for f in (np.sin, np.cos))
    offset = stances.seat_tube_offset[:, None, None]
    heights = np.arange(590.0, 810.0)
    run = np.sqrt(heights**2 - offset**2)
    top_y = offset * cosine + run * sine
    back, stack = seats.setback[:, None], seats.saddle_stack[:, None]
    along = (top_y - stack - offset * cosine + back * cosine) / sine
    saddle_x = offset * sine - along * cosine - back * sine + seats.rail[:, None]
    gaps = (saddle_x - TARGET.saddle[0]) ** 2 + (top_y - TARGET.saddle[1]) ** 2
    there = (heights >= seats.lowest[..., None]) & (heights <= seats.highest[..., None])
    saddles = np.where(there, gaps, np.inf).min(axis=2)
    return np.asarray(np.sqrt(grips[:, :, None] + saddles[:, None, :]))


shapes = st.tuples(st.integers(1, 12), st.integers(1, 60), st.integers(1, 12))
seeds = st.integers(0, 2**32 - 1)


def check_all(one: Case) -> None:
    """Every kind of question, against the whole product."""
    search, price = one.search, one.given["sums"]["price"]
    bounds = {"trail": (70.0, 110.0), "price": (1200.0, 2100.0), "mass": (8.0, 10.2)}
    trail = one.given["stances"].figures["trail"]
    inside = (trail >= 70) & (trail <= 110)
    kept = one.orderable & inside[:, None, None]
    kept &= (one.price >= 1200) & (one.price <= 2100) & (one.mass >= 8) & (one.mass <= 10.2)
    for asked, mask in (({}, one.orderable), (bounds, kept)):
        nearest = search.best(bounds=asked)
        _agree(nearest, np.where(mask, one.distance, np.inf), one)
        close = mask & (one.distance <= 40.0)
        cheapest = search.best(first=price, bounds=asked, within=40.0)
        wanted = np.where(close, one.price * 1e6 + one.distance, np.inf)
        _agree(cheapest, wanted, one)
    considered = search.considered(bounds)
    assert (considered == inside).all()
    size = one.distance.shape[1:]
    assert combinations(considered, *size) == inside.sum() * size[0] * size[1]
    counted = failed(one.given["refusals"], considered, *size)
    brute = {code: int(mask[inside].sum()) for code, mask in one.fails.items()}
    assert counted == {code: count for code, count in brute.items() if count}


def _agree(found: Any, values: FloatArray, one: Case) -> None:
    """Found is a place of the least value, and its distance is that place's."""
    if found is None:
        assert not np.isfinite(values).any()
        return
    assert values[found.index] == pytest.approx(values.min(), abs=1e-6)
    assert found.distance == pytest.approx(one.distance[found.index], abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(seed=seeds, shape=shapes)
def test_best_is_that_of_looking_at_all(seed: int, shape: tuple[int, int, int]) -> None:
    check_all(case(seed, shape))


@pytest.mark.parametrize("seed", range(2))
def test_best_of_more_than_a_hundred_thousand(seed: int) -> None:
    check_all(case(seed, (20, 700, 9)))


@settings(max_examples=30, deadline=None)
@given(seed=seeds, shape=shapes)
def test_trades_are_those_of_looking_at_all(seed: int, shape: tuple[int, int, int]) -> None:
    one = case(seed, shape)
    price = one.given["sums"]["price"]
    found = trades(one.search.best, name="price", of=price, bounds={}, most=1000)
    pairs = np.stack([one.price[one.orderable], one.distance[one.orderable]])
    order = np.lexsort(pairs[::-1])
    rim: list[tuple[float, float]] = []
    for cost, distance in pairs[:, order].T:
        if not rim or distance < rim[-1][1] - 1e-9:
            rim.append((float(cost), float(distance)))
    rim.reverse()
    assert [float(one.price[f.index]) for f in found] == [cost for cost, _ in rim]
    assert [f.distance for f in found] == pytest.approx([d for _, d in rim], abs=1e-6)


def test_of_builds_as_near_the_cheaper_is_the_trade() -> None:
    """Of four stances two are 10 mm away and two 12 mm; each time the second is cheaper."""
    away, cost = [10.0, 10.0, 12.0, 12.0], [120.0, 90.0, 80.0, 70.0]
    price = Sum(stances=np.array(cost), fronts=np.zeros(1), seats=np.zeros(1))

    def find(*, first: Sum | None = None, bounds: Bounds, within: float = np.inf) -> Found | None:
        least, most = bounds["price"]
        there = [i for i in range(4) if least <= cost[i] <= most and away[i] <= within]
        best = min(there, key=lambda i: cost[i] if first else away[i], default=None)
        return (
            None
            if best is None
            else Found(index=(best, 0, 0), distance=away[best], saddle_height=700.0)
        )

    found = trades(find, name="price", of=price, bounds={}, most=9)
    assert [one.index[0] for one in found] == [1, 3]
    assert [one.index[0] for one in trades(find, name="price", of=price, bounds={}, most=1)] == [1]
    dear = trades(find, name="price", of=price, bounds={"price": (75.0, 85.0)}, most=9)
    assert [one.index[0] for one in dear] == [2]


@pytest.mark.parametrize("axis", ["front", "seat"])
def test_bounds_of_a_sum_hold_and_are_reached_without_packages(axis: str) -> None:
    """What a package adds is no part of the least, and what it takes off none of the most."""
    one, none = np.array([True]), np.array([False, False])
    both = np.array([True, True])
    plain = {"stances": np.array([90.0]), "fronts": np.array([20.0, 24.0])}
    seats = np.array([10.0, 13.0])
    for amount in (-5.0, 5.0):
        joined = (one, both, none) if axis == "front" else (one, none, both)
        package = Package(amount=amount, stances=one, fronts=joined[1], seats=joined[2])
        total = Sum(**plain, seats=seats, packages=(package,))
        sums = total.outer(0, np.arange(2), np.arange(2))
        least, most = total.ends(0, axis)  # type: ignore[arg-type]
        over = 1 if axis == "front" else 0
        assert least.tolist() == (sums.min(axis=over) + min(amount, 0.0)).tolist()
        assert most.tolist() == (sums.max(axis=over) + max(amount, 0.0)).tolist()


def test_what_is_left_out_is_not_found_again() -> None:
    one = case(5, (6, 30, 5))
    left: list[tuple[int, int, int]] = []
    distances = np.sort(one.distance[one.orderable])
    for wanted in distances[:20]:
        found = one.search.best(bounds={}, without=left)
        assert found is not None
        assert found.distance == pytest.approx(wanted)
        left.append(found.index)


def test_builds_of_the_solver_are_found_again() -> None:
    """Contact points of the solver's own build, asked for, give that build."""
    angles = (66.0, 68.0)
    frame = replace(trail_hardtail(), head_angle=np.array(angles), seat_tube_offset=12.0)
    build = Build(
        frame=frame, fork=Fork(axle_to_crown=530.0, offset=44.0), lower_headset_stack=12.0,
        front_radius=372.0, rear_radius=368.0,
    )  # fmt: skip
    standing = stand(build)
    lengths = np.array([40.0, 50.0, 60.0])
    cockpit = Cockpit(
        stem=Stem(length=lengths[:, None], angle=6.0),
        handlebar=Handlebar(width=780.0, rise=20.0, backsweep=9.0, upsweep=5.0),
        upper_headset_stack=9.0, spacers=10.0,
    )  # fmt: skip
    grips = np.array(hands(standing, cockpit).grips)
    seat = Seat(height=731.0, post_offset=18.0, rail_position=4.0)
    saddle = np.array(seated(standing, build, seat).saddle)
    top = Cockpit(stem=cockpit.stem, handlebar=cockpit.handlebar, spacers=10.0)
    upright = stand(build)
    on_axis = hands(upright, top).grips
    sine, cosine = (f(np.radians(upright.head_angle)) for f in (np.sin, np.cos))
    x, y = on_axis[0] - upright.reach, on_axis[1] - upright.stack
    search_parts: dict[str, Any] = {
        "stances": Stances(
            reach=np.asarray(upright.reach), stack=np.asarray(upright.stack),
            head_angle=np.asarray(upright.head_angle), lift=np.full(2, 9.0),
            seat_tube_angle=np.asarray(upright.seat_tube_angle),
            seat_tube_offset=np.full(2, 12.0), figures={},
        ),
        "fronts": Fronts(up=(y * sine - x * cosine)[:, 0], forward=(x * sine + y * cosine)[:, 0]),
        "seats": Seats(
            setback=np.array([0.0, 18.0]), rail=np.array([4.0, 4.0]),
            saddle_stack=np.array([45.0, 45.0]), lowest=np.full((2, 2), 650.0),
            highest=np.full((2, 2), 760.0),
        ),
        "refusals": (), "sums": {},
    }  # fmt: skip
    for stance in range(2):
        for front in range(3):
            target = Target(
                grip=(grips[0, front, stance], grips[1, front, stance]),
                saddle=(saddle[0, stance], saddle[1, stance]),
            )
            found = Search(**search_parts, target=target).best(bounds={})
            assert found is not None
            assert found.index == (stance, front, 1)
            assert found.distance == pytest.approx(0.0, abs=1e-6)
            assert found.saddle_height == 731.0


@pytest.mark.parametrize(
    ("bounds", "kind"),
    [({"trail": (90.0, 80.0)}, ContradictoryInput), ({"colour": (0.0, 1.0)}, InvalidInput)],
)
def test_bounds_that_make_no_sense_are_refused(bounds: Any, kind: type[Exception]) -> None:
    with pytest.raises(kind):
        case(1, (2, 2, 2)).search.best(bounds=bounds)


def test_parts_that_do_not_match_are_refused() -> None:
    with pytest.raises(ContradictoryInput):
        Fronts(up=np.zeros(2), forward=np.zeros(3))
    with pytest.raises(InvalidInput):
        Fronts(up=np.array([np.nan]), forward=np.zeros(1))
    with pytest.raises(InvalidInput):
        Fronts(up=np.zeros(0), forward=np.zeros(0))
    own = {name: np.zeros(2) for name in ("setback", "rail", "saddle_stack")}
    with pytest.raises(ContradictoryInput):
        Seats(**own, lowest=np.zeros((1, 3)), highest=np.zeros((1, 2)))
