"""Every main page on small screens: nothing cut off, nothing hidden at the edge, no narrow cell."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

import pytest

from tests.browser.overflow.cut_off import cut_off
from tests.webapp.quote.conftest import CUSTOMER
from webapp.builds.choice.build_choice import read_choice
from webapp.catalogue.reading.load import load_catalogue
from webapp.common.storage.database import reading, writing
from webapp.common.timestamps import now
from webapp.quote.lifecycle.request import ask_for_quote

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

    from tests.browser.signing_in import OwnService

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
def one_quote(own_service: OwnService) -> dict[str, str]:
    """One quote: its number, and the end of its customer's link."""
    with reading(own_service.app.state.engine) as session:
        catalogue = load_catalogue(session, "knapweed")
    choice = read_choice(catalogue, {"size": ["m"]}).strict()
    with writing(own_service.app.state.engine) as session:
        made = ask_for_quote(session, catalogue, choice, CUSTOMER, form_key="", at=now())
    return {"number": made.number, "token": made.token}


@pytest.fixture(scope="module")
def phone(browser: Browser, own_service: OwnService, signed_in: Any) -> Iterator[Page]:
    """A phone on which the builder is signed in."""
    context = browser.new_context(base_url=own_service.address, storage_state=signed_in)
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
def test_nothing_is_cut_off(phone: Page, one_quote: dict[str, str], address: str) -> None:
    for width in WIDTHS:
        phone.set_viewport_size({"width": width, "height": 740})
        phone.goto(address.format(**one_quote))
        assert cut_off(phone) == [], width
