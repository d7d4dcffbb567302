"""Keep a shop of 50,000 quotes safe: time and peak memory of every command, on both databases.

    python -m tests.by_hand.large                  # 50,000 quotes, SQLite and PostgreSQL
    python -m tests.by_hand.large 5000 postgres    # so many, on one of them

Every quote says what a real build's says (one of a few dozen, each frozen as on the web), under
its own number, customer and link. While SQLite's backup is made somebody writes twenty times a
second. Each command is a process of its own; its peak memory is what the system counted. Aim:
at most 300 MB each, and no file left half made.
"""

from __future__ import annotations

import os
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from datetime import UTC, datetime, timedelta
from itertools import islice
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, create_engine, insert, make_url, text

from tests.by_hand.running import ROOT, folder_for_data, postgres
from webapp.builds.choice.build_choice import read_choice
from webapp.catalogue import setup
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.writing.models import put_model
from webapp.common.errors import Invalid
from webapp.common.storage.database import make_engine, reading, writing
from webapp.quote.freezing.freeze_build import freeze
from webapp.quote.lifecycle.request import orderable
from webapp.quote.storage.write import next_number
from webapp.quote.tables import Quote, QuoteEvent, QuoteVersion

MOST_MEMORY = 300  # MB
START = datetime(2021, 1, 4, 9, tzinfo=UTC)
_AT_ONCE = 500
# The command, and then the most memory it has had: what the system counts for a process that
# has ended includes what its parent had when it was started.
_COMMAND = """
import os, pathlib, sys
from webapp.archive.__main__ import main
status = main()
lines = pathlib.Path("/proc/self/status").read_text().splitlines()
peak = next(line for line in lines if line.startswith("VmHWM"))
print(peak, sum(os.times()[:2]))
sys.exit(status)
"""


def contents() -> Iterator[dict[str, Any]]:
    """What builds of the demo say when they are frozen, as plain values."""
    engine = make_engine("sqlite://")
    setup.prepare(engine)
    for model in ("knapweed", "burdock"):
        with reading(engine) as session:
            catalogue = load_catalogue(session, model)
        sizes = [size.slug for size in catalogue.sizes]
        finishes = [part.slug for part in catalogue.offered("finish")]
        for size in sizes:
            for finish in finishes:
                query = {"size": [size], "finish": [finish]}
                choice = read_choice(catalogue, query).choice
                try:
                    content = freeze(orderable(catalogue, choice), on=START.date())
                except Invalid:
                    continue
                yield content.model_dump(mode="json")
    engine.dispose()


def quote_row(number: int, content: dict[str, Any]) -> dict[str, Any]:
    """One quote's row."""
    made = START + timedelta(hours=number)
    return {
        "id": number, "number": f"{made.year}-{number:05d}", "token": f"t{number:040d}",
        "token_hash": f"h{number:060d}", "state": "sent", "created_at": made,
        "customer_name": f"Rider {number}", "customer_mail": f"rider{number}@mail.example",
        "customer_note": "Mostly forest tracks.", "current_version": 1, "sent_version": 1,
        "model": content["build"]["model"], "size": content["build"]["size"],
        "gross_minor": content["price"]["gross"]["minor"], "currency": "EUR",
        "valid_until": (made + timedelta(days=30)).date(), "waiting_for": "",
    }  # fmt: skip


def version_row(number: int, content: dict[str, Any]) -> dict[str, Any]:
    """What it says."""
    return {
        "quote_id": number, "number": 1, "created_at": START + timedelta(hours=number),
        "created_by": "customer", "model": content["build"]["model_slug"],
        "build": content["build"]["query"],
        "customer": {"name": f"Rider {number}", "mail": f"rider{number}@mail.example"},
        "content": content | {"terms": [*content.get("terms", []), f"Order {number}."]},
    }  # fmt: skip


def event_row(number: int) -> dict[str, Any]:
    """That it was asked for."""
    at = START + timedelta(hours=number)
    return {"quote_id": number, "at": at, "who": "customer", "what": "asked", "version": 1,
            "detail": {}}  # fmt: skip


def fill(engine: Engine, quotes: int) -> None:
    """Write so many quotes."""
    setup.prepare(engine)
    known = list(contents())
    numbers = iter(range(1, quotes + 1))
    while some := list(islice(numbers, _AT_ONCE)):
        with writing(engine) as session:
            connection = session.connection()
            said = [(n, known[n % len(known)]) for n in some]
            connection.execute(insert(Quote), [quote_row(n, c) for n, c in said])
            connection.execute(insert(QuoteVersion), [version_row(n, c) for n, c in said])
            connection.execute(insert(QuoteEvent), [event_row(n) for n in some])
    if engine.dialect.name == "postgresql":
        with engine.begin() as connection:
            sequence = "SELECT setval(pg_get_serial_sequence('quote', 'id'), :last)"
            connection.execute(text(sequence), {"last": quotes})


