"""How fast the matrix is, as ratios measured in one run.

Run by hand: ``python -m tests.benchmarks.bench_matrix``. Nothing here is a test;
times depend on the machine, ratios far less.

- Against a root finder: time per build of `scipy.optimize.root` over the time
  per build in the matrix, all outputs included. Once with the full constraints
  of the proof tests (17 unknowns), once as lean as it can be said: two unknowns,
  turn and ground, two tangencies.
- Against NumPy's floor: time of the matrix over the time to copy its own output
  array and to evaluate as many plain ufuncs (`np.add` with `out=`) over arrays
  of the matrix's shape as it evaluates of that size. The count is taken from a
  run, not assumed.
"""

from __future__ import annotations

import dataclasses
import math
import sys
import time
from collections.abc import Callable
from typing import Any
from unittest import mock

import numpy as np
from scipy.optimize import root

from geometry.bike.drawing import front_axle, rear_axle
from geometry.bike.parts import Build, Fork, State
from geometry.bike.standing import stand
from geometry.core.angles import FloatArray
from geometry.examples.trail_bike import trail_cockpit, trail_hardtail
from geometry.matrix import kernel as matrix_kernel
from geometry.matrix.axes import AxlePositions, Forks, Sizes, WheelPairs
from geometry.matrix.solving import Matrix, solve_matrix
from tests.geometry.constraints import solve_by_constraints
from tests.geometry.random_builds import random_build, random_state

SHAPES = ((8, 6, 12, 60), (10, 8, 20, 25), (25, 12, 45, 3), (60, 30, 20, 1), (16, 10, 40, 60))
"""Sizes, forks, wheel pairs, positions; times three states: 100,000 to 1,150,000 builds."""

ROUNDS = 15
ROOTS = 60


def axes(sizes: int, forks: int, wheels: int, positions: int) -> dict[str, Any]:
    """A matrix with every output."""
    frame = dataclasses.replace(
        trail_hardtail(),
        reach=np.linspace(420, 480, sizes),
        stack=np.linspace(610, 660, sizes),
        chainstay_length=np.linspace(425, 440, sizes),
    )
    return {
        "sizes": Sizes(
            frame=frame,
            saddle_height=np.linspace(650, 800, sizes),
            cockpit=trail_cockpit(),
            standover_ahead=50.0,
            mass_centre_x=np.linspace(0, 80, sizes),
            mass_centre_y=600.0,
        ),
        "forks": Forks(
            fork=Fork(
                axle_to_crown=np.linspace(500, 560, forks),
                offset=np.linspace(40, 51, forks),
                travel=np.linspace(100, 160, forks),
            ),
            lower_headset_stack=12.0,
            sag=20.0,
        ),
        "wheels": WheelPairs(
            front_radius=np.linspace(350, 382, wheels),
            rear_radius=np.linspace(375, 345, wheels),
            front_deflection=5.0,
            rear_deflection=7.0,
        ),
        "positions": AxlePositions(at=np.linspace(0, 1, positions), measured_in="slots"),
    }


def best(work: Callable[[], object]) -> float:
    """Shortest processor time of several rounds [s]."""
    times = []
    for _ in range(ROUNDS):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)


class CountingNumPy:
    """NumPy for the kernel, counting the ufuncs it evaluates at full size."""

    def __init__(self, size: int) -> None:
        self.size, self.calls = size, 0

    def __getattr__(self, name: str) -> Any:
        own = getattr(np, name)
        if not isinstance(own, np.ufunc):
            return own

        def counted(*args: Any, **kwargs: Any) -> Any:
            found = own(*args, **kwargs)
            self.calls += np.size(found) == self.size
            return found

        return counted


def full_size_ufuncs(given: dict[str, Any], size: int) -> int:
    """How many ufuncs the matrix evaluates over arrays of its own size."""
    counting = CountingNumPy(size)
    with (
        mock.patch.object(matrix_kernel, "np", counting),
        mock.patch("geometry.matrix.solving.BLOCK", size),
    ):
        solve_matrix(**given)
    return counting.calls


