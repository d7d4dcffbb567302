"""Every route requested whole and in parts, and with one connection at a time."""

from __future__ import annotations

import ast
import inspect
import shutil
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi.routing import APIRoute
from fastapi.testclient import TestClient
from sqlalchemy import event

from tests.architecture.reading_code import modules
from tests.architecture.test_routes import ROUTES, routes_of
from webapp.accounts.dependencies import cookie_name
from webapp.accounts.people import put_person
from webapp.accounts.sessions import open_session
from webapp.accounts.tables import BUILDER
from webapp.app import ROUTERS, create_app
from webapp.common.settings import Settings
from webapp.common.storage.database import writing
from webapp.common.timestamps import now
from webapp.common.web import dependencies
from webapp.common.web.templating import PARTIAL_HEADER

TYPED = {"name": "Ada Marl", "mail": "ada@marl.example", "note": "", "key": "r" * 24}


# --- by structure --------------------------------------------------------------------


def api_routes(routers: Iterable[Any]) -> Iterator[APIRoute]:
    """Every route with what it depends on, however deeply its router is included."""
    for router in routers:
        for route in getattr(router, "routes", ()):
            if hasattr(route, "original_router"):
                yield from api_routes([route.original_router])
            elif isinstance(route, APIRoute):
                yield route


def calls_of(dependant: Any) -> set[object]:
    """All that is called for a route, however deeply it is depended on."""
    found = {dependant.call}
    for below in dependant.dependencies:
        found |= calls_of(below)
    return found


def test_no_route_is_given_two_sessions() -> None:
    sessions: set[object] = {dependencies._reading, dependencies._writing, dependencies._public}
    routes = list(api_routes(ROUTERS))
    assert len(routes) > 40
    assert [r.path for r in routes if len(sessions & calls_of(r.dependant)) > 1] == []


def test_no_page_opens_a_session_while_it_is_given_another() -> None:
    opened = {"reading", "writing"}
    guilty = [
        f"{module.name}.{function.name}"
        for module in modules("webapp")
        for function in ast.walk(module.tree)
        if isinstance(function, ast.FunctionDef)
        and any(ast.unparse(a.annotation or ast.Constant("")).endswith("Session") for a in
                [*function.args.args, *function.args.kwonlyargs])
        and any(isinstance(node, ast.Call) and getattr(node.func, "id", "") in opened
                for node in ast.walk(function))
    ]  # fmt: skip
    assert guilty == []


def test_health_waits_for_no_thread_and_no_database() -> None:
    (alive,) = (route for route in api_routes(ROUTERS) if route.path == "/health")
    assert inspect.iscoroutinefunction(alive.endpoint)
    assert calls_of(alive.dependant) == {alive.endpoint}


# --- asked ---------------------------------------------------------------------------


@pytest.fixture(scope="module")
def service(
    tmp_path_factory: pytest.TempPathFactory, _filled_sqlite: Path
) -> Iterator[tuple[TestClient, dict[str, str], list[int]]]:
    """A running service as the builder sees it, values for addresses, connections taken."""
    folder = tmp_path_factory.mktemp("asked")
    shutil.copy(_filled_sqlite, folder / "configurator.sqlite")
    app = create_app(Settings(data_folder=folder, database_url=None, base_url=None))
    with TestClient(app, follow_redirects=False, raise_server_exceptions=False) as client:
        made = client.post("/quote/knapweed", data=TYPED).headers["location"]
        with writing(app.state.engine) as session:
            mail, at = "b@shop.example", now()
            person = put_person(session, name="B", mail=mail, role=BUILDER, who="t", at=at)
            client.cookies.set(cookie_name(behind_tls=False), open_session(session, person, at=at))
        things = {"token": made.rpartition("/")[2], "model": "knapweed", "number": "1"}
        taken: list[int] = []
        pool = app.state.engine.pool
        event.listen(pool, "checkout", lambda *_: taken.append(pool.checkedout()))
        yield client, things, taken


def filled(path: str, things: dict[str, str]) -> str:
    """A route's path with existing things in place of its parameters."""
    if path.startswith("/counter/quotes/"):
        things = things | {"number": f"{now().year}-0001"}
    for name, thing in things.items():
        path = path.replace(f"{{{name}}}", thing)
    return path.replace("{", "").replace("}", "")


GETS = [path for method, path in ROUTES if method == "GET"]


@pytest.mark.parametrize("path", GETS)
def test_a_part_is_answered_wherever_a_page_is(
    service: tuple[TestClient, dict[str, str], list[int]], path: str
) -> None:
    client, things, taken = service
    taken.clear()
    whole = client.get(filled(path, things))
    part = client.get(filled(path, things), headers={PARTIAL_HEADER: "partial"})
    assert whole.status_code == part.status_code
    assert part.status_code < 500
    assert max(taken, default=0) <= 1


def test_most_addresses_were_really_answered(
    service: tuple[TestClient, dict[str, str], list[int]],
) -> None:
    client, things, _ = service
    answered = [path for path in GETS if client.get(filled(path, things)).status_code == 200]
    assert len(answered) > len(GETS) / 2


def test_the_routes_asked_are_all_there_are() -> None:
    assert {path for _, path in routes_of(ROUTERS)} >= set(GETS)
