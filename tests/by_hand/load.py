"""Load the service with riders and staff, publish a revision in between, and print what it carried.

    python -m tests.by_hand.load                    # SQLite with one process, PostgreSQL with two
    python -m tests.by_hand.load 40 16 sqlite       # so many seconds and riders, on one of them

Riders look at fit, build, table and side by side, and ask for quotes; staff search the counter
and open what was asked for; in the middle a revision is published. Printed are requests a second,
the times that half, 95 and 99 in 100 stayed below, and errors. At the end every quote that an
answer confirmed must be there once, and nobody may have seen the old revision in a request that
began after the new one was published. All on this machine, which the visitors share with the
service: the figures are those of a service that has what they leave.
"""

from __future__ import annotations

import random
import statistics
import sys
import threading
import time
from collections import Counter, defaultdict
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import dataclass, field
from datetime import UTC, datetime
from secrets import token_urlsafe

import httpx
from sqlalchemy import Engine, text

from tests.by_hand.hostile import sign_in
from tests.by_hand.running import folder_for_data, postgres, start, visitor
from webapp.common.settings import Settings
from webapp.common.storage.database import opened, reading, writing
from webapp.office.revisions.drafts import begin_draft, locked_revision
from webapp.office.revisions.publish import proposed_changelog, publish_draft
from webapp.office.revisions.size_grid import cells_of, save_cells
from webapp.office.save import one_save

LONGEST, MOST_RIDERS, STAFF = 300, 64, 2  # s, people
WAYS = {"sqlite": ("--workers", "1"), "postgres": ("--workers", "2")}
LOOKS = (
    ("fit", "/fit/knapweed?stature=1740&inseam=812"),
    ("build", "/build/knapweed?size=m"),
    ("table", "/table/knapweed"),
    ("side by side", "/side-by-side?build=/build/knapweed&build=/build/burdock"),
)


@dataclass
class Seen:
    """What everybody saw, together."""

    times: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    answers: Counter[str] = field(default_factory=Counter)
    links: dict[str, str] = field(default_factory=dict)  # name -> link of a confirmed quote
    stale: int = 0
    published: float | None = None  # when, on this machine's own clock
    stop: threading.Event = field(default_factory=threading.Event)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def ask(self, client: httpx.Client, kind: str, path: str, **form: str) -> httpx.Response | None:
        """Send one request and note how long it took and what came."""
        begun = time.perf_counter()
        try:
            if form:
                headers = {"Sec-Fetch-Site": "same-origin"}
                answer = client.post(path, data=form, headers=headers)
            else:
                answer = client.get(path)
        except httpx.HTTPError as error:
            with self.lock:
                self.answers[type(error).__name__] += 1
            return None
        with self.lock:
            self.times[kind].append(time.perf_counter() - begun)
            self.answers[str(answer.status_code)] += 1
        return answer


def ride(address: str, seen: Seen, number: int) -> None:
    """One rider after another: some looks, the revision, and for one in three a quote."""
    chance = random.Random(number)  # noqa: S311  # no secret
    while not seen.stop.is_set():
        number += MOST_RIDERS
        with visitor(address, number) as client:
            for kind, path in chance.sample(LOOKS, 3):
                seen.ask(client, kind, path)
            look_at_revision(client, seen)
            if chance.random() < 1 / 3:
                ask_for_quote(client, seen)


def look_at_revision(client: httpx.Client, seen: Seen) -> None:
    """Note whether a revision older than the published one is told."""
    published = seen.published
    answer = seen.ask(client, "interface", "/api/v1/models/knapweed")
    if published and answer and answer.status_code == 200:
        seen.stale += answer.json()["revision"]["number"] < 3


def ask_for_quote(client: httpx.Client, seen: Seen) -> None:
    """Ask, and look at what came of it."""
    name = f"Rider {token_urlsafe(8)}"
    form = {"name": name, "mail": "r@mail.example", "note": "", "key": token_urlsafe(18)}
    answer = seen.ask(client, "asking for a quote", "/quote/knapweed", **form)
    if answer is None or answer.status_code != 303:
        return
    link = answer.headers["location"].partition("#")[0]
    with seen.lock:
        seen.links[name] = link
    seen.ask(client, "the quote's page", link)


def work(address: str, seen: Seen, cookies: dict[str, str], number: int) -> None:
    """One of the staff: the inbox, a search, a quote."""
    chance = random.Random(number)  # noqa: S311  # no secret
    with visitor(address, 60_000 + number) as client:
        client.cookies.update(cookies)
        while not seen.stop.is_set():
            seen.ask(client, "counter", "/counter")
            seen.ask(client, "counter's search", "/counter?q=rider")
            if count := len(seen.links):
                year = datetime.now(UTC).year
                at = f"/counter/quotes/{year}-{chance.randint(1, count):04d}"
                seen.ask(client, "counter's quote", at)


