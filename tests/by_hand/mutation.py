"""Would the tests notice? Changes the source a little, many times, and runs the tests that should.

    python -m tests.by_hand.mutation [--packages geometry.drive,webapp.pricing] [--sample 40]
                                     [--seed 1] [--workers 2]

Each mutant runs in a forked process that has pytest and the libraries imported already, with the
changed module loaded in place of the real one: nothing is written to the tree. First come the
tests that mirror the module and its own doctests; what survives them meets every test of its
package and every test that imports it. Printed are a score per package and each survivor with
its line and change. ``mutation_equivalents.txt`` beside this file lists the changes that no test
can or need notice, with the reason; they count as nothing.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import importlib
import importlib.abc
import importlib.machinery
import json
import os
import random
import resource
import signal
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import CodeType, ModuleType
from typing import NoReturn

import pytest

from tests.by_hand.mutants import Mutant, mutants

ROOT = Path(__file__).parents[2]
EQUIVALENTS = Path(__file__).with_name("mutation_equivalents.txt")
LIBRARIES = ["numpy", "hypothesis", "scipy.optimize", "scipy.spatial", "fastapi.testclient"]
LIBRARIES += ["sqlmodel", "pydantic_settings", "babel", "jinja2"]
DEFAULT = "geometry,webapp.pricing,webapp.quote.lifecycle,webapp.common.two_edits"
SURVIVED, KILLED, NO_TESTS = 0, 1, int(pytest.ExitCode.NO_TESTS_COLLECTED)


@dataclass(frozen=True)
class Job:
    """One mutant of one module."""

    path: Path
    mutant: Mutant
    tree: ast.Module

    @property
    def key(self) -> tuple[str, str, str]:
        """What the list of equivalents names it by."""
        return str(self.path), self.mutant.where, self.mutant.change


# --- which tests should notice ------------------------------------------------------


def dotted(path: Path) -> str:
    """Name of a module by its path from the root."""
    return ".".join(path.with_suffix("").parts)


def mirrors(path: Path) -> list[str]:
    """The module itself for its doctests, and the test files named as it is."""
    folder, stem = Path("tests") / path.parent, path.stem
    exact = sorted(folder.glob(f"test_{stem}*.py"))
    return [*map(str, exact), str(path)]


def wider(path: Path) -> list[str]:
    """Every test and doctest of the package, and every test file that imports the module."""
    names = [f"{dotted(path)} "]
    if path.stem in path.with_name("__init__.py").read_text():
        names.append(f"from {dotted(path.parent)} import")
    naming = [
        file
        for file in sorted(Path("tests", path.parts[0]).rglob("test_*.py"))
        if any(name in file.read_text() for name in names)
    ]
    here = sorted((Path("tests") / path.parent).glob("test_*.py"))
    own = sorted(set(path.parent.glob("*.py")) - {path})
    return list(dict.fromkeys(map(str, [*here, *naming, *own])))


# --- one mutant in a process of its own ---------------------------------------------


class _Changed(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Loads one module from changed code, and leaves all others to Python."""

    def __init__(self, name: str, file: Path, code: CodeType) -> None:
        self.name, self.file, self.code = name, str(file), code

    def find_spec(self, fullname: str, *_: object) -> importlib.machinery.ModuleSpec | None:
        """Where the module comes from, if it is the changed one."""
        if fullname != self.name:
            return None
        spec = importlib.machinery.ModuleSpec(fullname, self, origin=self.file)
        spec.has_location = True
        return spec

    def exec_module(self, module: ModuleType) -> None:
        """Run the changed code; doctest reads its lines from the file in the tree."""
        exec(self.code, vars(module))  # noqa: S102


class _Quickest:
    """Runs the quickest tests first, and lets hypothesis look for no smallest example."""

    def __init__(self, times: dict[str, float]) -> None:
        self.times, self.measured = times, dict[str, float]()

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """By how long each took with the unchanged module."""
        items.sort(key=lambda item: self.times.get(item.nodeid, 0.0))

    def pytest_collection_finish(self) -> None:
        """The project's own profile, and that a test fails is enough."""
        from hypothesis import Phase, settings

        phases = [Phase.explicit, Phase.generate]
        steady = settings(deadline=None, derandomize=True, database=None, phases=phases)
        settings.register_profile("mutation", steady)
        settings.load_profile("mutation")

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Remember how long it took."""
        before = self.measured.get(report.nodeid, 0.0)
        self.measured[report.nodeid] = before + report.duration


@dataclass(frozen=True)
class Round:
    """Tests that one module's mutants meet, and what they take with the unchanged module."""

    path: Path
    tests: Sequence[str]
    times: dict[str, float] = field(default_factory=dict)
    seconds: float = 600.0


def run(of: Round, job: Job | None, log: Path) -> NoReturn:
    """In the forked process: load the changed module, run the tests, end with their code."""
    resource.setrlimit(resource.RLIMIT_CPU, (int(of.seconds) + 1, int(of.seconds) + 3))
    signal.alarm(int(20 * of.seconds) + 60)
    output = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    os.dup2(output, 1)
    os.dup2(output, 2)
    code = KILLED
    try:
        if job is not None:
            job.mutant.make()
            changed = compile(ast.fix_missing_locations(job.tree), str(ROOT / of.path), "exec")
            sys.meta_path.insert(0, _Changed(dotted(of.path), ROOT / of.path, changed))
        importlib.import_module(dotted(of.path))
        options = ["-x", "-q", "--tb=line", "-p", "no:cacheprovider"]
        marks = ["-m", "not browser and not postgres"]
        plugin = _Quickest(of.times)
        code = int(pytest.main([*options, *marks, *of.tests], plugins=[plugin]))
        if job is None:
            log.with_suffix(".json").write_text(json.dumps(plugin.measured))
    finally:
        sys.stdout.flush()
        os._exit(code)


