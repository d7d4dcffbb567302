"""Changes made in functions that are already imported: the quick way.

All tests of a package are collected once. One forked process runs them with the source as it is,
and notes how long each takes and which functions it calls. Then every mutant has a forked process
of its own: the changed function gets its new code in place, so that whoever imported it has it,
and the tests that call it run, the quickest first, until one fails. What is changed outside
functions (constants, defaults, fields) is left to ``reloading``.
"""

from __future__ import annotations

import ast
import importlib
import inspect
import json
import os
import resource
import signal
import sys
import threading
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import CodeType, FrameType, FunctionType, ModuleType
from typing import NoReturn

import pytest

from tests.by_hand.mutation.choosing import ROOT, Job, dotted

SURVIVED, KILLED = 0, 1


def functions(module: ModuleType) -> dict[str, FunctionType]:
    """Functions and methods of a module by their qualified names."""
    return {
        made.__qualname__: made
        for made in _made(module)
        if made.__module__ == module.__name__ and made.__code__.co_filename == module.__file__
    }


def _made(holder: object) -> Iterator[FunctionType]:
    for value in list(vars(holder).values()):
        unwrapped = value
        for name in ("__func__", "fget", "func"):
            unwrapped = getattr(unwrapped, name, unwrapped)
        unwrapped = inspect.unwrap(unwrapped) if callable(unwrapped) else unwrapped
        if isinstance(unwrapped, FunctionType):
            yield unwrapped
        elif _is_own_class(value, holder):
            yield from _made(value)


def _is_own_class(value: object, holder: object) -> bool:
    if not (isinstance(value, type) and isinstance(holder, ModuleType)):
        return False
    return value.__module__ == holder.__name__


def codes(tree: ast.Module, file: str) -> dict[str, CodeType]:
    """Code of functions and methods by qualified name; code within functions belongs to them."""
    found: dict[str, CodeType] = {}

    def collect(code: CodeType) -> None:
        for each in code.co_consts:
            if isinstance(each, CodeType):
                if each.co_flags & inspect.CO_NEWLOCALS:
                    found[each.co_qualname] = each
                else:
                    collect(each)

    collect(compile(ast.fix_missing_locations(tree), file, "exec"))
    return found


@dataclass
class Seen:
    """What a run with the source as it is has shown of each test."""

    seconds: dict[str, float] = field(default_factory=dict)
    calls: dict[str, list[str]] = field(default_factory=dict)  # of tests, as file:line
    by_file: dict[str, list[str]] = field(default_factory=dict)  # the same of their files
    failed: list[str] = field(default_factory=list)


class Watch:
    """Notes the functions of some files that are called, in every thread."""

    def __init__(self, files: set[str]) -> None:
        self.files, self.called = files, set[str]()

    def __call__(self, frame: FrameType, event: str, _: object) -> None:
        """One event of the interpreter."""
        if event == "call" and (code := frame.f_code).co_filename in self.files:
            self.called.add(f"{code.co_filename}:{code.co_firstlineno}")

    def start(self) -> None:
        """Begin to note."""
        self.called = set()
        threading.setprofile(self)
        sys.setprofile(self)

    def stop(self) -> list[str]:
        """End it; gives what was called."""
        sys.setprofile(None)
        threading.setprofile(None)
        return sorted(self.called)


