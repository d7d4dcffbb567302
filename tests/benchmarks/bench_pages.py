"""How quickly riders' pages are answered, beside a bare page of the same framework and size.

    python -m tests.benchmarks.bench_pages

Every request passes through the whole service (its layers, database, templates), called in this
process, so that no network is measured; times are of the processor. The bare page is FastAPI and
Jinja giving the very text of a build page, not compressed, while the service compresses. It is
asked between our pages, so that a busy machine slows both and the share stays. Aims, on a core of
which the bare page is answered 1,300 times a second: a build never seen, with a rider and
everything judged, within 30 ms, one seen since the last publication within 3 ms, the table
likewise; at least 400 a second of the 100 most asked addresses and 40 of new ones, which is
31 % and 3 % of the bare page; with 500 stems a build page within 60 ms, the effect of an edit
within 1 s, a file of 500 parts within 3 s.
"""

from __future__ import annotations

import asyncio
import random
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from urllib.parse import urlencode

import httpx
from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse
from jinja2 import DictLoader, Environment

from webapp.builds.choice.places import PLACES
from webapp.catalogue import setup
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.common.settings import Settings
from webapp.common.storage.database import make_engine, reading, writing
from webapp.office.effect.summary import effect_of
from webapp.office.parts.csv_files import read_file
from webapp.office.parts.csv_import import save_rows, try_file
from webapp.serving import service

NEW, ASKED, ROUNDS = 60, 100, 5
STEMS = 500


def bare(text: str) -> FastAPI:
    """A service of one page, made of nothing but its text."""
    app = FastAPI()
    template = Environment(
        loader=DictLoader({"page": "{{ text }}"}),
        autoescape=False,  # noqa: S701  # trusted text
    ).get_template("page")

    @app.get("/")
    async def page(request: Request) -> HTMLResponse:
        del request
        return HTMLResponse(template.render(text=text))

    return app


class Visitor:
    """Asks a service in this process, and notes the processor time of every answer [ms]."""

    def __init__(self, app: FastAPI) -> None:
        self.loop = asyncio.new_event_loop()
        transport = httpx.ASGITransport(app=app)
        self.client = httpx.AsyncClient(transport=transport, base_url="http://localhost")
        self.life = app.router.lifespan_context(app)
        self.loop.run_until_complete(self.life.__aenter__())

    def ask(self, addresses: Iterable[str]) -> list[float]:
        """Times of answers, one after another."""
        return self.loop.run_until_complete(self._ask(addresses))

    async def _ask(self, addresses: Iterable[str]) -> list[float]:
        times = []
        for address in addresses:
            begun = time.process_time()
            request = self.client.build_request("GET", address)
            answer = await self.client.send(request, stream=True)
            async for _ in answer.aiter_raw():  # unpacking is the visitor's own work
                pass
            times.append(1e3 * (time.process_time() - begun))
            assert answer.status_code < 400, (answer.status_code, address)
        return times

    def text(self, address: str) -> str:
        """One answer's text."""
        return self.loop.run_until_complete(self.client.get(address)).text

    def leave(self) -> None:
        """End the service."""
        self.loop.run_until_complete(self.life.__aexit__(None, None, None))
        self.loop.close()


def addresses(catalogue: Catalogue, dice: random.Random, count: int, *, rider: bool) -> list[str]:
    """Builds that differ from the usual one in a few parts and in where the axle is."""
    found = []
    for _ in range(count):
        size = dice.choice(catalogue.sizes)
        query = {"size": size.slug, "slot": f"{dice.uniform(0, size.data.slot_length):.1f}"}
        for place in dice.sample(PLACES, dice.choice((1, 1, 2, 3))):
            offered = catalogue.offered(place.kind)
            if offered:
                query[place.name] = dice.choice(offered).slug
        if rider:
            query |= {
                "stature": f"{dice.randint(1560, 1940)} mm",
                "weight": f"{dice.randint(52, 98)} kg",
            }
        found.append(f"/build/{catalogue.model.slug}?{urlencode(query)}")
    return found


def report(name: str, visitor: Visitor, asked: Sequence[str], empty: Visitor) -> None:
    """Ask in turns with the bare page; middle and late times, pages a second of both, the share."""
    times: list[float] = []
    alone: list[float] = []
    for address in asked:
        times += visitor.ask([address])
        alone += empty.ask(["/"] * 3)
    middle, late = statistics.median(times), statistics.quantiles(times, n=20)[-1]
    ours, bare_ones = 1e3 / statistics.fmean(times), 1e3 / statistics.fmean(alone)
    sys.stdout.write(
        f"{name:44s} {middle:7.2f} ms  {late:7.2f} ms  {ours:7.0f}/s of {bare_ones:6.0f}/s: "
        f"{100 * ours / bare_ones:5.1f} %\n"
    )


