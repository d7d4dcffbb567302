"""Every route for every role: nothing of the shop is open to riders, nothing of riders is closed.

The rule is by address, so that a new route is tested the moment it is there.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from webapp.accounts.dependencies import cookie_name
from webapp.accounts.people import account_of, put_person
from webapp.accounts.sessions import open_session
from webapp.accounts.tables import BUILDER, STAFF
from webapp.app import ROUTERS, create_app
from webapp.common.settings import Settings
from webapp.common.storage.database import writing
from webapp.common.timestamps import now

RIDER = "rider"
SHOP = {STAFF, BUILDER}

# The builder alone; a place inside the counter comes before the counter. The bench stands in the
# office, and anybody of the shop measures there.
BUILDERS = re.compile(r"/office(?!/bench(/|$))(/|$)|/counter/(records|customers/.+)/erase")
STAFFS = re.compile(r"/counter(/|$)|/office/bench(/|$)|/account(/(?!link/)|$)")


def may(path: str) -> set[str]:
    """The roles a route is open to."""
    if BUILDERS.match(path):
        return {BUILDER}
    return SHOP if STAFFS.match(path) else {RIDER, *SHOP}


def routes_of(routers: Iterable[object]) -> Iterator[tuple[str, str]]:
    """Method and path of every route, however deeply its router is included."""
    for router in routers:
        for route in getattr(router, "routes", ()):
            if hasattr(route, "original_router"):
                yield from routes_of([route.original_router])
            else:
                yield from ((method, route.path) for method in sorted(route.methods))


ROUTES = sorted(set(routes_of(ROUTERS)))


def filled(path: str, something: str = "1") -> str:
    """A path with something in the place of its parameters."""
    return re.sub(r"\{[^}]*\}", something, path)


Asks = dict[str, TestClient]


@pytest.fixture(scope="module")
def service(
    tmp_path_factory: pytest.TempPathFactory, _filled_sqlite: Path
) -> Iterator[tuple[TestClient, dict[str, int]]]:
    """A running service with one person of each role."""
    folder = tmp_path_factory.mktemp("roles")
    shutil.copy(_filled_sqlite, folder / "configurator.sqlite")
    app = create_app(Settings(data_folder=folder, database_url=None, base_url=None))
    with TestClient(app, follow_redirects=False, raise_server_exceptions=False) as client:
        people = {}
        with writing(app.state.engine) as session:
            for role in (BUILDER, STAFF):
                made = put_person(
                    session, name=role, mail=f"{role}@s.example", role=role, who="t", at=now()
                )
                people[role] = made.id or 0
        yield client, people


@pytest.mark.parametrize("role", [RIDER, STAFF, BUILDER])
@pytest.mark.parametrize(("method", "path"), ROUTES)
def test_every_route_for_every_role(
    service: tuple[TestClient, dict[str, int]], method: str, path: str, role: str
) -> None:
    client, people = service
    headers = {"Sec-Fetch-Site": "same-origin"}
    if role != RIDER:
        with writing(client.app.state.engine) as session:  # type: ignore[attr-defined]
            token = open_session(session, account_of(session, people[role]), at=now())
        headers["Cookie"] = f"{cookie_name(behind_tls=False)}={token}"
    answer = client.request(method, filled(path), headers=headers)
    sent_away = answer.headers.get("location", "").startswith("/sign-in?next=")
    if role in may(path):
        assert not sent_away
        assert answer.status_code not in {401, 403}
        assert answer.status_code < 500
    elif role == RIDER:
        assert sent_away if not path.startswith("/api/") else answer.status_code == 401
    else:
        assert answer.status_code == 403


@pytest.mark.parametrize("odd", ["9" * 30, "9" * 5000, "-1", "%C2%B2", "%00", "..%2F.."])
def test_nothing_odd_in_an_address_breaks_a_route(
    service: tuple[TestClient, dict[str, int]], odd: str
) -> None:
    client, people = service
    query = f"?rev={odd}&before={odd}&from={odd}&to={odd}"
    broken = []
    for method, path in ROUTES:
        with writing(client.app.state.engine) as session:  # type: ignore[attr-defined]
            token = open_session(session, account_of(session, people[BUILDER]), at=now())
        headers = {
            "Sec-Fetch-Site": "same-origin",
            "Cookie": f"{cookie_name(behind_tls=False)}={token}",
        }
        answer = client.request(method, filled(path, odd) + query, headers=headers)
        if answer.status_code >= 500:
            broken.append((method, path))
    assert broken == []


def test_the_list_of_routes_is_complete() -> None:
    paths = {path for _, path in ROUTES}
    assert {"/", "/health", "/counter", "/sign-in", "/office/people", "/q/{token}"} - paths <= {"/"}
    assert len(ROUTES) > 40
    assert {tuple(sorted(may(path))) for path in paths} == {
        ("builder",),
        ("builder", "staff"),
        ("builder", "rider", "staff"),
    }
