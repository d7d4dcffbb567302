"""Values of many pages' choices: an entry of a list, a link to one of several pages."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Option:
    """One entry of a list to choose from."""

    value: str
    label: str


@dataclass(frozen=True, kw_only=True)
class Link:
    """One page to look at instead; ``present`` marks the one that is shown.

    ``key`` is the link's name in the page, where it needs one.
    """

    label: str
    address: str
    present: bool = False
    key: str = ""

    @property
    def style(self) -> str:
        """Its classes as a button of a set."""
        return "button button-present" if self.present else "button"
