"""What the first screen shows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from markupsafe import Markup

from webapp.builds.choice.carried_build import NO_OTHERS, OtherBikes, fields_of
from webapp.common.text.language import tr
from webapp.pricing.totals import printed_money
from webapp.rider.rider_input import RIDER_KEYS
from webapp.start_page.frames import Frame


@dataclass(frozen=True, kw_only=True)
class StartLink:
    """A starting point: what it is called, what it is good for, what it costs."""

    name: str
    words: str
    price: str
    address: str


@dataclass(frozen=True, kw_only=True)
class FrameCard:
    """One frame, printed."""

    slug: str
    name: str
    summary: str
    drawing: Markup
    price: str
    sizes: str
    build_address: str
    fit_address: str
    size_words: str
    starts: tuple[StartLink, ...]


@dataclass(frozen=True, kw_only=True)
class StartPage:
    """Everything the first screen's templates know."""

    welcome: str
    frames: tuple[FrameCard, ...]
    go_on: str
    stature: str
    hidden: tuple[tuple[str, str], ...]

    @property
    def fit_address(self) -> str:
        """The address to which the question for the height leads: the first frame's sizes."""
        return self.frames[0].fit_address


def start_page(
    frames: Sequence[Frame], *, welcome: str, along: str, others: OtherBikes = NO_OTHERS
) -> StartPage:
    """The first screen.

    Parameters
    ----------
    frames : sequence of Frame
        In the builder's order.
    welcome : str
        The shop's own words.
    along : str
        The build taken along, as links carry it; its rider goes into every link.
    others : OtherBikes, optional
        Further bikes, which go into every link too.

    Returns
    -------
    StartPage
    """
    own = [(name, values[0]) for name, values in fields_of(along).items() if name in RIDER_KEYS]
    own += others.pairs
    return StartPage(
        stature=dict(own).get("stature", ""),
        hidden=tuple(pair for pair in own if pair[0] != "stature"),
        welcome=welcome,
        frames=tuple(_card(frame, urlencode(own)) for frame in frames),
        go_on=others.along(f"/build/{along}") if along else "",
    )


def _card(frame: Frame, own: str) -> FrameCard:
    return FrameCard(
        slug=frame.slug,
        name=frame.name,
        summary=frame.summary,
        drawing=frame.drawing,
        price=tr("from {price}", price=printed_money(frame.price_from)) if frame.price_from else "",
        sizes=", ".join(frame.sizes),
        build_address=_address("build", frame.slug, own),
        fit_address=f"/fit/{frame.slug}",
        size_words=tr("My size on the {model}", model=frame.name),
        starts=tuple(
            StartLink(
                name=start.name,
                words=start.words,
                price=printed_money(start.price),
                address=_address("build", frame.slug, start.query, own),
            )
            for start in frame.starts
        ),
    )


def _address(room: str, model: str, *queries: str) -> str:
    query = "&".join(filter(None, queries))
    return f"/{room}/{model}?{query}" if query else f"/{room}/{model}"
