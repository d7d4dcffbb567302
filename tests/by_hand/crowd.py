"""Crowds: how many wait, how many are told to come back, and whether others notice.

    python -m tests.by_hand.crowd

Two hundred riders ask for a quote in the same moment; then 45 addresses of the costliest builds
that a search finds are opened at once while somebody signs in. Printed are the answers, how long
they took, and how long ``/health`` and signing in took meanwhile. Aim: no answer but a page or a
word to come back, ``/health`` below 100 ms, signing in below two seconds.
"""

from __future__ import annotations

import random
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from urllib.parse import urlencode

import httpx

from tests.by_hand.hostile import PASSWORD, sign_in
from tests.by_hand.running import folder_for_data, start, visitor
from tests.webapp.builds.suggestions.test_work import built, some_build
from webapp.builds.page.check_view import check_lists
from webapp.builds.page.context import repair_links
from webapp.builds.suggestions.work import Work
from webapp.catalogue import setup
from webapp.catalogue.reading.load import load_catalogue
from webapp.common.storage.database import make_engine, reading

ASKING, COSTLY, SEARCHED = 200, 45, 400
HEALTHY, SIGNED_IN = 0.1, 2.0  # s


def costly_addresses() -> list[str]:
    """The builds whose pages compute most, of many made by chance; prints the worst."""
    engine, chance = make_engine("sqlite://"), random.Random(45)  # noqa: S311  # no secret
    setup.prepare(engine)
    with reading(engine) as session:
        catalogue = load_catalogue(session, "knapweed")
    engine.dispose()
    found: list[tuple[float, str]] = []
    for _ in range(SEARCHED):
        query = some_build(chance, catalogue)
        result = built(catalogue, query)
        if result is None:
            continue
        begun, work = time.process_time(), Work()
        repair_links(result, check_lists(result, work), work)
        taken = time.process_time() - begun
        found.append((taken, f"/build/knapweed?{urlencode(query, doseq=True)}"))
    found.sort(reverse=True)
    times = [taken for taken, _ in found]
    print(f"ways out of {len(found)} builds by chance: worst {1e3 * times[0]:.0f} ms, "
          f"middle {1e3 * times[len(times) // 2]:.0f} ms of computing")  # fmt: skip
    return [address for _, address in found[:COSTLY]]


def timed(ask: Callable[[], httpx.Response]) -> tuple[int, float]:
    """Status and time of an answer; 0 for none."""
    begun = time.perf_counter()
    try:
        status = ask().status_code
    except httpx.HTTPError:
        status = 0
    return status, time.perf_counter() - begun


# A process of its own: a crowd of threads in this one would be measured with the service.
_WATCH = """
import http.client, select, sys, time
host, port = sys.argv[1].rpartition("//")[2].split(":")
connection = http.client.HTTPConnection(host, int(port), timeout=60)
while not select.select([sys.stdin], [], [], 0.05)[0]:
    begun = time.perf_counter()
    connection.request("GET", "/health")
    connection.getresponse().read()
    print(time.perf_counter() - begun)
"""


@contextmanager
def watching(address: str) -> Iterator[list[float]]:
    """How long ``/health`` takes, asked twenty times a second."""
    taken: list[float] = []
    watcher = subprocess.Popen(  # ourselves
        [sys.executable, "-c", _WATCH, address],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        yield taken
    finally:
        said, _ = watcher.communicate("stop")
        taken += map(float, said.split())


def report(what: str, answers: list[tuple[int, float]], health: list[float]) -> None:
    """Print what was answered."""
    statuses = Counter(status for status, _ in answers)
    times = sorted(taken for _, taken in answers)
    print(f"{what}: " + ", ".join(f"{status}: {many}" for status, many in sorted(statuses.items())))
    print(f"  middle {times[len(times) // 2]:.2f} s, slowest {times[-1]:.2f} s; /health asked "
          f"{len(health)} times: middle {1e3 * sorted(health)[len(health) // 2]:.0f} ms, slowest "
          f"{1e3 * max(health):.0f} ms", flush=True)  # fmt: skip


def everybody_asks(address: str) -> bool:
    """Two hundred quotes asked for at once."""

    def ask(number: int) -> tuple[int, float]:
        typed = {"name": f"Rider {number}", "mail": f"r{number}@mail.example", "note": "",
                 "key": f"{number:024d}"}  # fmt: skip
        headers = {"Sec-Fetch-Site": "same-origin"}
        with visitor(address, number, timeout=120) as client:
            return timed(lambda: client.post("/quote/knapweed", data=typed, headers=headers))

    with watching(address) as health, ThreadPoolExecutor(ASKING) as riders:
        answers = list(riders.map(ask, range(ASKING)))
    report(f"{ASKING} ask for a quote at once", answers, health)
    return {status for status, _ in answers} <= {303, 503} and max(health) < HEALTHY


def all_costly(address: str, addresses: list[str], mail: str) -> bool:
    """The costliest builds opened at once, while somebody signs in."""

    def fetch(number: int) -> tuple[int, float]:
        with visitor(address, 1000 + number, timeout=120) as client:
            return timed(lambda: client.get(addresses[number]))

    def enter() -> tuple[int, float]:
        form = {"mail": mail, "password": PASSWORD}
        with visitor(address, 5000) as client:
            headers = {"Sec-Fetch-Site": "same-origin"}
            return timed(lambda: client.post("/sign-in", data=form, headers=headers))

    with watching(address) as health, ThreadPoolExecutor(COSTLY + 1) as riders:
        fetching = [riders.submit(fetch, number) for number in range(len(addresses))]
        time.sleep(0.2)
        status, taken = riders.submit(enter).result()
        answers = [each.result() for each in fetching]
    report(f"{len(addresses)} costly builds at once", answers, health)
    print(f"  signing in meanwhile: {status} after {taken:.2f} s")
    good = {status for status, _ in answers} <= {200, 503} and status in {200, 303}
    return good and taken < SIGNED_IN and max(health) < HEALTHY


def main() -> int:
    """Run both."""
    addresses = costly_addresses()
    with folder_for_data() as folder:
        service = start(folder)
        sign_in(service.address, service.first_link())
        with visitor(service.address, 1) as client:
            client.get("/fit")  # what is read once is read
        mail = "bench@cinderholt.example"
        good = everybody_asks(service.address)
        good &= all_costly(service.address, addresses, mail)
        service.stop()
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
