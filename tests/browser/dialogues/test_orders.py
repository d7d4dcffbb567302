"""Orders played in the browser: one cancelled after accepting, one frame taken to its hand-over."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from tests.browser.accessible import violations

if TYPE_CHECKING:
    from tests.browser.dialogues.conftest import Comes
    from tests.browser.dialogues.counting import Played

pytestmark = pytest.mark.browser


def quoted(staff: Played, name: str, build: str) -> str:
    """A quote of a build for somebody; gives its address at the counter."""
    staff.open(f"/counter/new/knapweed?{build}")
    staff.fill("name", name)
    staff.click("Make the quote")
    staff.page.wait_for_url("**/counter/quotes/*")
    return staff.page.url


def open_to(staff: Played, rider: Played, version: int) -> None:
    """Open a version to the customer, who follows the link."""
    staff.click(f"Open to the customer: version {version}")
    rider.open(staff.page.get_attribute(".quote-link a", "href") or "")


def unfold(played: Played, words: str) -> None:
    """Open the fold of the order that says these words, where it is closed."""
    played.arrived()
    fold = played.page.locator("#order details:not([open]) > summary", has_text=words)
    if fold.count():
        played.clicks += 1
        fold.first.click()


def press(played: Played, words: str) -> None:
    """Press the button of the order that says these words."""
    played.clicks += 1
    played.page.locator("#order button", has_text=re.compile(f"^{words}$")).first.click()


def test_cancelled_after_accepting(comes: Comes) -> None:
    """The deposit is paid, then the customer asks to cancel: what is kept and paid back is said."""
    staff, rider = comes("Edda", staff=True), comes("Oda Reed", phone=True)
    address = quoted(staff, "Oda Reed", "size=m")
    open_to(staff, rider, 1)
    rider.order("Oda Reed")
    rider.says("Your order", "Version 1 was accepted by Oda Reed")
    assert violations(rider.page) == []
    staff.open(address)
    press(staff, "Confirm the order")
    staff.fill("how_to_pay", "By transfer to Cinderholt Frameworks.")
    press(staff, "Ask for the deposit of 1,375.20 EUR")
    rider.page.reload()
    rider.says("We asked for the deposit of 1,375.20 EUR.", "By transfer to Cinderholt")
    unfold(rider, "Cancel the order")
    rider.says("Nothing was paid or begun: this ends the order.")
    press(staff, "Paid")
    staff.says("The deposit is paid; the build can begin.")
    rider.fill("reason", "A broken wrist.")
    press(rider, "Cancel the order")
    rider.says("You asked to cancel.")
    staff.open("/counter")
    staff.says("asks to cancel")
    staff.open(address)
    unfold(staff, "Cancel the order")
    staff.fill("reason", "As you wish; the fork is ordered already.")
    staff.fill("kept", "2000")
    press(staff, "Cancel the order")
    staff.says("At most 1,375.20 EUR, which was paid")
    staff.fill("kept", "375,20")
    press(staff, "Cancel the order")
    staff.says("Cancelled.", "To pay back", "1,000.00 EUR")
    unfold(staff, "Note a payment")
    press(staff, "Paid back to the customer")
    assert violations(staff.page) == []
    rider.page.reload()
    rider.says("We keep 375.20 EUR of what was paid.", "We paid 1,000.00 EUR back.")
    staff.report("cancelled after accepting")
    rider.report("cancelled after accepting")


def test_a_frame_only_with_a_trade_in_to_its_hand_over(comes: Comes) -> None:
    """What is taken in payment lowers what is left; the sheet has no torques of a bare frame."""
    staff, rider = comes("Edda", staff=True), comes("Ivo Birk")
    address = quoted(staff, "Ivo Birk", "size=l&scope=frame")
    staff.click("Discount, delivery, dates")
    staff.fill("traded_in", "his old frame")
    staff.fill("traded_in_amount", "250")
    staff.click("Make the new version")
    staff.page.wait_for_url(address)
    open_to(staff, rider, 2)
    rider.order("Ivo Birk")
    rider.says("Version 2 was accepted by Ivo Birk", "0.00 EUR of 1,309.00 EUR is paid")
    staff.open(address)
    press(staff, "Confirm the order")
    press(staff, "Ask for the deposit of 392.70 EUR")
    press(staff, "Paid")
    press(staff, "Begin the build")
    press(staff, "It is ready")
    staff.click("Hand-over")
    staff.fill("serials", "KN 26-031")
    staff.click("Save it and show the sheet")
    staff.says("KN 26-031", "Set up as built")
    assert not staff.page.locator("#f-cranks").count()
    assert violations(staff.page) == []
    staff.click("Note the hand-over")
    unfold(staff, "Note a payment")
    press(staff, "Paid")
    press(staff, "Close the order")
    staff.says("Closed: handed over and paid.")
    rider.page.reload()
    rider.says("All of it is paid: 1,309.00 EUR.", "It was handed over.")
    assert violations(rider.page) == []
    staff.report("frame only with trade-in, to the hand-over")
    rider.report("frame only with trade-in, to the hand-over")
