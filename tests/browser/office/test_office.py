"""The drawing office in a real browser: a new revision from its draft to a bike on the bench."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from tests.browser.accessible import main_buttons_at_once, violations
from tests.browser.showing import shows
from tests.webapp.quote.conftest import CUSTOMER
from webapp.builds.choice.build_choice import read_choice
from webapp.catalogue.reading.load import load_catalogue
from webapp.common.storage.database import reading, writing
from webapp.common.timestamps import now
from webapp.quote.lifecycle.request import ask_for_quote

if TYPE_CHECKING:
    from fastapi import FastAPI
    from playwright.sync_api import Browser, Dialog, Page

    from tests.browser.signing_in import OwnService

pytestmark = pytest.mark.browser

SHORTER = {"xs": "330", "s": "353", "m": "377", "l": "403", "xl": "431", "xxl": "461"}
HEAD = "kind,slug,name,price,models,usual_for,stack,rail_forward,rail_back"
BAD = (
    "saddle,bad-1,Bad,10,knapweed,,high,20,20",
    "saddle,bad-2,Bad,10,knapweed,,500,20,20",
    "saddle,bad-3,Bad,dear,knapweed,,45,20,20",
    "saddle,Bad 4,Bad,10,knapweed,,45,20,20",
    "saddle,bad-5,Bad,10,thistle,,45,20,20",
    "sofa,bad-6,Bad,10,knapweed,,45,20,20",
    "saddle,bad-7,Bad,10,knapweed,,45,5,20,20",
)


class Shop:
    """A service of this module's own, with a quote made from the published revision."""

    def __init__(self, address: str, app: FastAPI) -> None:
        self.address, self.app = address, app
        with reading(app.state.engine) as session:
            catalogue = load_catalogue(session, "knapweed")
        choice = read_choice(catalogue, {"size": ["m"]}).strict()
        with writing(app.state.engine) as session:
            self.quote = ask_for_quote(session, catalogue, choice, CUSTOMER, form_key="", at=now())


@pytest.fixture(scope="module")
def shop(own_service: OwnService) -> Shop:
    """The service, running."""
    return Shop(own_service.address, own_service.app)


@pytest.fixture
def office(shop: Shop, staff_page: Page) -> Page:
    """The office of that shop."""
    return staff_page


def cell(name: str) -> str:
    """Selector of a cell of the grid."""
    return f'[id="f-{name}"]'


def printed(page: Page, shop: Shop) -> str:
    """The old quote's sheet as its link shows it, without what tells the time."""
    page.goto(f"/quote/{shop.quote.token}")
    return page.locator("main").inner_text()


LAST_READING = """() => {
  const frame = document.querySelector("#bench-report .drawing-frame");
  const drawing = frame.getBoundingClientRect();
  return [document.activeElement.getBoundingClientRect().bottom, drawing.top, drawing.bottom,
          document.documentElement.scrollWidth];
}"""


def test_from_a_draft_to_a_bike_on_the_bench(office: Page, shop: Shop, tmp_path: Path) -> None:
    """The builder's whole way: draft, mistake, effect, publish, old quote, parts, bench."""
    sheet = printed(office, shop)
    draft_shorter_seat_tubes(office)
    be_warned_of_a_mistake(office)
    see_the_effect(office)
    publish(office)
    assert printed(office, shop) == sheet
    office.goto("/table/knapweed")
    shows(office.locator("main"), "Revision 3")
    shows(office.locator("section:has(#h-drawn)"), "377")
    bring_in_parts(office, tmp_path / "parts.csv")
    check_a_bike(office)


PASTE = """text => {
    const clipboardData = new DataTransfer();
    clipboardData.setData("text/plain", text);
    const pasted = new ClipboardEvent("paste", {clipboardData, bubbles: true, cancelable: true});
    document.activeElement.dispatchEvent(pasted);
}"""


def draft_shorter_seat_tubes(office: Page) -> None:
    """A draft of the Knapweed, its seat tubes pasted from a spreadsheet."""
    office.goto("/office")
    office.click("text=Begin a draft of the Knapweed")
    office.wait_for_url("**/office/models/knapweed/3")
    office.focus(cell("xs.seat_tube_length"))
    office.evaluate(PASTE, "\t".join(SHORTER.values()))
    assert office.input_value(cell("xxl.seat_tube_length")) == "461"