class CodeSwap:
    """A pytest plugin that runs mutants in place of the tests' usual loop."""

    def __init__(self, jobs: Sequence[Job], folder: Path, workers: int) -> None:
        self.jobs, self.folder, self.workers = jobs, folder, workers
        self.left: list[tuple[Job, bool]] = []  # survivors, and whether they could be made here
        self.seen = Seen()

    def pytest_collection_finish(self) -> None:
        """Let hypothesis look for no smallest example: that a test fails is enough."""
        from hypothesis import Phase, settings

        phases = [Phase.explicit, Phase.generate]
        steady = settings(deadline=None, derandomize=True, database=None, phases=phases)
        settings.register_profile("mutation", steady)
        settings.load_profile("mutation")

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Watch the unchanged tests, then run every mutant."""
        sys.stdout.flush()
        paths = {job.path for job in self.jobs}
        for path in paths:
            importlib.import_module(dotted(path))
        self._watched(session, {str(ROOT / path) for path in paths})
        running: dict[int, Job] = {}
        for job in self.jobs:
            while len(running) >= self.workers:
                self._gather(running)
            self._begin(session, job, running)
        while running:
            self._gather(running)
        return True

    def _watched(self, session: pytest.Session, files: set[str]) -> None:
        """Fill ``seen`` from a process of its own."""
        log = self.folder / "seen.json"
        child = os.fork()
        if child == 0:
            _quiet(self.folder / "watched.log")
            log.write_text(json.dumps(vars(_watch(session, Watch(files)))))
            os._exit(0)
        if os.waitpid(child, 0)[1] != 0:
            sys.exit((self.folder / "watched.log").read_text()[-3000:])
        self.seen = Seen(**json.loads(log.read_text()))
        for name in self.seen.failed:
            print(f"  left out, as it fails unchanged: {name}")

    def _begin(self, session: pytest.Session, job: Job, running: dict[int, Job]) -> None:
        """Start a mutant's process, or leave it to the slow way."""
        name = job.mutant.where
        made = functions(sys.modules[dotted(job.path)]).get(name)
        if made is None:
            self.left.append((job, False))
            return
        tests = self._tests(session, f"{made.__code__.co_filename}:{made.__code__.co_firstlineno}")
        allowed = 2 * sum(self.seen.seconds[test.nodeid] for test in tests) + 3
        child = os.fork()
        if child == 0:
            _run(job, made, tests, allowed)
        running[child] = job

    def _tests(self, session: pytest.Session, function: str) -> list[pytest.Item]:
        """Tests that call it, the quickest first; then those whose files' other tests do."""
        seen = self.seen
        chosen = [
            (function not in seen.calls[item.nodeid], seen.seconds[item.nodeid], index)
            for index, item in enumerate(session.items)
            if item.nodeid not in seen.failed and function in seen.by_file[_file_of(item)]
        ]
        return [session.items[index] for _, _, index in sorted(chosen)]

    def _gather(self, running: dict[int, Job]) -> None:
        child, status = os.wait()
        job, code = running.pop(child), os.waitstatus_to_exitcode(status)
        if code in {SURVIVED, UNMADE}:
            self.left.append((job, code == SURVIVED))


UNMADE = 7
"""The code with which a process ends whose change is not in the function's own code."""


def _file_of(item: pytest.Item) -> str:
    return item.nodeid.partition("::")[0]


def _quiet(log: Path) -> None:
    output = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    os.dup2(output, 1)
    os.dup2(output, 2)


def _watch(session: pytest.Session, watch: Watch) -> Seen:
    """In a forked process: run every test, and tell what it took and called."""
    seen, by_file = Seen(), dict[str, set[str]]()
    for item, after in _with_next(session.items):
        before, failed = time.process_time(), session.testsfailed
        watch.start()
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
        seen.calls[item.nodeid] = watch.stop()
        seen.seconds[item.nodeid] = time.process_time() - before
        by_file.setdefault(_file_of(item), set()).update(seen.calls[item.nodeid])
        if session.testsfailed > failed:
            seen.failed.append(item.nodeid)
    seen.by_file = {file: sorted(called) for file, called in by_file.items()}
    return seen


def _with_next(items: Sequence[pytest.Item]) -> Iterator[tuple[pytest.Item, pytest.Item | None]]:
    yield from zip(items, [*items[1:], None], strict=True)


def _run(job: Job, made: FunctionType, tests: list[pytest.Item], allowed: float) -> NoReturn:
    """In a forked process: change the function, run tests until one fails, end with the code."""
    resource.setrlimit(resource.RLIMIT_CPU, (int(allowed) + 1, int(allowed) + 3))
    signal.alarm(int(20 * allowed) + 60)
    _quiet(Path(os.devnull))
    code = KILLED
    try:
        file = made.__code__.co_filename
        before = codes(job.tree, file)[job.mutant.where]
        job.mutant.make()
        after = codes(job.tree, file)[job.mutant.where]
        if before == after:
            os._exit(UNMADE)
        made.__code__ = after
        code = _outcome(tests)
    finally:
        os._exit(code)


def _outcome(tests: list[pytest.Item]) -> int:
    for item, after in _with_next(tests):
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
        if item.session.testsfailed:
            return KILLED
    return SURVIVED
