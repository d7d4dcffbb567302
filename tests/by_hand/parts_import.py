"""Bring in 2,500 parts while somebody else writes, on both databases: how long they wait.

    python -m tests.by_hand.parts_import          # 2,500 parts
    python -m tests.by_hand.parts_import 5000     # so many

Printed are how long the whole took, how long the write lock was held, and the slowest of the
other's writes. Aim: nobody waits longer than two seconds.
"""

from __future__ import annotations

import sys
import time
from contextlib import ExitStack
from datetime import UTC, datetime

from tests.by_hand.large import writing_lightly
from tests.by_hand.running import folder_for_data, postgres
from webapp.catalogue import setup
from webapp.common.storage.database import make_engine, reading, writing
from webapp.office.parts.csv_files import read_file
from webapp.office.parts.csv_import import NEW, save_rows, try_file

LONGEST = 2.0  # s
HEAD = "kind,slug,name,price,models,usual_for,stack,rail_forward,rail_back,length,width"


def parts(count: int) -> bytes:
    """A file of so many new saddles."""
    rows = (f"saddle,new-{n},Saddle {n},49.00,knapweed,,45,20,20,270,145" for n in range(count))
    return "\n".join([HEAD, *rows]).encode()


def measure(address: str, count: int) -> bool:
    """Bring them in, and print what it cost the others."""
    engine = make_engine(address)
    setup.prepare(engine)
    at = datetime.now(UTC)
    with writing_lightly(address, catalogue=False) as taken:
        begun = time.perf_counter()
        with reading(engine) as session:
            trial = try_file(session, read_file(parts(count)), day=at.date())
        tried = time.perf_counter()
        with writing(engine) as session:
            locked, computing = time.perf_counter(), time.process_time()
            save_rows(session, trial, who="by hand", at=at)
        done, computed = time.perf_counter(), time.process_time()
    print(f"{engine.dialect.name}: {trial.count(NEW):,} parts in {done - begun:.1f} s, looked "
          f"through in {tried - begun:.1f} s, locked for {done - locked:.2f} s "
          f"({computed - computing:.2f} s of computing); {len(taken)} other writes, the slowest "
          f"{max(taken):.2f} s")  # fmt: skip
    engine.dispose()
    return max(taken) < LONGEST


def main(words: list[str]) -> int:
    """Measure both databases."""
    count = int(words[0]) if words else 2500
    good = True
    with ExitStack() as stack:
        folder = stack.enter_context(folder_for_data())
        plain = stack.enter_context(postgres())
        for address in (
            f"sqlite:///{folder / 'shop.sqlite'}",
            plain.replace("postgresql://", "postgresql+psycopg://"),
        ):
            good &= measure(address, count)
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
