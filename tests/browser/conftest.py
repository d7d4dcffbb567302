"""A service of a module's own, and its builder, signed in by the first link."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from fastapi import FastAPI

from tests.browser.signing_in import cookies_by_link, page_without_script_errors
from tests.serving import served
from webapp.accounts.links import link_for_builder
from webapp.common.storage.database import writing
from webapp.common.timestamps import now

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page


@dataclass(frozen=True)
class OwnService:
    """A running service, and the address at which its builder sets the first password."""

    address: str
    app: FastAPI
    first_link: str


@pytest.fixture(scope="module")
def own_service(
    tmp_path_factory: pytest.TempPathFactory, _filled_sqlite: Path
) -> Iterator[OwnService]:
    """A service of this module's own: what its tests write, no other module sees."""
    with served(tmp_path_factory.mktemp("own"), _filled_sqlite) as (address, app):
        with writing(app.state.engine) as session:
            path = link_for_builder(session, mail="bench@shop.example", at=now())
        yield OwnService(address, app, f"{address}{path}")


@pytest.fixture(scope="module")
def signed_in(browser: Browser, own_service: OwnService) -> Any:
    """Cookies of the builder, signed in through the first link."""
    return cookies_by_link(browser, own_service.first_link)


@pytest.fixture
def staff_page(browser: Browser, own_service: OwnService, signed_in: Any) -> Iterator[Page]:
    """The builder's browser, 1440 × 900; script errors fail the test."""
    yield from page_without_script_errors(browser, own_service.address, signed_in)
