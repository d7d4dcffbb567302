"""Asking for a quote in a real browser, down to the sheet and its file."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import pypdf
import pytest

from tests.browser.accessible import violations
from webapp.builds.choice.build_choice import read_choice
from webapp.catalogue.reading.load import load_catalogue
from webapp.common.storage.database import reading, writing
from webapp.common.timestamps import day_of, now
from webapp.quote.agreed_terms.deal import Deal
from webapp.quote.customer import Customer
from webapp.quote.freezing.freeze_build import freeze
from webapp.quote.lifecycle.request import orderable, with_rider
from webapp.quote.storage.write import put_quote

if TYPE_CHECKING:
    from fastapi import FastAPI
    from playwright.sync_api import Browser, Page

    from tests.browser.signing_in import OwnService

pytestmark = pytest.mark.browser

BUILD = "/quote/knapweed?slot=7.5"


def fits(page: Page, width: int) -> bool:
    page.set_viewport_size({"width": width, "height": 900})
    return bool(page.evaluate("document.documentElement.scrollWidth") <= width)


def fill(page: Page, *, name: str = "Ada Marl", mail: str = "ada@marl.example") -> None:
    page.get_by_label("Your name").fill(name)
    page.get_by_label("Mail address").fill(mail)
    page.get_by_label("Note to the shop").fill("Mostly forest tracks.")


@pytest.fixture
def form(browser_page: Page) -> Page:
    """The form, ready."""
    browser_page.goto(BUILD)
    return browser_page


@pytest.mark.parametrize("width", [320, 1440])
def test_form_and_sheet_are_accessible_and_never_too_wide(form: Page, width: int) -> None:
    assert fits(form, width)
    assert violations(form) == []
    fill(form)
    form.get_by_role("button", name="Get the quote").click()
    form.wait_for_url("**/q/*")
    assert fits(form, width)
    assert violations(form) == []


def test_a_wrong_mail_address_is_pointed_at_and_the_rest_stays(form: Page) -> None:
    fill(form, mail="nobody")
    form.get_by_role("button", name="Get the quote").click()
    form.get_by_role("alert").get_by_role("link").click()
    assert form.evaluate("document.activeElement.name") == "mail"
    assert form.get_by_label("Your name").input_value() == "Ada Marl"
    assert form.get_by_label("Note to the shop").input_value() == "Mostly forest tracks."


def test_what_was_typed_outlives_a_reload(form: Page) -> None:
    fill(form)
    form.reload()
    assert form.get_by_label("Your name").input_value() == "Ada Marl"


def test_the_sheet_leads_to_its_file_and_back_to_the_build(form: Page) -> None:
    fill(form)
    form.get_by_role("button", name="Get the quote").click()
    form.wait_for_url("**/q/*")
    assert form.get_by_role("heading", level=1).inner_text() == "Knapweed, size Medium"
    link = form.get_by_role("link", name="Print sheet, A4").get_attribute("href")
    answer = form.request.get(str(link))
    assert answer.body().startswith(b"%PDF-")
    form.get_by_role("link", name="Open this build").click()
    form.wait_for_url("**/build/knapweed?*slot=7.5*")


MESSAGE = Deal(
    message="Thank you for asking.\nThe fork comes in May, so the bike can be fetched in June."
)
NOTE = "Mostly forest tracks.\nMay the mudguards be black, and is a bell part of the bike?"
PRINTED: dict[str, tuple[str, dict[str, list[str]], Deal]] = {
    "no rider": ("knapweed", {"slot": ["7.5"]}, Deal()),
    "rider": (
        "knapweed",
        {"stature": ["1750"], "inseam": ["820"], "weight": ["75"]},
        Deal(),
    ),
    "a tall rider, checks that nobody knows": (
        "knapweed",
        {"size": ["l"], "fork": ["suspension-150"], "stature": ["1830"], "inseam": ["870"]},
        Deal(),
    ),
    "rider, luggage, a message": (
        "knapweed",
        {"stature": ["1750"], "inseam": ["820"], "weight": ["75"], "luggage": ["15"]},
        MESSAGE,
    ),
    "rider, the other frame": (
        "burdock",
        {"stature": ["1750"], "inseam": ["820"], "weight": ["75"]},
        MESSAGE,
    ),
    "frame alone": ("knapweed", {"scope": ["frame"], "stature": ["1750"]}, Deal()),
}


def quoted(app: FastAPI, model: str, query: dict[str, list[str]], deal: Deal) -> str:
    """The address of a new quote, as its customer opens it."""
    with reading(app.state.engine) as session:
        catalogue = load_catalogue(session, model)
    choice = read_choice(catalogue, query).strict()
    content = freeze(orderable(catalogue, choice), on=day_of(now()), deal=deal)
    customer = with_rider(
        catalogue, choice, Customer(name="Ada Marl", mail="ada@marl.example", note=NOTE)
    )
    with writing(app.state.engine) as session:
        return f"/q/{put_quote(session, content, customer, at=now()).token}"


@pytest.mark.parametrize("what", PRINTED)
def test_printed_from_the_browser_it_takes_two_pages_on_either_paper(
    browser: Browser, own_service: OwnService, what: str
) -> None:
    page = browser.new_page(base_url=own_service.address)
    page.goto(quoted(own_service.app, *PRINTED[what]))
    sums = page.locator(".quote-list tfoot tr.prices-total td").inner_text().removesuffix(" EUR")
    for paper in ("A4", "Letter"):
        pages = pypdf.PdfReader(io.BytesIO(page.pdf(format=paper))).pages
        texts = [page.extract_text() for page in pages]
        assert len(texts) == 2, paper
        assert sum(text.count(sums) for text in texts) == 1
        # The second page has all figures, checks and cautions, the first the rest.
        assert "BB height" in texts[1]
        assert "Trail" in texts[1]
        assert "reaction arm is fixed to the frame" in " ".join(texts[1].split())
        assert "Find it again" in texts[0]
    # The cautions at the foot are whole: nothing of them lies outside the sheet.
    page.emulate_media(media="print")
    page.set_viewport_size({"width": 688, "height": 1000})  # A4 less its margins [CSS px]
    edges = page.evaluate(
        "[...document.querySelectorAll('footer p')].map(p => p.getBoundingClientRect().left)"
    )
    assert edges
    assert min(edges) >= 0
    page.close()
