"""The application: settings in, a service out."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, nullcontext
from functools import cache

from fastapi import APIRouter, Depends, FastAPI, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.routing import iter_route_contexts
from sqlalchemy import Engine
from starlette.middleware.gzip import GZipMiddleware
from starlette.routing import BaseRoute

from webapp.accounts import pages as accounts
from webapp.accounts.pages.confirming import add_confirmation
from webapp.api import bench as api_bench
from webapp.api import changes as api_changes
from webapp.api import fit as api_fit
from webapp.api import match as api_match
from webapp.api import position as api_position
from webapp.api import routes as api
from webapp.api import slot as api_slot
from webapp.api.refusals import REFUSALS
from webapp.builds.choice.carried_build import PRESENT_KEY
from webapp.builds.page import pages as build
from webapp.catalogue import setup
from webapp.catalogue.reading.load import edition, edition_now
from webapp.catalogue.reading.shop_name import ShopFace, shop_face
from webapp.common.security.layers import (
    HeadAsGet,
    KnownHost,
    SameSiteWrites,
    SecurityHeaders,
    SmallRequests,
)
from webapp.common.settings import Settings
from webapp.common.storage.database import Limits, is_file, opened, reading
from webapp.common.storage.locking import together
from webapp.common.storage.public_source import PublicSource
from webapp.common.timestamps import now
from webapp.common.web import reader_units as units
from webapp.common.web.error_answers import add_failure_answers, domain_error, http_error
from webapp.common.web.kept_answers import KeptAnswers
from webapp.common.web.reader_units import ReaderUnits
from webapp.common.web.static_files import StaticFolder
from webapp.common.web.uncached import Naming, Unkept
from webapp.compare import pages as compare
from webapp.counter import all_pages as counter
from webapp.fit import pages as fit
from webapp.geometry_table import pages as table
from webapp.mail.sending import postman
from webapp.match.page import pages as matching
from webapp.match.page import range_pages as ranges
from webapp.monitoring import pages as watching
from webapp.monitoring.figures import Figures
from webapp.monitoring.layers import Kind, NotTooMany, Numbered
from webapp.office import pages as office
from webapp.office.own_shop import face_pages as face
from webapp.outcomes import demo as invented_outcomes
from webapp.present_bike import pages as present
from webapp.quote.customer_page import pages as quote
from webapp.quote.printing.with_mail import papers_with_mail
from webapp.quote.storage.search_index import renew_words
from webapp.quote.storage.write import mail_given_up
from webapp.rider.rider_input import BODY_KEYS, units_typed
from webapp.start_page import pages as start
from webapp.style_guide import pages as look

GZIP = 4  # three fifths of the time of the usual level, 6, for 8 % more bytes
LONGEST_ADDRESS = 12_000  # bytes; four builds with rider and the bike ridden now take about 5,000
LARGEST_BODY = 1_000_000  # bytes; the largest form is a customer's note

# What riders compute, quotes, the shop's own pages, and all the rest: signing in, styles, scripts.
# Python computes in one thread at a time, so a few are enough for what computes; the others wait
# their turn without a thread, and signing in always finds one.
_COMPUTED = frozenset({"build", "fit", "match", "side-by-side", "table", "api"})

# Where answers follow from the address and the catalogue, unless it holds a body's measures.
_FROM_THE_CATALOGUE = frozenset({"", "build", "fit", "side-by-side", "table", "api"})
KINDS = (
    Kind(segments=_COMPUTED, at_once=3, most=60),
    Kind(segments=frozenset({"quote", "q"}), at_once=4, most=100),
    Kind(segments=frozenset({"counter", "office"}), at_once=8, most=60),
    Kind(segments=frozenset(), at_once=12, most=100),
)

# The pages of every package. A new package adds its `pages.router` here.
PAGES: tuple[APIRouter, ...] = (
    look.router,
    start.router,
    fit.router,
    matching.router,
    ranges.router,
    present.router,
    build.router,
    compare.router,
    table.router,
    quote.router,
    accounts.router,
    counter.router,
    office.router,
    units.router,
)
# Routes for programs, or for parts of pages, which show no shop's name at their top.
INTERFACES: tuple[APIRouter, ...] = (
    face.router,
    watching.router,
    api.router,
    api_fit.router,
    api_match.router,
    api_position.router,
    api_slot.router,
    api_changes.router,
    api_bench.router,
)
ROUTERS = (*PAGES, *INTERFACES)


async def name_shop(request: Request) -> None:
    """Read the shop's name and look before a page is made that shows them."""
    engine: Engine = request.app.state.engine
    if is_file(engine):
        _read_shop(request.app, engine)
    else:
        await run_in_threadpool(_read_shop, request.app, engine)


