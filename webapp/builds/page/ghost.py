"""The bike ridden now, behind the drawing of a build."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from webapp.builds.choice.build_choice import BuildChoice
from webapp.builds.choice.thread import BUILD_KEY, thread_of, with_present
from webapp.builds.present_bike.bike import PresentBike
from webapp.drawing.outline import Outline, ghost_words


@dataclass(frozen=True, kw_only=True, eq=False)
class Ghost:
    """A second bike behind a drawing: its outline, its words, and the page that changes it."""

    text: str
    outline: Outline
    words: str
    address: str

    def along(self, address: str) -> str:
        """An address that takes the bike along."""
        return with_present(address, self.text)


def ghost_of(bike: PresentBike, choice: BuildChoice) -> Ghost | None:
    """The present bike as a ghost; None where nothing is known of it."""
    if not bike.text:
        return None
    outline = bike.measured.outline
    thread = urlencode({BUILD_KEY: thread_of(choice)})
    return Ghost(
        text=bike.text,
        outline=outline,
        words=ghost_words(outline),
        address=f"/present-bike?{bike.text}&{thread}",
    )