def pages(folder: Path) -> None:
    """The demo's pages, new and seen, beside a bare page."""
    app = service(Settings(data_folder=folder, database_url=None, base_url=None))
    visitor, dice = Visitor(app), random.Random(15)  # noqa: S311  # not a secret
    with reading(app.state.engine) as session:
        catalogue = load_catalogue(session, "knapweed")
    empty = Visitor(bare(visitor.text("/build/knapweed")))
    empty.ask(["/"] * 50)
    sys.stdout.write(f"{'':44s} {'middle':>10s}  {'95 in 100':>10s}  a second, of bare pages\n")
    visitor.ask(addresses(catalogue, dice, NEW, rider=True))  # as after some minutes of use

    def line(name: str, asked: Sequence[str]) -> None:
        report(name, visitor, asked, empty)

    line("build, never seen, rider, all judged", addresses(catalogue, dice, NEW, rider=True))
    line("build, never seen, no rider", addresses(catalogue, dice, NEW, rider=False))
    asked = addresses(catalogue, dice, ASKED, rider=False)
    asked[::10] = [a.replace("/build/", "/table/") for a in asked[::10]]
    asked[0], asked[1], asked[2] = "/fit/knapweed", "/build/burdock", "/side-by-side?build=knapweed"
    visitor.ask(asked)
    line("the 100 most asked", asked * ROUNDS)
    tables = [a.replace("/build/", "/table/") for a in addresses(catalogue, dice, NEW, rider=False)]
    line("table, never seen", tables)
    line("table, seen", tables * ROUNDS)
    fits = [
        f"/fit/knapweed?stature={dice.randint(1600, 1900)}+mm&weight={dice.randint(50, 95)}+kg"
        for _ in range(30)
    ]
    line("fit, never seen", fits)
    visitor.leave()
    empty.leave()


def stems(count: int) -> bytes:
    """A file of so many stems."""
    head = "kind,slug,name,price,models,length,angle,clamp_height,bar_diameter,steerer_diameter"
    rows = (
        f"stem,new-{n},Stem {n},{40 + n % 50}.00,knapweed,{35 + n % 90},{n % 7 - 3},40,"
        f"{(31.8, 35)[n % 2]},28.6"
        for n in range(count)
    )
    return "\n".join([head, *rows]).encode()


def timed(name: str, work: Callable[[], object]) -> None:
    """Print the processor time of one piece of work."""
    begun = time.process_time()
    work()
    sys.stdout.write(f"{name:44s} {1e3 * (time.process_time() - begun):7.0f} ms\n")


def many_stems(folder: Path) -> None:
    """The same shop with 500 stems: its file, the effect of an edit, its build page."""
    engine = make_engine(f"sqlite:///{folder / 'configurator.sqlite'}")
    at = datetime.now(UTC)

    def bring() -> None:
        with reading(engine) as session:
            trial = try_file(session, read_file(stems(STEMS)), day=at.date())
        with writing(engine) as session:
            save_rows(session, trial, who="by hand", at=at)

    timed(f"a file of {STEMS} stems brought in", bring)
    with reading(engine) as session:
        before, after = (load_catalogue(session, "knapweed", number) for number in (1, 2))
    timed(
        "effect of an edit with them, nothing known",
        lambda: effect_of(replace(before), replace(after)),
    )
    engine.dispose()
    app = service(Settings(data_folder=folder, database_url=None, base_url=None))
    visitor, dice = Visitor(app), random.Random(16)  # noqa: S311  # not a secret
    empty = Visitor(bare(visitor.text("/build/knapweed")))
    visitor.ask(addresses(after, dice, NEW, rider=True))
    asked = addresses(after, dice, NEW, rider=True)
    report(f"build, never seen, rider, {STEMS} stems", visitor, asked, empty)
    visitor.leave()
    empty.leave()


def main() -> None:
    """Measure and print."""
    folder = Path(tempfile.mkdtemp(prefix="bench-"))
    try:
        engine = make_engine(f"sqlite:///{folder / 'configurator.sqlite'}")
        setup.prepare(engine)
        engine.dispose()
        pages(folder)
        many_stems(folder)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


if __name__ == "__main__":
    main()
