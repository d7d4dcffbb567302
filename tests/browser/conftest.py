"""A service of a module's own, and its builder, signed in by the first link."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from tests.browser.signing_in import (
    OwnService,
    cookies_by_link,
    own_service_in,
    page_without_script_errors,
)

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page


@pytest.fixture(scope="module")
def own_service(
    tmp_path_factory: pytest.TempPathFactory, _filled_sqlite: Path
) -> Iterator[OwnService]:
    """A service of this module's own: what its tests write, no other module sees."""
    with own_service_in(tmp_path_factory.mktemp("own"), _filled_sqlite) as service:
        yield service


@pytest.fixture(scope="module")
def signed_in(browser: Browser, own_service: OwnService) -> Any:
    """Cookies of the builder, signed in through the first link."""
    return cookies_by_link(browser, own_service.first_link)


@pytest.fixture
def staff_page(browser: Browser, own_service: OwnService, signed_in: Any) -> Iterator[Page]:
    """The builder's browser; script errors fail the test."""
    yield from page_without_script_errors(browser, own_service.address, signed_in)
