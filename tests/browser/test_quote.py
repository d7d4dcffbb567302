"""Asking for a quote in a real browser, down to the sheet and its file."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import pypdf
import pytest

from tests.browser.accessible import violations

if TYPE_CHECKING:
    from playwright.sync_api import Page

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


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_printed_from_the_browser_each_sum_stands_once_and_no_page_is_left_over(
    form: Page, paper: str
) -> None:
    fill(form)
    form.get_by_role("button", name="Get the quote").click()
    form.wait_for_url("**/q/*")
    sums = form.locator(".quote-list tfoot tr.prices-total td").inner_text()
    pages = pypdf.PdfReader(io.BytesIO(form.pdf(format=paper))).pages
    texts = [page.extract_text() for page in pages]
    assert sum(text.count(sums.removesuffix(" EUR")) for text in texts) == 1
    assert len(texts) <= 3
    # The last page holds figures too, never checks and foot alone.
    assert "Trail" in texts[-1]
    assert "BB height" in "".join(texts)
    # The cautions at the foot are whole: nothing of them lies outside the sheet.
    form.emulate_media(media="print")
    form.set_viewport_size({"width": 688, "height": 1000})  # A4 less its margins [CSS px]
    edges = form.evaluate(
        "[...document.querySelectorAll('footer p')].map(p => p.getBoundingClientRect().left)"
    )
    assert edges
    assert min(edges) >= 0