def publish(engine: Engine, seen: Seen) -> None:
    """Publish a third revision of the Knapweed, as the office does, from a process of its own."""
    who = "Edda"
    with writing(engine) as session:
        number = begin_draft(session, who=who, model="knapweed").number
    with writing(engine) as session, one_save(session):
        revision = locked_revision(session, "knapweed", number)
        cells = {**cells_of(revision.sizes), "m.reach": "474.5"}
        save_cells(session, who=who, revision=revision, cells=cells)
    with writing(engine) as session:
        revision = locked_revision(session, "knapweed", number)
        words, stamp, day = proposed_changelog(session, revision), revision.stamp, datetime.now(UTC)
        publish_draft(session, who=who, revision=revision, stamp=stamp, words=words, on=day.date())
    seen.published = time.perf_counter()


def not_once(address: str, engine: Engine, seen: Seen) -> Iterator[str]:
    """Every confirmed quote that is not there, or not once."""
    with visitor(address, 63_000) as client:
        for name, link in seen.links.items():
            if name not in client.get(link).text:
                yield f"{name} is not on {link}"
    query = "SELECT customer_name, count(*) FROM quote GROUP BY customer_name"
    with reading(engine) as session:
        rows = session.connection().execute(text(query)).all()
        kept = {str(name): int(count) for name, count in rows}
    for name in seen.links:
        if kept.get(name) != 1:
            yield f"{name} is there {kept.get(name, 0)} times"


def show(seen: Seen, seconds: float) -> None:
    """Print the table."""
    total = sum(map(len, seen.times.values()))
    print(f"  {total} requests in {seconds:.0f} s: {total / seconds:.0f} a second")
    print(f"  {'':22}{'requests':>9}{'p50':>9}{'p95':>9}{'p99':>9}  [ms]")
    everything = [taken for times in seen.times.values() for taken in times]
    for kind, times in [*sorted(seen.times.items()), ("everything", everything)]:
        steps = statistics.quantiles(times, n=100) if len(times) > 1 else times * 99
        shown = "".join(f"{1000 * steps[at - 1]:9.0f}" for at in (50, 95, 99))
        print(f"  {kind:22}{len(times):9}{shown}")
    print("  answers: " + ", ".join(f"{what}: {n}" for what, n in sorted(seen.answers.items())))


def run(kind: str, seconds: float, riders: int) -> int:
    """Load one service; gives how much was wrong."""
    seen = Seen()
    with ExitStack() as stack:
        folder = stack.enter_context(folder_for_data())
        database = stack.enter_context(postgres()) if kind == "postgres" else None
        service = start(folder, database=database, words=WAYS[kind], LOG_LEVEL="warning")
        stack.callback(service.stop)
        settings = Settings(data_folder=folder, database_url=database)
        engine = stack.enter_context(opened(settings.database_address()))
        cookies = sign_in(service.address, service.first_link())
        people = [
            threading.Thread(target=ride, args=(service.address, seen, n)) for n in range(riders)
        ] + [
            threading.Thread(target=work, args=(service.address, seen, cookies, n))
            for n in range(STAFF)
        ]
        begun = time.perf_counter()
        for person in people:
            person.start()
        time.sleep(seconds / 2)
        publish(engine, seen)
        time.sleep(max(0, begun + seconds - time.perf_counter()))
        seen.stop.set()
        for person in people:
            person.join()
        show(seen, time.perf_counter() - begun)
        wrong = list(not_once(service.address, engine, seen))
        printed = list(service.printed)
    failed = sum(n for what, n in seen.answers.items() if not what.isdigit() or what >= "500")
    print(
        f"  {len(seen.links)} quotes confirmed, {len(wrong)} of them not there once; "
        f"{seen.stale} answers older than what was published; {failed} errors"
    )
    for line in [*wrong[:10], *[line for line in printed[2:] if "ERROR" in line][:10]]:
        print(f"  {line}")
    return len(wrong) + seen.stale + failed


def main(words: list[str]) -> int:
    """Run it on the databases named."""
    seconds = min(float(words[0]), LONGEST) if words else 20.0
    riders = min(int(words[1]), MOST_RIDERS) if len(words) > 1 else 8
    wrong = 0
    for kind in words[2:] or list(WAYS):
        print(f"{kind}, {WAYS[kind][1]} process(es), {riders} riders, {STAFF} staff", flush=True)
        wrong += run(kind, seconds, riders)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