def be_warned_of_a_mistake(office: Page) -> None:
    """Two digits of the stack swapped: told while typing, kept as a draft, not published."""
    office.fill(cell("m.stack"), "671")
    office.wait_for_selector(".office-verdict:has-text('contradicts itself')")
    assert office.evaluate("document.activeElement.name") == "m.stack"
    office.locator("summary:has-text('Single values that would correct it')").first.click()
    shows(office.locator("#office-check"), "617 mm instead of 671")
    office.click("text=Save the draft")
    office.goto("/office/models/knapweed/3/publish")
    shows(office.locator("main"), "cannot be published")
    assert not office.is_visible("button:has-text('Publish revision 3')")
    office.goto("/office/models/knapweed/3")
    assert office.input_value(cell("m.stack")) == "671"
    office.fill(cell("m.stack"), "617")
    office.click("text=Save the draft")


def see_the_effect(office: Page) -> None:
    """Longer droppers in every size; the open quote's figures stay as they are."""
    office.click("text=Effect on every build")
    droppers = office.locator("section:has(h2:has-text('Longest dropper'))").inner_text()
    assert all(name in droppers for name in ("Extra small", "Medium", "Extra large"))
    shows(office.locator("main"), "1 open quote of this model would stay")


def publish(office: Page) -> None:
    """One step, with the changelog made from the differences."""
    office.click("text=Publish…")
    assert "Seat tube length 25 mm shorter in every size." in office.input_value("#f-changelog")
    office.click("button:has-text('Publish revision 3')")
    office.wait_for_url("**/office/models/knapweed/3")
    assert not office.is_visible(cell("m.reach"))


def bring_in_parts(office: Page, file: Path) -> None:
    """Five hundred, seven of them wrong."""
    good = [f"saddle,s-{n},Saddle {n},49.00,knapweed,,45,20,20" for n in range(493)]
    file.write_text("\n".join([HEAD, *good[:200], *BAD, *good[200:]]), encoding="utf-8")
    office.goto("/office/import")
    office.set_input_files("#f-file", file)
    office.click("button:has-text('Try it')")
    shows(office.locator(".office-verdict"), "493 to keep, 0 unchanged, 7 wrong")
    assert office.locator("tr.office-beyond").count() == 7
    office.click("text=Read the 493 good rows into a draft")
    office.click("text=See its effect, and put it in force")
    office.wait_for_selector("text=Effect on the Knapweed")
    office.click("button:has-text('Put it in force')")
    office.wait_for_selector("button:has-text('Take it back')")


def check_a_bike(office: Page) -> None:
    """Its chainstay misread by swapped digits."""
    office.goto("/office/bench/measure?model=knapweed")
    read = {"head_angle": "66.6", "reach": "452.9", "rear_centre": "423.5", "bb_drop": "54.4",
            "wheelbase": "1178", "chainstay_length": "472"}  # fmt: skip
    for key, value in read.items():
        office.fill(cell(f"value.{key}"), value)
    office.wait_for_selector("#bench-report:has-text('Chainstay length was misread')")
    for width in (360, 1440):
        office.set_viewport_size({"width": width, "height": 800})
        office.focus('[name="value.build.front_radius"]')
        for _ in range(2):
            office.keyboard.press("Tab")
        field, top, bottom, sheet = office.evaluate(LAST_READING)
        assert 0 <= top < bottom <= 800, "the drawing is in view at the last readings"
        assert sheet <= width, "nothing is wider than the sheet"
        assert width >= 1280 or field <= top, "and does not cover the field in hand"
    drawn = office.locator("#bench-report svg").first.text_content() or ""
    assert "7 (+45.0)" in drawn  # its number in the list, and how far off
    office.fill("#f-serial", "KW-0031")
    office.fill("#f-batch", "spring")
    office.click("button:has-text('Save it')")
    office.wait_for_url(re.compile(r"/office/bench/\d+$"))
    office.goto("/office/bench?batch=spring")
    shows(office.locator("main"), "KW-0031")


