"""When no answer comes: the page says so, nothing is lost, and nothing old looks new."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser.accessible import violations
from tests.browser.signing_in import cookies_by_link, own_service_in

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page, Route

pytestmark = pytest.mark.browser

LONGER = "suspension fork 29, 150 mm"
AWAY = "No answer yet"
OLD = "This shows the previous choice"


class Line:
    """The line between browser and service, which can be cut."""

    def __init__(self, page: Page, pattern: str, *, status: int = 0) -> None:
        self.page, self.status, self.cut, self.asked = page, status, True, 0
        page.route(pattern, self.handle)

    def handle(self, route: Route) -> None:
        if not self.cut or route.request.is_navigation_request():
            route.continue_()
            return
        self.asked += 1
        if self.status:
            route.fulfill(status=self.status, body="gone")
        else:
            route.abort("connectionrefused")


def unfold(page: Page) -> None:
    """Open every step of the choices."""
    page.evaluate(
        "for (const step of document.querySelectorAll('#build-form details')) step.open = true"
    )


def figure(page: Page, key: str) -> str:
    return page.locator(f'[data-figure="{key}"]').first.get_attribute("data-value") or ""


@pytest.mark.parametrize("status", [0, 503])
@pytest.mark.parametrize("width", [320, 1440])
def test_a_choice_without_an_answer_is_marked_and_asked_again(
    browser_page: Page, status: int, width: int
) -> None:
    page = browser_page
    page.set_viewport_size({"width": width, "height": 900})
    page.goto("/build/knapweed")
    before = figure(page, "head_angle-1")
    line = Line(page, "**/build/knapweed?*", status=status)
    unfold(page)
    choice = page.get_by_label(LONGER, exact=True)
    choice.check()
    notice = page.locator(".unanswered")
    expect(notice).to_contain_text(AWAY)
    assert choice.is_checked()
    assert "fork=suspension-150" not in page.url
    near = choice.evaluate(
        "(e) => document.querySelector('.unanswered').getBoundingClientRect().top"
        " - e.closest('.is-unanswered').getBoundingClientRect().bottom"
    )
    assert 0 <= near < 40
    for region in ("#build", "#build-picture", "#build-bar"):
        expect(page.locator(f"{region}.is-old")).to_contain_text(OLD)
    assert figure(page, "head_angle-1") == before
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.locator("#f-slot").fill("7")  # a further change takes its place; both stay marked
    expect(page.locator(".is-unanswered")).to_have_count(2)
    expect(notice).to_have_count(1)
    line.cut = False
    page.wait_for_url(lambda url: "fork=suspension-150" in url and "slot=7&" in url)
    expect(notice).to_have_count(0)
    expect(page.locator(".is-old, .is-unanswered, .old-words")).to_have_count(0)
    assert choice.is_checked()
    assert float(figure(page, "head_angle-1")) < float(before)


def test_it_is_asked_again_on_a_press_and_by_keyboard(browser_page: Page) -> None:
    page = browser_page
    page.goto("/fit/knapweed")
    line = Line(page, "**/fit/knapweed?*", status=502)
    page.get_by_label("Height", exact=False).first.fill("178 cm")
    again = page.get_by_role("button", name="Ask again now")
    expect(again).to_be_visible()
    asked, line.cut = line.asked, False
    again.press("Enter")
    page.wait_for_url(lambda url: "stature=178" in url)
    expect(page.locator(".unanswered")).to_have_count(0)
    assert line.asked == asked  # not once more before the press
    field = page.get_by_label("Height", exact=False).first
    assert field.input_value() == "178 cm"
    expect(field).to_be_focused()  # the button is gone, and with it what was focused


def test_of_two_links_the_last_one_counts(browser_page: Page) -> None:
    page = browser_page
    page.goto("/side-by-side?build=knapweed&build=knapweed%3Ffork%3Dsuspension-150")
    line = Line(page, "**/side-by-side?*")
    page.locator("#state-sagged").click()
    expect(page.locator("#compare.is-old")).to_contain_text(OLD)
    page.locator("#align-rear-axle").click()
    expect(page.locator(".unanswered")).to_have_count(1)
    line.cut = False
    page.get_by_role("button", name="Ask again now").click()
    page.wait_for_url(lambda url: "align=rear-axle" in url)
    page.wait_for_timeout(2500)
    assert "state=sagged" not in page.url


def test_a_service_that_is_stopped_loses_nothing_at_the_desk(
    browser: Browser,
    tmp_path: Path,
    _filled_sqlite: Path,  # noqa: PT019  # the file is copied
) -> None:
    with ExitStack() as running:
        service = running.enter_context(own_service_in(tmp_path, _filled_sqlite))
        state = cookies_by_link(browser, service.first_link)
        context = browser.new_context(storage_state=state, base_url=service.address)
        desk, office = context.new_page(), context.new_page()
        desk.goto("/counter/new/knapweed")
        office.goto("/office/settings/names")
        field = office.locator(
            "form[method=post] input[type=text], form[method=post] input:not([type])"
        )
        office.goto("/account")
        office.goto("/office/settings/names")
        field.first.fill("Kept as typed")
        field.first.press("Enter")  # while somebody answers, it is sent as ever
        expect(field.first).to_have_value("Kept as typed")
        assert field.first.input_value() == "Kept as typed"
    office.wait_for_timeout(3100)  # until what was seen of the service is old
    field.first.fill("Typed while nobody answers")
    office.wait_for_timeout(500)
    field.first.press("Enter")
    expect(office.locator(".unanswered")).to_contain_text("nothing was sent")
    assert field.first.input_value() == "Typed while nobody answers"
    assert violations(office) == []
    unfold(desk)
    desk.get_by_label(LONGER, exact=True).check()
    expect(desk.locator(".unanswered")).to_contain_text(AWAY)
    expect(desk.locator("#build.is-old")).to_contain_text(OLD)
    context.close()
