"""How fast the search for a position is, as ratios measured in one run.

Run by hand: ``python -m tests.benchmarks.bench_search_builds``. Nothing here is a
test; times depend on the machine, ratios far less. Each question is asked of a
random catalogue with checks, prices and bounds. Aimed at: 10⁶ combinations in 60 ms,
10⁷ in 500 ms of one core, and never more than 4 times the plain pass:

- against a plain pass of NumPy over all combinations that only adds up the
  squared distances of grips and saddle and takes the least;
- against evaluating all stances through the matrix and then every combination;
- against `scipy.optimize.differential_evolution` on the same question without
  checks and bounds: its time, and how much further its answer is.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from typing import Any

import numpy as np
from scipy.optimize import Bounds, differential_evolution

from geometry.core import FloatArray
from geometry.matrix import solve_matrix
from geometry.search import Search, failed
from geometry.search.gaps import saddle_gaps
from tests.benchmarks.bench_matrix import axes
from tests.geometry.search.test_search import TARGET, case_parts

SHAPES = ((250, 400, 10), (500, 1000, 20))
ROUNDS = 9
BOUNDS = {"trail": (65.0, 115.0), "price": (1200.0, 2300.0), "mass": (7.5, 10.5)}


def best_time(work: Callable[[], object]) -> float:
    """The least of several runs [s]."""
    times = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def grips(given: dict[str, Any]) -> FloatArray:
    """Squared distance of the grips, stances × fronts."""
    search = Search(**given, target=TARGET)
    return search._grip_gaps(np.arange(given["stances"].count))


def plain(given: dict[str, Any]) -> Callable[[], object]:
    """Only the distances of all combinations, a block of stances at a time."""
    stances, seats = given["stances"], given["seats"]
    rows = np.arange(stances.count)

    def work() -> float:
        front = grips(given)
        seat = saddle_gaps(stances, seats, rows, TARGET.saddle)[0]
        return min(float(np.sqrt(front[row][:, None] + seat[row]).min()) for row in rows.tolist())

    return work


def through_matrix(given: dict[str, Any], shape: tuple[int, int, int]) -> Callable[[], object]:
    """The matrix for the stances, then every combination."""
    sizes = 10
    every = axes(sizes, 5, max(1, shape[0] // (sizes * 5)), 1)
    add = plain(given)

    def work() -> object:
        solve_matrix(**every)
        return add()

    return work


def by_evolution(given: dict[str, Any], shape: tuple[int, int, int]) -> tuple[float, float]:
    """Time and distance of scipy's differential evolution over the three indices."""
    front = grips(given)
    rows = np.arange(shape[0])
    seat = saddle_gaps(given["stances"], given["seats"], rows, TARGET.saddle)[0]
    seat = np.where(np.isfinite(seat), seat, 1e6)

    def distance(at: FloatArray) -> float:
        n, j, k = (min(int(value), size - 1) for value, size in zip(at, shape, strict=True))
        return float(np.sqrt(front[n, j] + seat[n, k]))

    start = time.perf_counter()
    found = differential_evolution(distance, Bounds([0.0] * 3, [float(n) for n in shape]), seed=1)
    return time.perf_counter() - start, float(found.fun)


def main() -> None:
    """Print every ratio."""
    for shape in SHAPES:
        given = case_parts(1, shape)
        count = shape[0] * shape[1] * shape[2]

        def asked(bounds: Any, given: dict[str, Any] = given) -> Callable[[], object]:
            def work() -> object:
                search = Search(**given, target=TARGET)
                considered = search.considered(bounds)
                failed(given["refusals"], considered, given["fronts"].count, given["seats"].count)
                return search.best(bounds=bounds)

            return work

        own, bounded = best_time(asked({})), best_time(asked(BOUNDS))
        pass_, matrix = best_time(plain(given)), best_time(through_matrix(given, shape))
        evolution, distance = by_evolution(given, shape)
        open_given = {**given, "refusals": ()}
        nearest = Search(**open_given, target=TARGET).best(bounds={})
        assert nearest is not None
        lines = (
            f"{count:,} combinations, all checks counted",
            f"  closest {own * 1e3:.1f} ms; with bounds {bounded * 1e3:.1f} ms",
            f"  over a plain pass ({pass_ * 1e3:.1f} ms): {bounded / pass_:.3f}",
            f"  matrix and every combination ({matrix * 1e3:.1f} ms) over it: "
            f"{matrix / bounded:.1f}",
            f"  differential evolution: {evolution / own:.1f} times as long, "
            f"{distance:.3f} mm away instead of {nearest.distance:.3f} mm",
        )
        sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