def work_on_the_grid(office: Page) -> None:
    """Tab walks the cells, Ctrl+Z takes typing and pastes back, leaving with edits is asked."""
    drawn = office.locator("#office-check svg.drawing")
    assert drawn.is_visible()
    office.set_viewport_size({"width": 360, "height": 800})
    assert drawn.is_visible()  # the one drawing there is, on narrow paper too
    office.set_viewport_size({"width": 1440, "height": 900})
    reach, stack = cell("s.reach"), cell("m.stack")
    was = office.input_value(reach), office.input_value(stack)
    office.fill(reach, "379")
    office.press(reach, "Tab")
    assert office.evaluate("document.activeElement.name") == "m.reach"
    office.press(cell("xl.reach"), "Tab")
    assert office.evaluate("document.activeElement.name") == "s.stack"
    office.evaluate(PASTE, "600\t612\t1\t2\t3\t4")
    assert office.input_value(stack) == "612"
    assert office.locator("[data-grid-left-out]").inner_text().endswith("lines 1.")
    office.keyboard.press("Control+z")
    office.keyboard.press("Control+z")
    assert (office.input_value(reach), office.input_value(stack)) == was
    office.keyboard.press("Control+y")
    assert office.input_value(reach) == "379"
    asked: list[str] = []

    def answer(dialog: Dialog) -> None:
        asked.append(dialog.type)
        dialog.accept()

    office.once("dialog", answer)
    here = office.url
    office.goto("/office")
    assert asked == ["beforeunload"]
    office.goto(here)
    office.focus(reach)
    office.evaluate(PASTE, "Size\tSmall\tMedium\nReach (cm)\t38.1\t39.4\nPaint\t1\t2")
    office.wait_for_selector("#read")
    shows(office.locator("#read"), "line 3, Paint: no dimension of ours")
    assert office.input_value(reach) == "381"
    office.click("text=Save the draft")
    office.wait_for_selector("#read", state="detached")
    assert office.input_value(reach) == "381"


PAGES = [
    "/office", "/office/models/knapweed", "/office/models/knapweed/2",
    "/office/models/knapweed/2/effect", "/office/models/knapweed/2/range",
    "/office/models/knapweed/2/shared", "/office/models/knapweed/2/size/m",
    "/office/models/knapweed/changes?from=1&to=2",
    "/office/bench", "/office/bench/measure?model=burdock", "/office/parts?kind=fork",
    "/office/parts/fork/suspension-130", "/office/import", "/office/prices",
    "/office/prices/eur-2026", "/office/settings", "/office/settings/questions",
    "/office/settings/styles/trail", "/office/shop",
    "/office/history", "/office/keeping", "/table/knapweed/embed",
    "/office/bench/serials", "/office/part-changes", "/office/price-groups",
    "/office/prices/eur-2026/rise", "/office/settings/names", "/office/coverage/knapweed",
    "/office/learned", "/office/shop", "/office/models/new",
]  # fmt: skip


@pytest.mark.parametrize("address", PAGES)
def test_every_page_is_accessible_and_never_too_wide(office: Page, address: str) -> None:
    answer = office.goto(address)
    assert answer is not None
    assert answer.status == 200
    for width in (320, 360, 1440):
        office.set_viewport_size({"width": width, "height": 900})
        assert office.evaluate("document.documentElement.scrollWidth") <= width
        assert main_buttons_at_once(office) <= 1
        if width != 320:
            assert violations(office) == []


def test_a_draft_is_worked_on_by_keyboard_and_without_a_script(
    browser: Browser, office: Page, shop: Shop, signed_in: Any
) -> None:
    office.goto("/office/models/burdock")
    office.click("button:has-text('Begin')")
    office.wait_for_url("**/office/models/burdock/2")
    first = office.locator(".office-cell").first
    first.focus()
    office.keyboard.press("ArrowDown")
    assert office.evaluate("document.activeElement.name").endswith(".stack")
    office.keyboard.press("ArrowUp")
    assert office.evaluate("document.activeElement.name").endswith(".reach")
    work_on_the_grid(office)
    assert violations(office) == []
    context = browser.new_context(
        base_url=shop.address, storage_state=signed_in, java_script_enabled=False
    )
    page = context.new_page()
    page.goto("/office/models/burdock/2")
    name = page.locator(".office-cell").first.get_attribute("name") or ""
    size = name.partition(".")[0]
    page.click("text=Paste a whole table")
    page.fill("#f-table", f"\t{size}\nReach\t401")
    page.click("text=Put it into the grid")
    assert page.input_value(cell(name)) == "401"
    page.click("text=Save the draft")
    assert page.input_value(cell(name)) == "401"
    page.click("button:has-text('Undo')")
    assert page.input_value(cell(name)) != "401"
    context.close()
