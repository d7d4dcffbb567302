"""Dialogues with customers, played in the browser from the first word to the answer."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.browser.accessible import violations
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.writing.parts import put_frame_price, put_part_price, retire_part
from webapp.common.storage.database import reading, writing

if TYPE_CHECKING:
    from tests.browser.dialogues.conftest import Comes, Shop
    from tests.browser.dialogues.counting import Played
    from webapp.quote.freezing.content import Line

pytestmark = pytest.mark.browser

ONE_MINUTE = 60


def quoted(staff: Played, name: str, build: str) -> str:
    """A quote of a build for somebody, opened to them; gives its address at the counter."""
    staff.open(f"/counter/new/knapweed?{build}")
    staff.fill("name", name)
    staff.press("Enter")
    staff.page.wait_for_url("**/counter/quotes/*")
    address = staff.page.url
    staff.click("Open to the customer: version 1")
    return address


def link_of(staff: Played) -> str:
    """The customer's link, on the quote's page."""
    return staff.page.get_attribute(".quote-link a", "href") or ""


def lines_of(shop: Shop, address: str) -> dict[str, Line]:
    """The newest version's build list by its keys."""
    from webapp.quote.storage.read import quote_by_number, view_of

    with reading(shop.app.state.engine) as session:
        view = view_of(session, quote_by_number(session, address.rpartition("/")[2]))
    return {line.key: line for line in view.content.price.lines}


def test_a_walk_in_who_does_not_know_their_size(shop: Shop, comes: Comes) -> None:
    """By keys alone: new, height, the size that suits, name, quote; nothing takes eight tabs."""
    staff = comes("Edda", staff=True)
    staff.press("n")
    staff.page.wait_for_url("**/counter/new")
    staff.press("h")
    staff.type("181")
    staff.press("Tab")
    with staff.page.expect_response(lambda answer: "inseam=86" in answer.url) as answered:
        staff.type("86")
    answered.value.finished()
    staff.page.wait_for_selector('#measured a[href*="inseam=86"][aria-keyshortcuts=g]')
    staff.tab_to("#measured a.button-main")
    staff.press("Enter")
    staff.page.wait_for_url("**/counter/new/knapweed?*")
    staff.says("Total", "Fits together", within="#build-bar")
    staff.press("c")
    staff.type("Wanda Holm")
    staff.press("Enter")
    staff.page.wait_for_url("**/counter/quotes/*")
    staff.says("Wanda Holm", "Knapweed")
    assert staff.fields == 3
    assert staff.clicks == 0
    assert staff.seconds < ONE_MINUTE
    staff.report("walk-in who does not know their size")
    # Everything common from the top of each page, by Tab alone, past the masthead in one press.
    for address, wanted in (
        ("/counter", "#f-q"),
        ("/counter/new", "#f-stature"),
        ("/counter/new/knapweed", "#f-name"),
        (staff.page.url, 'a[href*="/build"]'),
        (staff.page.url, 'a[href$="/terms"]'),
        (staff.page.url, 'a[href*="sheet.pdf"]'),
    ):
        staff.open(address)
        staff.press("Tab", "Enter")
        staff.tab_to(wanted)


def test_single_keys_are_shown_respect_fields_and_can_be_turned_off(comes: Comes) -> None:
    staff = comes("Edda", staff=True)
    staff.says("q Quotes", "n New quote", "/ Find a quote", within="#keys")
    staff.press("/")
    staff.type("nine")
    assert staff.page.input_value("#f-q") == "nine"
    staff.press("Escape")
    staff.page.click("text=Turn single keys off")
    staff.press("n")
    staff.page.wait_for_timeout(200)
    assert "/new" not in staff.page.url
    staff.page.reload()
    staff.says("Turn single keys on", within="#keys")
    assert "New quote" not in staff.page.inner_text("#keys")
    assert violations(staff.page) == []
    staff.page.click("text=Turn single keys on")
    staff.press("n")
    staff.page.wait_for_url("**/counter/new")
    assert violations(staff.page) == []


