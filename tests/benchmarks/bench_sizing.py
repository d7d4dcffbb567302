"""Time of judging 5 sizes × 30 cockpits × 2,000 bodies, on one core.

    python -m tests.benchmarks.bench_sizing

Aim: at most 30 ms. The plain pass is one addition and one square root over arrays
of the same shape and precision, size by size: what the machine itself costs.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

import numpy as np

from geometry.examples.fitting import TRAIL, example_grid
from geometry.rider.body import Measurement
from geometry.rider.body_estimate import condition
from geometry.sizing.distance import judge

BODIES = 2000
REPEATS = 30


def fastest(work: Callable[[], object]) -> float:
    """Least processor time of many runs, whatever else the machine does [ms]."""
    times = []
    for _ in range(REPEATS):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return 1e3 * min(times)


def plain_pass(arrays: np.ndarray) -> list[np.ndarray]:
    """One addition and one square root, size by size."""
    return [np.sqrt(array + array) for array in arrays]


def main() -> None:
    """Measure and print."""
    grid = example_grid()
    told = [Measurement("stature", 1750.0, "told"), Measurement("crotch_height", 830.0)]
    bodies = condition(told).draw(BODIES, np.random.default_rng(1))
    arrays = np.random.default_rng(2).random((*grid.grip_x.shape, BODIES), dtype=np.float32)
    sizing = fastest(lambda: judge(bodies, grid, TRAIL))
    plain = fastest(lambda: plain_pass(arrays))
    sys.stdout.write(
        f"{' × '.join(map(str, arrays.shape))}: sizing {sizing:.1f} ms, "
        f"plain NumPy pass {plain:.2f} ms, ratio {sizing / plain:.0f}\n"
    )


if __name__ == "__main__":
    main()