def floor(found: Matrix, ufuncs: int) -> tuple[float, float]:
    """Times to copy the matrix's output, and to evaluate so many plain ufuncs [s]."""
    output = np.array(list(found.outputs.values()))
    one: FloatArray = output[0].copy()
    other, into = one.copy(), one.copy()
    adding = best(lambda: [np.add(one, other, out=into) for _ in range(ufuncs)])
    return best(output.copy), adding


def lean_root(build: Build, state: State) -> Callable[[], object]:
    """One build for a root finder as lean as can be: two tangencies, two unknowns."""
    frame, fork = build.frame, build.fork
    head = math.radians(float(frame.head_angle))
    along = float(frame.head_tube_length) + float(build.lower_headset_stack)
    fx, fy = front_axle(
        reach=frame.reach,
        stack=frame.stack,
        sine=math.sin(head),
        cosine=math.cos(head),
        below_top=along + float(fork.along) - float(state.fork_compression),
        offset=fork.offset,
    )
    rx, ry = (
        float(v)
        for v in rear_axle(
            chainstay_length=frame.chainstay_length,
            bb_drop=frame.bb_drop,
            slot_angle=frame.slot_angle,
            slot_position=build.slot_position,
        )
    )
    front = float(build.front_radius) - float(state.front_deflection)
    rear = float(build.rear_radius) - float(state.rear_deflection)

    def gaps(unknown: FloatArray) -> list[float]:
        sine, cosine = math.sin(unknown[0]), math.cos(unknown[0])
        ground = unknown[1]
        return [sine * fx + cosine * fy - ground - front, sine * rx + cosine * ry - ground - rear]

    start = np.array([0.05, -250.0])
    return lambda: root(gaps, start, method="hybr", tol=1e-12)


def seconds_per_root() -> tuple[float, float]:
    """Time per build of the root finder, with full and with lean constraints [s]."""
    rng = np.random.default_rng(7)
    builds = [random_build(rng) for _ in range(ROOTS)]
    cases = [(build, random_state(rng, build)) for build in builds]
    start = time.process_time()
    for build, state in cases:
        solve_by_constraints(build, state)
    full = time.process_time() - start
    lean = [lean_root(build, state) for build, state in cases]
    start = time.process_time()
    for solve in lean:
        solve()
    return full / ROOTS, (time.process_time() - start) / ROOTS


def line(text: str) -> None:
    sys.stdout.write(text + "\n")


def main() -> None:
    """Measure and print."""
    full, lean = seconds_per_root()
    build = random_build(np.random.default_rng(7))
    alone = best(lambda: [stand(build) for _ in range(100)]) / 100
    line(f"root finder, full constraints  {full * 1e6:9.1f} µs per build")
    line(f"root finder, two unknowns      {lean * 1e6:9.1f} µs per build")
    line(f"stand(), one build             {alone * 1e6:9.1f} µs per build")
    line("")
    line(
        "sizes forks wheels places states    builds  ns/build  outputs  ufuncs"
        "  x full root  x lean root  of the floor"
    )
    for shape in SHAPES:
        given = axes(*shape)
        found = solve_matrix(**given)
        size = found.turn.size
        ufuncs = full_size_ufuncs(given, size)
        taken = best(lambda given=given: solve_matrix(**given))  # type: ignore[misc]  # bound now
        copying, adding = floor(found, ufuncs)
        each = taken / size
        line(
            "".join(f"{n:6d}" for n in found.shape)
            + f"{size:12,d}{each * 1e9:10.1f}{len(found.outputs):9d}{ufuncs:8d}"
            + f"{full / each:13,.0f}{lean / each:13,.0f}{taken / (copying + adding):14.2f}"
        )


if __name__ == "__main__":
    main()
