"""Time of one answer to "which size", at 2,000 bodies, on one core.

    python -m tests.benchmarks.bench_sizing

Aim: at most 40 ms for the answer of a page, all styles' data loaded. The plain pass is
one addition and one square root over an array of sizes × bodies, as often as the posture
model takes a root of such an array: what the machine itself costs.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from geometry.rider import Measurement, condition
from geometry.sizing import needed
from tests.calibration.shipped import shipped_catalogues
from webapp.fit.advice import fit
from webapp.fit.candidate_builds import candidate_builds
from webapp.fit.run import run_for, usual_choice
from webapp.rider.rider_input import Rider

BODIES = 2000
ROOTS = 12
REPEATS = 30


def fastest(work: Callable[[], object]) -> float:
    """Least processor time of many runs, whatever else the machine does [ms]."""
    times = []
    for _ in range(REPEATS):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return 1e3 * min(times)


def plain_pass(array: np.ndarray) -> list[np.ndarray]:
    """One addition and one square root, a number of times."""
    return [np.sqrt(array + array) for _ in range(ROOTS)]


def main() -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as folder:
        catalogues = shipped_catalogues(Path(folder))
    told = [Measurement("stature", 1750.0, "told"), Measurement("crotch_height", 830.0)]
    bodies = condition(told).draw(BODIES, np.random.default_rng(1))
    for name, catalogue in catalogues.items():
        builds = candidate_builds(catalogue, usual_choice(catalogue))
        runs = [run_for(catalogue, builds, style) for style in catalogue.styles]
        array = np.random.default_rng(2).random((len(catalogue.sizes), BODIES))
        style = catalogue.styles[0].slug
        rider = Rider(stature=1750.0, inseam=830.0, style=style)
        lengths, plain = (
            fastest(lambda run=runs[0]: needed(run, bodies)),  # type: ignore[misc]
            fastest(lambda array=array: plain_pass(array)),  # type: ignore[misc]
        )
        answer = fastest(lambda c=catalogue, r=rider: fit(c, r))  # type: ignore[misc]
        sys.stdout.write(
            f"{name}, {len(catalogue.sizes)} sizes × {BODIES} bodies: answer {answer:.1f} ms, "
            f"of it lengths {lengths:.1f} ms; plain NumPy pass {plain:.2f} ms, "
            f"ratio {lengths / plain:.0f}\n"
        )


if __name__ == "__main__":
    main()
