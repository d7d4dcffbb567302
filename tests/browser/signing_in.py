"""A service of a test's own, and its builder's first visit, by the link that sets a password."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fastapi import FastAPI

from tests.browser.accessible import violations
from tests.serving import served
from webapp.accounts.links import link_for_builder
from webapp.common.storage.database import writing
from webapp.common.timestamps import now

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

PASSWORD = "kiln heather axle"


@dataclass(frozen=True)
class OwnService:
    """A running service, and the address at which its builder sets the first password."""

    address: str
    app: FastAPI
    first_link: str


@contextmanager
def own_service_in(folder: Path, filled: Path) -> Iterator[OwnService]:
    """Serve from a folder, with a copy of a filled SQLite file; its builder has a first link."""
    with served(folder, filled) as (address, app):
        with writing(app.state.engine) as session:
            path = link_for_builder(session, mail="bench@shop.example", at=now())
        yield OwnService(address, app, f"{address}{path}")


def cookies_by_link(browser: Browser, link: str) -> Any:
    """Cookies of the builder, signed in through the first link."""
    context = browser.new_context()
    page = context.new_page()
    page.goto(link)
    assert violations(page) == []
    page.fill("#f-password", PASSWORD)
    page.fill("#f-again", PASSWORD)
    page.press("#f-again", "Enter")
    page.wait_for_url("**/counter")
    state = context.storage_state()
    context.close()
    return state


def page_without_script_errors(browser: Browser, address: str, signed_in: Any) -> Iterator[Page]:
    """A page of 1440 × 900 for somebody signed in; script errors fail the test."""
    context = browser.new_context(
        base_url=address,
        storage_state=signed_in,
        viewport={"width": 1440, "height": 900},
        locale="en-GB",
    )
    page = context.new_page()
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on("console", lambda line: faults.append(line.text) if line.type == "error" else None)
    yield page
    context.close()
    # Answers such as the 422 of a form are logged as well, which a test may want.
    assert [fault for fault in faults if not fault.startswith("Failed to load resource")] == []
