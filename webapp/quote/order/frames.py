"""The frames of an order: one for each bike it sells, and which serial number is whose."""

from __future__ import annotations

from collections.abc import Sequence
from urllib.parse import parse_qs

from webapp.quote.freezing.bikes import bikes_of
from webapp.quote.freezing.content import QuoteContent
from webapp.serials.register import FrameKind, is_frame
from webapp.serials.tables import SerialNumber


def frames_ordered(content: QuoteContent) -> tuple[FrameKind, ...]:
    """Every frame that a version sells, in the order of its bikes."""
    return tuple(
        frame_kind(bike) for bike in bikes_of(content) for _ in range(content.deal.quantity)
    )


def frame_kind(bike: QuoteContent) -> FrameKind:
    """The frame of one bike."""
    finish = parse_qs(bike.build.query).get("finish", [""])[0]
    return FrameKind(
        model=bike.build.model_slug,
        revision=bike.build.revision,
        size=bike.build.size_slug,
        finish=finish,
    )


def places_of(known: Sequence[SerialNumber | None], ordered: Sequence[FrameKind]) -> list[int]:
    """Which of the ordered frames each serial number belongs to, by its place among them.

    Parameters
    ----------
    known : sequence of SerialNumber or None
        What the register says of each number; None for a new one. At most as many as are
        ordered.
    ordered : sequence of FrameKind

    Returns
    -------
    list of int
        A frame that is known has the first place it fits; the others take what is left, in
        their order.
    """
    left = list(range(len(ordered)))
    found: dict[int, int] = {}
    for at, frame in enumerate(known):
        fits = [p for p in left if frame is not None and is_frame(frame, ordered[p])]
        if fits:
            found[at] = fits[0]
            left.remove(fits[0])
    return [found[at] if at in found else left.pop(0) for at in range(len(known))]
