"""A shop for dialogues, with an adjustable clock and people who come and go."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

import pytest
from fastapi import FastAPI
from sqlmodel import select

from tests.browser.dialogues.counting import Played
from tests.serving import served
from tests.webapp.accounts.conftest import Clock
from webapp.accounts.dependencies import cookie_name
from webapp.accounts.people import put_person
from webapp.accounts.sessions import open_session
from webapp.accounts.tables import STAFF, Account
from webapp.common.storage.database import writing

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser


class Shop:
    """A running service: its address, its clock, and who works there."""

    def __init__(self, address: str, app: FastAPI) -> None:
        self.address = address
        self.app = app
        self.clock = Clock()
        app.state.clock = self.clock

    def session_of(self, name: str) -> str:
        """Somebody of the shop, signed in now; gives their session."""
        mail, at = f"{name.lower()}@shop.example", self.clock()
        with writing(self.app.state.engine) as session:
            known = session.exec(select(Account).where(Account.mail == mail)).first()
            account = known or put_person(
                session, name=name, mail=mail, role=STAFF, who="test", at=at
            )
            account.active = True
            session.add(account)
            session.flush()
            return open_session(session, account, at=at)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory, _filled_sqlite: Path) -> Iterator[Shop]:
    """One module's shop: dialogues change its catalogue and its clock."""
    with served(tmp_path_factory.mktemp("dialogues"), _filled_sqlite) as (address, app):
        yield Shop(address, app)


Comes = Callable[..., Played]


@pytest.fixture
def comes(browser: Browser, shop: Shop) -> Iterator[Comes]:
    """Let somebody come: staff by name, signed in, or a rider; script errors fail the test."""
    faults: list[str] = []
    contexts = []

    def came(who: str, *, staff: bool = False, phone: bool = False) -> Played:
        context = browser.new_context(base_url=shop.address, locale="en-GB")
        contexts.append(context)
        if staff:
            name = cookie_name(behind_tls=False)
            token = shop.session_of(who)
            context.add_cookies([{"name": name, "value": token, "url": shop.address}])
        page = context.new_page()
        page.set_viewport_size(
            {"width": 360, "height": 740} if phone else {"width": 1440, "height": 900}
        )
        page.on("pageerror", lambda error: faults.append(str(error)))
        if staff:
            page.goto("/counter")
        return Played(page, who)

    yield came
    for context in contexts:
        context.close()
    assert faults == []
