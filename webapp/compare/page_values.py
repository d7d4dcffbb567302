"""What the page *Side by side* shows, piece by piece."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.common.web.choices import Link


@dataclass(frozen=True, kw_only=True)
class LinkGroup:
    """Links that change the same thing."""

    heading: str
    links: tuple[Link, ...]


@dataclass(frozen=True, kw_only=True)
class BuildCard:
    """One build: who it is, what makes it, and what can be done with it."""

    letter: str
    name: str
    facts: tuple[str, ...]
    price: str
    text: str
    change_address: str
    remove_address: str
    first_address: str
    copies: tuple[LinkGroup, ...]
    copy_words: str


@dataclass(frozen=True, kw_only=True)
class LegendLine:
    """One build beside the drawing: its letter and what to call it."""

    letter: str
    name: str


@dataclass(frozen=True, kw_only=True)
class WaitingBuild:
    """One build for which there is no place beside the bike ridden now."""

    sentence: str
    remove_address: str


@dataclass(frozen=True, kw_only=True)
class RefusedField:
    """One build that cannot be shown: its field, with what is wrong."""

    name: str
    text: str
    error: str
    remove_address: str
    open_address: str


@dataclass(frozen=True, kw_only=True)
class OtherWords:
    """How one build differs from A, in words."""

    letter: str
    sentence: str
    parts: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class FeelLine:
    """The smallest difference of a figure that is mentioned, and why."""

    name: str
    step: str
    reason: str
