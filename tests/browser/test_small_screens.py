"""Every main page on small screens: nothing cut off, nothing hidden at the edge, no narrow cell."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import quote

import pytest

from tests.browser.overflow.cut_off import cut_off
from tests.browser.signing_in import cookies_by_link
from tests.serving import served
from tests.webapp.quote.conftest import CUSTOMER
from webapp.accounts.links import link_for_builder
from webapp.builds.choice.build_choice import read_choice
from webapp.catalogue.reading.load import load_catalogue
from webapp.common.storage.database import reading, writing
from webapp.common.timestamps import now
from webapp.quote.lifecycle.request import ask_for_quote

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

WIDTHS = (320, 360, 412)
RIDER = "stature=175+cm&inseam=82+cm&weight=75+kg"
COMPARED = f"build={quote('knapweed?size=m')}&build={quote('knapweed?size=l&fork=suspension-150')}"
PUBLIC = (
    "/",
    f"/fit/knapweed?{RIDER}",
    "/match/knapweed",
    "/build/knapweed",
    f"/build/knapweed?{RIDER}&state=sagged&luggage=12",
    "/build/knapweed?hub=hub-gear-6-135&own=saddle",
    "/build/knapweed?slot=99",
    f"/side-by-side?{COMPARED}",
    "/table/knapweed",
    "/quote/knapweed?slot=7.5",
    "/components",
)
STAFF = (
    "/counter",
    "/counter/new/knapweed",
    "/counter/quotes/{number}",
    "/office",
    "/office/models/knapweed",
    "/office/models/knapweed/changes?from=1&to=2",
    "/office/parts?kind=fork",
)


@pytest.fixture(scope="module")
def shop(
    tmp_path_factory: pytest.TempPathFactory, _filled_sqlite: Path
) -> Iterator[dict[str, str]]:
    """A running service with one quote: its address, the quote's, and the builder's first link."""
    with served(tmp_path_factory.mktemp("small"), _filled_sqlite) as (address, app):
        with reading(app.state.engine) as session:
            catalogue = load_catalogue(session, "knapweed")
        choice = read_choice(catalogue, {"size": ["m"]}).strict()
        with writing(app.state.engine) as session:
            made = ask_for_quote(session, catalogue, choice, CUSTOMER, form_key="", at=now())
            link = link_for_builder(session, mail="bench@shop.example", at=now())
        yield {"address": address, "number": made.number, "token": made.token, "link": link or ""}


@pytest.fixture(scope="module")
def phone(browser: Browser, shop: dict[str, str]) -> Iterator[Page]:
    """A phone on which the builder is signed in."""
    cookies = cookies_by_link(browser, shop["address"] + shop["link"])
    context = browser.new_context(base_url=shop["address"], storage_state=cookies)
    yield context.new_page()
    context.close()


@pytest.mark.parametrize(
    "address",
    [
        "/table/knapweed",
        "/table/knapweed/embed",
        "/build/knapweed",  # the longest dropper, folded
        "/office/models/knapweed/1",
        "/office/models/knapweed/changes?from=1&to=2",
    ],
)
def test_sizes_in_tables_are_abbreviated_and_say_their_names(phone: Page, address: str) -> None:
    for width, style in ((360, "name-short"), (1440, "name-whole")):
        phone.set_viewport_size({"width": width, "height": 740})
        phone.goto(address)
        phone.evaluate(
            "document.querySelectorAll('details').forEach(fold => { fold.open = true; })"
        )
        names = phone.locator(f"table th .{style}:visible")
        assert {"Extra large", "XL"} & set(names.all_inner_texts()), width
        other = "name-whole" if style == "name-short" else "name-short"
        assert phone.locator(f"table .{other}:visible").count() == 0, width
    short = phone.locator('table th abbr.name-short[title="Extra large"]').first
    assert short.text_content() == "XL"


@pytest.mark.parametrize("address", [*PUBLIC, "/q/{token}", *STAFF])
def test_nothing_is_cut_off(phone: Page, shop: dict[str, str], address: str) -> None:
    for width in WIDTHS:
        phone.set_viewport_size({"width": width, "height": 740})
        phone.goto(address.format(**shop))
        assert cut_off(phone) == [], width