def test_three_weeks_later_with_a_shorter_stem_and_the_frames_old_price(
    shop: Shop, comes: Comes
) -> None:
    staff = comes("Edda", staff=True)
    address = quoted(staff, "Søren Kvist", "size=m&stem=50-0")
    before = lines_of(shop, address)
    engine = shop.app.state.engine
    with reading(engine) as session:
        catalogue = load_catalogue(session, "knapweed")
    dearer = before["frame"].amount.minor + 20_000
    shorter = catalogue.part("stem", "35-0").price
    assert shorter is not None
    with writing(engine) as session:
        put_frame_price(session, who="t", price_list="eur-2026", model="knapweed", minor=dearer)
        put_part_price(
            session, who="t", price_list="eur-2026", kind="stem", slug="35-0",
            minor=shorter.minor + 700,
        )  # fmt: skip
    shop.clock.turn(days=21)
    again = comes("Jory", staff=True)
    again.press("/")
    again.type("soren")
    again.page.wait_for_url("**q=soren*")
    again.page.wait_for_selector("#found tbody tr")
    again.tab_to("#found a")
    again.press("Enter")
    again.page.wait_for_url(address)
    again.press("b")
    again.page.wait_for_url("**/build?*")
    again.choose("stem", "35-0")
    again.page.wait_for_selector(
        '#counter-make input[name=build][value*="stem=35-0"]', state="attached"
    )
    again.press("g")
    again.page.wait_for_url(address)
    after = lines_of(shop, address)
    assert after["frame"].amount == before["frame"].amount
    assert after["stem"].amount.minor == shorter.minor + 700
    again.click("what changed")
    again.says("Stem: stem 35 mm, 0° instead of stem 50 mm, 0°")
    again.report("three weeks later, a shorter stem, the frame's old price")


def test_a_heavier_load_than_permitted_is_refused_everywhere(comes: Comes) -> None:
    rider = comes("rider", phone=True)
    heavy = "size=xl&stature=1900&weight=150&luggage=12"
    rider.open(f"/build/knapweed?{heavy}")
    assert not rider.page.locator("text=Ask for a quote").count()
    rider.open(f"/quote/knapweed?{heavy}")
    rider.says("cannot be ordered as it is")
    assert not rider.page.locator("text=Get the quote").count()
    staff = comes("Edda", staff=True)
    staff.open(f"/counter/new/knapweed?{heavy}")
    staff.says("not fit", within="#build-bar")
    staff.fill("name", "Otto Berg")
    staff.click("Make the draft")
    staff.page.wait_for_url("**/counter/quotes/*")
    address = staff.page.url
    staff.says("It cannot be sent")
    assert not staff.page.locator("button:has-text('Open to the customer')").count()
    staff.says("not fit", within=".counter-bar")
    staff.click("Discount, delivery, dates")
    staff.fill("delivery", "40")
    staff.page.wait_for_selector("text=Delivery, 40")
    staff.press("Enter")
    staff.page.wait_for_url(address)
    staff.says("It cannot be sent")
    staff.report("heavier load than permitted, refused")


def test_not_medium_but_large_from_the_inbox(shop: Shop, comes: Comes) -> None:
    rider = comes("rider", phone=True)
    rider.open("/quote/knapweed?size=m&stature=1780")
    rider.fill("name", "Liv Torp")
    rider.fill("mail", "liv@torp.example")
    rider.fill("note", "Medium, I think.")
    rider.click("Get the quote")
    rider.page.wait_for_url("**/q/*")
    link = rider.page.url
    staff = comes("Edda", staff=True)
    staff.click("2026", within='tr:has-text("Liv Torp")')
    staff.page.wait_for_url("**/counter/quotes/*")
    address = staff.page.url
    staff.press("m")
    staff.page.wait_for_url("**/fit")
    staff.says("Large")
    staff.click("Build it in Large")
    staff.page.wait_for_url("**/build?*")
    staff.press("g")
    staff.page.wait_for_url(address)
    staff.click("Open to the customer: version 2")
    staff.page.wait_for_url(address)
    rider.open(link)
    rider.says("Large")
    rider.order("Liv Torp")
    rider.says("Version 2 was accepted by Liv Torp")
    for one in (rider, staff):
        one.report("not Medium, Large")


def test_own_wheels_cost_nothing_and_are_still_checked(shop: Shop, comes: Comes) -> None:
    staff = comes("Edda", staff=True)
    staff.open("/counter/new/knapweed?size=m")
    total = staff.page.inner_text("#build-bar .build-total")
    for place in ("rim_front", "rim_rear", "front_hub", "hub"):
        staff.tick(f"#f-own-{place}")
        staff.page.wait_for_selector(
            f'#counter-make input[name=build][value*="own={place}"]', state="attached"
        )
    assert staff.page.inner_text("#build-bar .build-total") != total
    staff.page.fill("#f-name", "Rune Dal")
    staff.fields += 1
    staff.press("Enter")
    staff.page.wait_for_url("**/counter/quotes/*")
    lines = lines_of(shop, staff.page.url)
    for key in ("rim_front", "rim_rear", "front_hub", "hub"):
        assert lines[key].amount.minor == 0
        assert "the customer’s own" in lines[key].item
    staff.says("Fits together", within=".counter-bar")
    staff.report("own wheels")
    # A rim of their own that the tyre does not go on is refused as the shop's would be.
    staff.open("/counter/new/knapweed?size=m&rim_rear=584-38&own=rim_rear")
    staff.says("not fit", "Make the draft", within="#build-bar")


