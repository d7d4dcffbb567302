"""Would the tests notice? Changes the source a little, many times, and runs the tests that should.

    python -m tests.by_hand.mutation [--packages geometry.drive,webapp.pricing] [--sample 40]
                                     [--seed 1] [--workers 2] [--wide]
                                     [--only geometry/drive/loop.py] [--tests tests/a/test_b.py]

Most changes are made in functions that are already imported (``code_swap``), the others by loading
a changed module (``reloading``). The tests are those of the package; with ``--wide`` also others
that import the changed module, with ``--tests`` the files named alone. Printed are a score per
package and each survivor with its line and change; those that turn < into <= and the like stand
apart, since what holds when two numbers are exactly equal is mostly nobody's question.
``equivalents.txt`` beside this file lists the
changes that no test can or need notice, with the reason; they count as nothing. A line there that
fits no change any more is printed as stale.
"""

from __future__ import annotations

import argparse
import contextlib
import importlib
import os
import random
import sys
import tempfile
import time
from pathlib import Path

import pytest

from tests.by_hand.mutation.choosing import ROOT, Job, equivalents, jobs_of, modules, nearest, wider
from tests.by_hand.mutation.code_swap import CodeSwap
from tests.by_hand.mutation.reloading import LIBRARIES, Bench

GEOMETRY = "core glossary checks bike rider sizing population drive clearance loads matrix"
GEOMETRY += " position search uncertainty verify"
DEFAULT = [f"geometry.{package}" for package in GEOMETRY.split()]
DEFAULT += ["webapp.pricing", "webapp.quote.lifecycle", "webapp.common.two_edits"]


def swapped(jobs: list[Job], folder: Path, wishes: argparse.Namespace) -> list[tuple[Job, bool]]:
    """The jobs that survive in functions already imported, and those that cannot be made so."""
    child_reads, child_writes = os.pipe()
    child = os.fork()
    if child == 0:
        plugin = CodeSwap(jobs, folder, wishes.workers)
        tests_of = wider if wishes.wide else nearest
        paths = {job.path for job in jobs}
        tests = wishes.tests.split(",") if wishes.tests else []
        tests = tests or dict.fromkeys(test for path in paths for test in tests_of(path))
        options = ["-q", "-s", "--tb=line", "-p", "no:cacheprovider", "-p", "no:terminalreporter"]
        marks = ["-m", "not browser and not postgres"]
        pytest.main([*options, *marks, *tests], plugins=[plugin])
        index = {id(job): str(place) for place, job in enumerate(jobs)}
        left = " ".join(f"{index[id(job)]}:{int(here)}" for job, here in plugin.left)
        os.write(child_writes, left.encode())
        sys.stdout.flush()
        os._exit(0)
    os.close(child_writes)
    with os.fdopen(child_reads) as pipe:
        told = pipe.read()
    if os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]):
        sys.exit("the tests could not be collected")
    places = [each.partition(":") for each in told.split()]
    return [(jobs[int(place)], here == "1") for place, _, here in places]


def score(folder: Path, package: str, wishes: argparse.Namespace) -> None:
    """Run a package's mutants, or a sample of them; prints survivors and the score."""
    known = equivalents()
    every = list(jobs_of(modules(package)))
    jobs = [job for job in every if job.key not in known]
    if wishes.only:
        jobs = [job for job in jobs if str(job.path) in wishes.only.split(",")]
    of = len(jobs)
    if wishes.sample is not None and wishes.sample < of:
        chance = random.Random(wishes.seed)  # noqa: S311
        jobs = [jobs[index] for index in sorted(chance.sample(range(of), wishes.sample))]
    begun = time.monotonic()
    found = swapped(jobs, folder, wishes) if jobs else []
    left = [job for job, here in found if here]
    bench = Bench(folder, wishes.workers, wishes.tests)
    elsewhere = [job for job, here in found if not here]
    for path in dict.fromkeys(job.path for job in elsewhere):
        left += bench.scored(path, [job for job in elsewhere if job.path == path])
    at_boundaries = [job for job in left if job.mutant.boundary]
    for job in sorted(left, key=lambda job: (job.mutant.boundary, job.path, job.mutant.line)):
        kind = "boundary " if job.mutant.boundary else ""
        print(f"  {kind}{job.path}:{job.mutant.line} | {job.mutant.where} | {job.mutant.change}")
    tried = len(jobs) - len(at_boundaries)
    killed, share = len(jobs) - len(left), 1 - (len(left) - len(at_boundaries)) / max(tried, 1)
    taken = time.monotonic() - begun
    print(f"{package}: {killed} of {tried} killed ({share:.1%}), {len(at_boundaries)} more survive")
    print(f"  only where two sides are equal; {of} are not listed; {taken:.0f} s", flush=True)


def stale() -> list[tuple[str, str, str]]:
    """Listed changes that fit nothing in the source any more."""
    listed = equivalents()
    paths = [Path(file) for file in sorted({file for file, _, _ in listed})]
    there = {job.key for job in jobs_of(path for path in paths if path.is_file())}
    return sorted(listed - there)


def main() -> None:
    """Read the wishes, run, print."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--packages", default=",".join(DEFAULT))
    parser.add_argument("--sample", type=int, help="how many of each package; without it all")
    parser.add_argument("--only", help="these files alone")
    parser.add_argument("--tests", help="these test files alone, parted by commas")
    parser.add_argument("--wide", action="store_true", help="also tests of other packages")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=2)
    wishes = parser.parse_args()
    os.chdir(ROOT)
    for key in stale():
        print("  stale in equivalents.txt:", " | ".join(key))
    with tempfile.TemporaryDirectory(prefix="mutation-") as name:
        os.environ["HYPOTHESIS_STORAGE_DIRECTORY"] = name
        os.environ["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"
        os.environ["OPENBLAS_NUM_THREADS"] = "1"
        for library in LIBRARIES:
            importlib.import_module(library)
        sys.pycache_prefix = name
        for package in wishes.packages.split(","):
            score(Path(name), package, wishes)


if __name__ == "__main__":
    with contextlib.suppress(KeyboardInterrupt):
        main()
