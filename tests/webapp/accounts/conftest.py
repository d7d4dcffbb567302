"""Accounts for tests: a clock that can be turned, people with passwords."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from webapp.accounts import people
from webapp.accounts.dependencies import cookie_name
from webapp.accounts.passwords import hash_password
from webapp.common.storage.database import writing

PASSWORD = "kiln heather axle"


class Clock:
    """A clock that stands still until it is turned."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now

    def turn(self, **by: float) -> None:
        self.now += timedelta(**by)


@pytest.fixture
def at(app: FastAPI) -> Clock:
    """The clock of the service under test."""
    turned = Clock()
    app.state.clock = turned
    return turned


@pytest.fixture(scope="session")
def password_hash() -> str:
    """One hash for all tests; making it takes a tenth of a second."""
    return hash_password(PASSWORD)


MakePerson = Callable[..., int]


@pytest.fixture
def put_person(client: TestClient, at: Clock, app: FastAPI, password_hash: str) -> MakePerson:
    """Make an account with `PASSWORD`; gives its number."""

    def put(role: str, name: str = "Edda", *, active: bool = True) -> int:
        with writing(app.state.engine) as session:
            made = people.put_person(
                session, name=name, mail=f"{name}@shop.example", role=role, who="test", at=at()
            )
            made.password_hash = password_hash
            made.active = active
            session.add(made)
            return people.account_id(made)

    return put


def sign_in(client: TestClient, name: str = "Edda", password: str = PASSWORD) -> int:
    """Sign in as somebody; gives the status."""
    form = {"mail": f"{name}@shop.example", "password": password}
    # A browser says where a form comes from; a client with a cookie that does not is refused.
    status: int = client.post("/sign-in", data=form, headers=SAME).status_code
    return status


SAME = {"Sec-Fetch-Site": "same-origin"}
COOKIE = cookie_name(behind_tls=False)