class Command:
    """A command of the keeping, as a process of its own, and what it cost."""

    def __init__(self, address: str, *words: str) -> None:
        begun = time.perf_counter()
        process = subprocess.Popen(  # the program itself
            [sys.executable, "-c", _COMMAND, *words],
            cwd=ROOT, env={**os.environ, "DATABASE_URL": address}, text=True,
            stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        )  # fmt: skip
        output, progress = process.communicate()
        self.seconds = time.perf_counter() - begun
        self.status, self.name = process.returncode, words[0]
        self.lines = progress.splitlines()
        self.said, _, peak = output.strip().rpartition("\n")
        self.memory, self.computing = int(peak.split()[1]) / 1024, float(peak.split()[3])

    def print(self) -> bool:
        """Print it; whether it was done within the memory it may take."""
        print(f"  {self.name:8} {self.seconds:6.1f} s ({self.computing:.0f} s of computing), peak "
              f"{self.memory:4.0f} MB, {len(self.lines)} lines of progress")  # fmt: skip
        print(f"           {self.said or self.lines[-1:]}", flush=True)
        return self.status == 0 and self.memory <= MOST_MEMORY


@contextmanager
def writing_lightly(address: str, *, catalogue: bool = True) -> Iterator[list[float]]:
    """Somebody who writes twenty times a second; how long each write took [s].

    Into the catalogue, or else a number of quotes, which no reader of the catalogue sees.
    """
    stop, taken = threading.Event(), list[float]()

    def write() -> None:
        engine = make_engine(address)
        while not stop.wait(0.05):
            begun = time.perf_counter()
            with writing(engine) as session:
                if catalogue:
                    put_model(session, who="x", slug=f"light-{len(taken)}", name="Light")
                else:
                    next_number(session, 2026)
            taken.append(time.perf_counter() - begun)
        engine.dispose()

    writer = threading.Thread(target=write)
    writer.start()
    try:
        yield taken
    finally:
        stop.set()
        writer.join()


@contextmanager
def second_database(address: str, folder: Path) -> Iterator[str]:
    """An empty database of the same kind."""
    if address.startswith("sqlite"):
        yield f"sqlite:///{folder / 'second.sqlite'}"
        return
    engine = create_engine(address, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.execute(text("CREATE DATABASE second"))
    engine.dispose()
    yield make_url(address).set(database="second").render_as_string(hide_password=False)


def measure(address: str, folder: Path) -> bool:
    """Run every command once; whether all did what they should."""
    copy, export = str(folder / "copy.backup"), str(folder / "everything.zip")
    with writing_lightly(address) as taken:
        made = Command(address, "backup", copy)
    good = made.print()
    print(f"           {len(taken)} writes meanwhile, the slowest {max(taken, default=0):.2f} s")
    good &= Command(address, "check", copy).print()
    good &= Command(address, "export", export).print()
    print(f"           {Path(export).stat().st_size / 1e6:,.0f} MB of export, "
          f"{Path(copy).stat().st_size / 1e6:,.0f} MB of backup")  # fmt: skip
    with second_database(address, folder) as second:
        good &= Command(second, "import", export).print()
        if address.startswith("sqlite"):
            good &= Command(second, "restore", copy, "--replace").print()
    parts = [path.name for path in folder.rglob("*.part*")]
    print(f"           parts left behind: {', '.join(parts) or 'none'}")
    return good and not parts


def main(words: list[str]) -> int:
    """Fill and measure."""
    quotes = int(words[0]) if words else 50_000
    good = True
    for kind in words[1:] or ["sqlite", "postgres"]:
        with ExitStack() as stack:
            folder = stack.enter_context(folder_for_data())
            address = f"sqlite:///{folder / 'shop.sqlite'}"
            if kind == "postgres":
                plain = stack.enter_context(postgres())
                address = plain.replace("postgresql://", "postgresql+psycopg://")
            begun = time.perf_counter()
            engine = make_engine(address)
            fill(engine, quotes)
            engine.dispose()
            print(f"{kind}: {quotes:,} quotes written in {time.perf_counter() - begun:.0f} s")
            good &= measure(address, folder)
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
