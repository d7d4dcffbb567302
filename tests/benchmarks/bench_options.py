"""Time of judging every option of a build at once, as a ratio against judging that build.

    python -m tests.benchmarks.bench_options

Aim: all options of a build within 50 ms of processor time. Compared too with judging
the build of every option on its own, which is what asking them at once saves.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable, Mapping
from pathlib import Path

from geometry.core.errors import GeometryError
from webapp.builds.choice.build_choice import read_choice
from webapp.builds.fitting.calculations import drive
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.checks import fit_checks
from webapp.builds.fitting.options import options
from webapp.catalogue import setup as catalogue_setup
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.common.storage.database import make_engine, reading

ROUNDS = 15

BUILDS: Mapping[str, Mapping[str, str]] = {
    "derailleur": {},
    "derailleur, rider known": {"stature": "178 cm", "weight": "80 kg", "luggage": "8"},
    "coaster brake": {
        "hub": "single-coaster-135", "axle": "nutted-10x135", "ring": "single-32",
        "sprocket": "lug-20", "transmission": "chain-wide", "derailleur": "none",
        "brake": "disc-front-180", "slot": "3.4",
    },
    "hub gear, belt": {
        "hub": "hub-gear-6-135", "axle": "nutted-10x135", "ring": "belt-44",
        "sprocket": "belt-24", "transmission": "belt", "derailleur": "none", "slot": "11.5",
    },
}  # fmt: skip


def least(work: Callable[[], object]) -> float:
    """Shortest processor time of several rounds [ms]; nothing remembered between them."""
    times = []
    for _ in range(ROUNDS):
        for remembered in (drive._closing, drive._slot_check):
            remembered.cache_clear()
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return 1e3 * min(times)


def demo() -> Catalogue:
    """The demo's trail bike."""
    with tempfile.TemporaryDirectory() as folder:
        engine = make_engine(f"sqlite:///{Path(folder) / 'bench.sqlite'}")
        catalogue_setup.prepare(engine)
        with reading(engine) as session:
            return load_catalogue(session, "knapweed")


def one_by_one(setup: Setup) -> None:
    """Every option as a build of its own, judged whole."""
    for place, found in options(setup).items():
        for option in found:
            choice = setup.with_part(place, option.part.slug)
            try:
                fit_checks(Setup.of(setup.catalogue, choice))
            except GeometryError:
                continue


def main() -> None:
    """Measure and print."""
    catalogue = demo()
    sys.stdout.write("build                     options  one build  at once  ratio  one by one\n")
    for name, fields in BUILDS.items():
        query = {key: [value] for key, value in fields.items()}
        choice = read_choice(catalogue, query).strict()
        setup = Setup.of(catalogue, choice)
        count = sum(len(each) for each in options(setup).values())
        alone = least(lambda s=setup: fit_checks(s))  # type: ignore[misc]  # bound now
        every = least(lambda s=setup: options(s))  # type: ignore[misc]  # bound now
        apart = least(lambda s=setup: one_by_one(s))  # type: ignore[misc]  # bound now
        sys.stdout.write(
            f"{name:25s} {count:7d} {alone:7.1f} ms {every:5.1f} ms {every / alone:6.1f} "
            f"{apart:8.0f} ms, {apart / every:.1f} times as long\n"
        )


if __name__ == "__main__":
    main()