def _read_shop(app: FastAPI, engine: Engine) -> None:
    with reading(engine) as session:
        app.state.shop = shop_face(session)


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    settings: Settings = app.state.settings
    settings.secret()
    address = settings.database_address()
    with together(address):  # so that no backup is put in its place meanwhile
        with opened(address) as preparing:  # a migration may take any time
            if setup.prepare(preparing):
                invented_outcomes.fill(preparing)
            renew_words(preparing)
        limits = Limits(
            connections=settings.database_pool,
            wait=settings.database_wait,
            statement=settings.database_timeout,
        )
        copy = settings.replica_address()
        with (
            opened(address, limits) as engine,
            opened(copy, limits) if copy else nullcontext() as replica,
        ):
            app.state.engine = engine
            app.state.public = PublicSource(engine, replica, edition)
            _read_shop(app, engine)
            papers = papers_with_mail(engine, settings.base_url or "")
            with postman(engine, settings, given_up=mail_given_up, attach=papers):
                yield


@cache
def _addresses() -> tuple[BaseRoute, ...]:
    """The table of routes, built once at the start: half a second that no visitor waits for."""
    house = APIRouter(responses=REFUSALS)
    for router in PAGES:
        house.include_router(router, dependencies=[Depends(name_shop)])
    for router in INTERFACES:
        house.include_router(router)
    list(iter_route_contexts(house.routes))  # else the first request of all would wait for it
    return tuple(house.routes)


def create_app(settings: Settings | None = None) -> FastAPI:
    """The service, ready to be run by an ASGI server.

    Parameters
    ----------
    settings : Settings, optional
        By default read from the environment.

    Returns
    -------
    FastAPI
        Its database is migrated, and filled when empty, when the server starts it.
    """
    app = FastAPI(
        title="Stancewright: bicycle geometry",
        summary="Sizes, exact builds and standing geometry, by the solver that draws the pages.",
        version="1",
        openapi_url="/api/v1/openapi.json",
        docs_url=None,  # the ready-made pages load scripts from elsewhere, which the policy forbids
        redoc_url=None,
        responses=REFUSALS,
        lifespan=_lifespan,
    )
    app.state.settings = settings or Settings()
    app.state.clock = now
    app.state.figures = Figures()
    app.state.shop = ShopFace()
    add_failure_answers(app)
    add_confirmation(app)
    app.add_middleware(SmallRequests, most=LARGEST_BODY, longest=LONGEST_ADDRESS, answer=http_error)
    app.add_middleware(SameSiteWrites, answer=domain_error)
    app.add_middleware(GZipMiddleware, minimum_size=1000, compresslevel=GZIP)
    app.add_middleware(NotTooMany, kinds=KINDS, answer=domain_error)
    app.add_middleware(
        KeptAnswers,
        areas=_FROM_THE_CATALOGUE,
        personal=Naming(BODY_KEYS),
        engine=lambda: app.state.engine,
        edition=edition_now,
    )
    app.add_middleware(ReaderUnits, typed=units_typed)
    app.add_middleware(Numbered, figures=app.state.figures)
    app.add_middleware(HeadAsGet)
    app.add_middleware(KnownHost, names=app.state.settings.known_names())
    app.add_middleware(Unkept, fields=(*BODY_KEYS, PRESENT_KEY))
    app.add_middleware(SecurityHeaders, behind_tls=app.state.settings.behind_tls)
    app.mount("/static", StaticFolder(), name="static")
    app.router.routes.extend(_addresses())
    return app
