"""The bike ridden now, behind the drawing of a build."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.builds.choice.build_choice import BuildChoice, address_of
from webapp.builds.choice.carried_build import OtherBikes, carried_text, navigation_addresses
from webapp.builds.present_bike.bike import PresentBike
from webapp.drawing.outline import Outline, ghost_words


@dataclass(frozen=True, kw_only=True, eq=False)
class Ghost:
    """A second bike behind a drawing: its outline, its words, the page that changes it, and the
    build without it.
    """

    outline: Outline
    words: str
    address: str
    without_address: str


def ghost_of(bike: PresentBike, choice: BuildChoice, others: OtherBikes) -> Ghost | None:
    """The present bike as a ghost; None where nothing is known of it."""
    if not bike.text:
        return None
    outline = bike.measured.outline
    return Ghost(
        outline=outline,
        words=ghost_words(outline),
        address=navigation_addresses(carried_text(choice), others)["present-bike"],
        without_address=OtherBikes(beside=others.beside).along(address_of(choice)),
    )