class Bench:
    """Runs mutants in a few processes at once."""

    def __init__(self, folder: Path, workers: int) -> None:
        self.folder, self.workers = folder, workers

    def start(self, of: Round, job: Job | None) -> int:
        """Begin a run; gives its process."""
        child = os.fork()
        if child == 0:
            run(of, job, self.folder / f"{os.getpid()}.log")
        return child

    def measured(self, of: Round) -> Round:
        """A round with its times: those of the unchanged module, which must pass."""
        child = self.start(of, None)
        _, status, used = os.wait4(child, 0)
        log = self.folder / f"{child}.log"
        if os.waitstatus_to_exitcode(status) not in {SURVIVED, NO_TESTS}:
            print(log.read_text()[-2000:])
            sys.exit(f"the unchanged {of.path} fails its own tests")
        times = json.loads(log.with_suffix(".json").read_text())
        return replace(of, times=times, seconds=3 * (used.ru_utime + used.ru_stime) + 5)

    def survivors(self, of: Round, jobs: Iterable[Job]) -> list[Job]:
        """The mutants of one file that these tests let pass."""
        of = self.measured(of)
        running: dict[int, Job] = {}
        left: list[Job] = []

        def gather() -> None:
            child, status = os.wait()
            job = running.pop(child)
            (self.folder / f"{child}.log").unlink(missing_ok=True)
            if os.waitstatus_to_exitcode(status) in {SURVIVED, NO_TESTS}:
                left.append(job)

        for job in jobs:
            while len(running) >= self.workers:
                gather()
            running[self.start(of, job)] = job
        while running:
            gather()
        return left


# --- what to run, and what came of it -----------------------------------------------


def modules(package: str) -> list[Path]:
    """The files of a package, or the module of that name."""
    path = Path(*package.split("."))
    if path.with_suffix(".py").is_file():
        return [path.with_suffix(".py")]
    return sorted(file for file in path.rglob("*.py") if file.name != "__init__.py")


def equivalents() -> set[tuple[str, str, str]]:
    """The listed changes: file, function and change, a reason after them."""
    lines = EQUIVALENTS.read_text().splitlines() if EQUIVALENTS.is_file() else []
    rows = [line.split(" | ") for line in lines if line and not line.startswith("#")]
    return {(file, where, change) for file, where, change, _reason in rows}


def jobs_of(paths: Iterable[Path]) -> Iterator[Job]:
    """Every mutant of these files that is not listed as equivalent."""
    known = equivalents()
    for path in paths:
        tree = ast.parse(path.read_text())
        for mutant in mutants(tree):
            job = Job(path, mutant, tree)
            if job.key not in known:
                yield job


def scored(bench: Bench, path: Path, jobs: list[Job]) -> list[Job]:
    """The mutants of one file that survive both rounds of tests."""
    for tests in (mirrors(path), wider(path)):
        if jobs:
            jobs = bench.survivors(Round(path, tests), jobs)
    return jobs


def score(bench: Bench, package: str, sample: int | None, chance: random.Random) -> None:
    """Run a package's mutants, or a sample of them; prints survivors and the score."""
    jobs = list(jobs_of(modules(package)))
    if sample is not None and sample < len(jobs):
        jobs = [jobs[index] for index in sorted(chance.sample(range(len(jobs)), sample))]
    begun, left = time.monotonic(), 0
    for path in dict.fromkeys(job.path for job in jobs):
        for job in scored(bench, path, [job for job in jobs if job.path == path]):
            print(f"  {path}:{job.mutant.line} | {job.mutant.where} | {job.mutant.change}")
            left += 1
        sys.stdout.flush()
    killed, share = len(jobs) - left, 1 - left / max(len(jobs), 1)
    taken = time.monotonic() - begun
    print(f"{package}: {killed} of {len(jobs)} killed ({share:.1%}) in {taken:.0f} s", flush=True)


def main() -> None:
    """Read the wishes, run, print."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--packages", default=DEFAULT)
    parser.add_argument("--sample", type=int, help="how many of each package; without it all")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=2)
    wishes = parser.parse_args()
    os.chdir(ROOT)
    with tempfile.TemporaryDirectory(prefix="mutation-") as name:
        os.environ["HYPOTHESIS_STORAGE_DIRECTORY"] = name
        os.environ["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"
        os.environ["OPENBLAS_NUM_THREADS"] = "1"
        for library in LIBRARIES:
            importlib.import_module(library)
        sys.pycache_prefix = name
        bench = Bench(Path(name), wishes.workers)
        for package in wishes.packages.split(","):
            score(bench, package, wishes.sample, random.Random(wishes.seed))  # noqa: S311


if __name__ == "__main__":
    with contextlib.suppress(KeyboardInterrupt):
        main()
