"""One build and one rider follow through every link of every rider page."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING
from urllib.parse import parse_qs, urlencode, urlsplit

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

KEPT = {
    "size": "l",
    "fork": "suspension-150",
    "slot": "12",
    "stem": "50-0",
    "spacers": "20",
    "stature": "1830",
    "inseam": "870",
}
START = "/build/knapweed?" + "&".join(f"{name}={value}" for name, value in KEPT.items())
PATHS = ("/build/knapweed", "/build/knapweed/drive", "/fit/knapweed", "/table/knapweed",
         "/quote/knapweed")  # fmt: skip
AROUND = ("/side-by-side", "/match/knapweed")
RIDER_PAGES = ("/build", "/fit", "/table", "/side-by-side", "/match", "/quote")
OTHERS = re.compile(r"without|delete|forget|leave them out", re.IGNORECASE)
PLACES = ("Fit", "Match", "Build", "Side by side", "Geometry table")


def carried(address: str) -> dict[str, str]:
    """What an address says of the build and rider, also where they stand in one field."""
    query = parse_qs(urlsplit(address).query)
    if "build" in query:
        query = parse_qs(urlsplit(query["build"][0]).query)
    return {name: query.get(name, [""])[0] for name in KEPT}


@pytest.mark.parametrize("scripts", [True, False])
def test_every_place_of_the_site_keeps_build_and_rider(browser_page: Page, scripts: bool) -> None:
    page = browser_page
    if not scripts:
        browser = page.context.browser
        assert browser is not None
        page = browser.new_context(java_script_enabled=False, base_url=_base(page)).new_page()
    page.goto(START)
    for place in PLACES * 2:
        page.locator("#navigation").get_by_role("link", name=place, exact=True).click()
        assert carried(page.url) == KEPT, place
        assert page.locator("#navigation [aria-current]").inner_text() == place
        for other in PLACES:
            link = page.locator("#navigation").get_by_role("link", name=other, exact=True)
            assert carried(link.get_attribute("href") or "") == KEPT, (place, other)


def test_every_link_of_every_rider_page_keeps_the_rider(browser_page: Page) -> None:
    """Only what is for others leaves the measurements out, or deletes them, and says so."""
    page = browser_page
    page.goto(START)
    whole = urlsplit(page.locator("#navigation a[href^='/fit']").get_attribute("href") or "").query
    pages = [f"{path}?{whole}" for path in PATHS]
    pages += [f"{path}?{urlencode({'build': f'knapweed?{whole}'})}" for path in AROUND]
    dropped = []
    for address in pages:
        page.goto(address)
        for link in page.locator("a[href^='/']:not([href$='.json'])").all():
            href, words = link.get_attribute("href") or "", link.text_content() or ""
            known = carried(href)
            kept = known["stature"] == KEPT["stature"] and known["inseam"] == KEPT["inseam"]
            if href.startswith(RIDER_PAGES) and not kept and not OTHERS.search(words):
                dropped.append((address.partition("?")[0], words.strip(), href[:80]))
    assert dropped == []


def test_what_was_changed_in_place_goes_along(browser_page: Page) -> None:
    page = browser_page
    page.goto(START)
    page.get_by_label("Medium", exact=True).check()
    page.wait_for_url(lambda url: "size=m" in url)
    page.locator("#navigation").get_by_role("link", name="Fit", exact=True).click()
    assert carried(page.url) == KEPT | {"size": "m"}
    page.fill("#f-stature", "170 cm")
    page.wait_for_url(lambda url: "stature=170" in url)
    page.locator("#navigation").get_by_role("link", name="Build", exact=True).click()
    assert carried(page.url) == KEPT | {"size": "m", "stature": "1700"}


def test_the_saddle_of_every_size_is_the_riders(browser_page: Page) -> None:
    page = browser_page
    seats = []
    for address in (START, START.replace("inseam=870", "inseam=800")):
        page.goto(address.replace("/build/", "/table/"))
        found = page.locator('[data-figure^="effective_seat_angle"]').all()
        seats.append([each.get_attribute("data-value") for each in found])
    assert seats[0]
    assert seats[0] != seats[1]


def _base(page: Page) -> str:
    page.goto("/build/knapweed")
    return page.url.removesuffix("/build/knapweed")
