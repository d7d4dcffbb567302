"""Time of "whom the sizes serve" for a draft, and of a batch split, on one core.

    python -m tests.benchmarks.bench_coverage

Aim: at most 1 s for 4,000 bodies × all sizes of a draft nobody has asked for before, its
builds stood on the ground and every cockpit looked at. The plain pass is one addition and one
square root over an array of sizes × bodies, as often as a posture takes such a root.
"""

from __future__ import annotations

import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from geometry.population import (
    BatchCosts,
    belief_in_shares,
    coverage,
    draw_people,
    serve,
    split_batch,
)
from geometry.population.people import PEOPLE
from tests.benchmarks.bench_sizing import fastest, plain_pass
from tests.calibration.shipped import shipped_catalogues
from webapp.catalogue.reading.views import Catalogue
from webapp.fit.candidate_builds import candidate_builds
from webapp.fit.run import run_for, usual_choice

REPEATS = 5
COSTS = BatchCosts(unsold=250.0, turned_away=700.0)


def draft_time(catalogue: Catalogue) -> float:
    """Processor time of a catalogue that nothing is remembered of, the least of a few [s]."""
    people, times = draw_people(), []
    for _ in range(REPEATS):
        draft = replace(catalogue)
        start = time.process_time()
        builds = candidate_builds(draft, usual_choice(draft))
        run = run_for(draft, builds, draft.styles[0])
        coverage(serve(run, [stood.cockpits for stood in builds.stands], people))
        times.append(time.process_time() - start)
    return min(times)


def main() -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as folder:
        catalogues = shipped_catalogues(Path(folder))
    for name, catalogue in catalogues.items():
        sizes = len(catalogue.sizes)
        took = draft_time(catalogue)
        array = np.random.default_rng(2).random((sizes, PEOPLE))
        plain = fastest(lambda array=array: plain_pass(array))  # type: ignore[misc]
        sys.stdout.write(
            f"{name}, {sizes} sizes × {PEOPLE} bodies: {1e3 * took:.0f} ms (aim 1000 ms); "
            f"plain NumPy pass {plain:.2f} ms, ratio {1e3 * took / plain:.0f}\n"
        )
    shares = belief_in_shares({str(i): 1.0 for i in range(6)}, {}, counts_as=40.0)
    for frames in (60, 600):
        took = fastest(
            lambda n=frames: split_batch(shares, frames=n, expected=float(n), costs=COSTS)  # type: ignore[misc]
        )
        sys.stdout.write(f"a batch of {frames} over 6 sizes: {took:.0f} ms\n")


if __name__ == "__main__":
    main()