def test_two_people_change_one_quote_and_nothing_is_lost(shop: Shop, comes: Comes) -> None:
    first = comes("Edda", staff=True)
    address = quoted(first, "Nils Aas", "size=m")
    second = comes("Jory", staff=True)
    for one in (first, second):
        one.open(f"{address}/terms")
    first.fill("delivery", "40")
    first.page.wait_for_selector("#terms-preview >> text=Delivery, 40")
    first.press("Enter")
    first.page.wait_for_url(address)
    second.fill("message", "Bring your pedals.")
    second.click("Make the new version")
    second.says("has changed this quote meanwhile", "Delivery", "Edda")
    assert second.page.input_value("#f-delivery").startswith("40")
    assert second.page.input_value("#f-message") == "Bring your pedals."
    second.click("Make the new version")
    second.page.wait_for_url(address)
    second.says("Bring your pedals.", "Delivery")
    # Both change the same field: who comes second is asked, theirs beside their own.
    for one, amount in ((first, "55"), (second, "60")):
        one.open(f"{address}/terms")
        one.fill("delivery", amount)
    first.press("Enter")
    first.page.wait_for_url(address)
    second.press("Enter")
    second.says("You both changed these", "theirs 55")
    assert second.page.input_value("#f-delivery") == "60"
    second.report("two people changing one quote")


def test_extended_after_expiry_with_a_fork_that_is_no_longer_made(shop: Shop, comes: Comes) -> None:
    staff = comes("Edda", staff=True)
    address = quoted(staff, "Hanne Vik", "size=m&fork=suspension-110")
    link = link_of(staff)
    with writing(shop.app.state.engine) as session:
        retire_part(session, who="t", kind="fork", slug="suspension-110")
    shop.clock.turn(days=40)
    rider = comes("rider", phone=True)
    rider.open(link)
    rider.says("no longer valid")
    again = comes("Jory", staff=True)
    again.open(address)
    again.says("Expired", "is no longer made")
    again.click("Discount, delivery, dates")
    again.says("Valid until", within="#terms-preview")
    again.click("Make the new version")
    again.page.wait_for_url(address)
    again.tick("#f-confirmed")
    again.click("Open to the customer: version 2")
    again.page.wait_for_url(address)
    rider.open(link)
    rider.order("Hanne Vik")
    rider.says("Version 2 was accepted by Hanne Vik")
    again.report("extended after expiry with a retired fork")


def test_on_a_phone_the_page_stays_where_something_was_done(shop: Shop, comes: Comes) -> None:
    staff = comes("Edda", staff=True, phone=True)
    quoted(staff, "Pia Moe", "size=m")
    button = staff.page.locator("button:has-text('Answer')")
    staff.fill("text", "On Friday.")
    button.scroll_into_view_if_needed()
    before = staff.page.evaluate("scrollY")
    assert before > 300
    button.click()
    staff.page.wait_for_selector("text=Edda: answer")
    staff.page.wait_for_function("y => Math.abs(scrollY - y) < 5", arg=before)


def test_a_field_left_after_its_answer_asks_no_second_time(comes: Comes) -> None:
    """A second answer would take the focus away from whoever has tabbed on into the first."""
    staff = comes("Edda", staff=True)
    staff.page.goto("/counter/new")
    asked: list[str] = []
    staff.page.on("request", lambda each: asked.append(each.url))
    with staff.page.expect_response(lambda answer: "stature=181" in answer.url):
        staff.press("h")
        staff.type("181")
    staff.page.wait_for_selector("#measured a.button-main")
    staff.tab_to("#measured a.button-main", most=20)
    with staff.page.expect_response(lambda answer: "sex=woman" in answer.url):
        staff.page.select_option("#f-sex", "woman")  # what is chosen asks at once, and once
    assert sum("stature=181" in each for each in asked) == 2
