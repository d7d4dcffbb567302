"""Changes of whole modules, loaded in place of the real ones: the way that is always right.

Each mutant runs in a forked process that has pytest and the libraries imported already, with the
changed module loaded in place of the real one: nothing is written to the tree. First come the
tests that mirror the module and its own doctests; what survives them meets every test of its
package and every test that imports it.
"""

from __future__ import annotations

import ast
import importlib
import importlib.abc
import importlib.machinery
import json
import os
import resource
import signal
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import CodeType, ModuleType
from typing import NoReturn

import pytest

from tests.by_hand.mutation.choosing import ROOT, Job, dotted, mirrors, nearest

LIBRARIES = ["numpy", "hypothesis", "scipy.optimize", "scipy.spatial", "fastapi.testclient"]
LIBRARIES += ["sqlmodel", "pydantic_settings", "babel", "jinja2"]
SURVIVED, KILLED, NO_TESTS = 0, 1, int(pytest.ExitCode.NO_TESTS_COLLECTED)


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

    def __init__(self, folder: Path, workers: int, tests: str | None = None) -> None:
        self.folder, self.workers = folder, workers
        self.tests = tests.split(",") if tests else None

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

    def scored(self, path: Path, jobs: list[Job]) -> list[Job]:
        """The mutants of one file that survive both rounds of tests."""
        for tests in [self.tests] if self.tests else [mirrors(path), nearest(path)]:
            if jobs:
                jobs = self.survivors(Round(path, tests), jobs)
        return jobs
