"""Changes that make a size fit: the parts, and what they cost more."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from webapp.catalogue.reading.views import AnyPart
from webapp.common.text.money import Money
from webapp.fit.candidate_builds import Fitting, PostReach, SizeStand

Changed = Literal["spacers", "stem", "handlebar", "post"]


@dataclass(frozen=True, kw_only=True)
class Change:
    """One change from how a size is sold.

    Parameters
    ----------
    place : {'spacers', 'stem', 'handlebar', 'post'}
    part : AnyPart or None
        The new part; None for spacers.
    spacers : float [mm]
        Under the stem, once changed.
    before : float [mm]
        Under the stem, as sold.
    price : Money or None
        What it costs more than the part it replaces; None where a price is not known.
        Spacers cost nothing.
    """

    place: Changed
    part: AnyPart | None = None
    spacers: float = 0.0
    before: float = 0.0
    price: Money | None = None


def changes_to(stood: SizeStand, fitting: Fitting, post: PostReach) -> tuple[Change, ...]:
    """The changes from a size as sold to another cockpit and post.

    Parameters
    ----------
    stood : SizeStand
    fitting : Fitting
    post : PostReach

    Returns
    -------
    tuple of Change
        In a mechanic's order; empty where all is as sold.
    """
    sold, found = stood.sold, []
    if fitting.spacers != sold.spacers:
        found.append(Change(place="spacers", spacers=fitting.spacers, before=sold.spacers))
    if fitting.stem.slug != sold.stem.slug:
        found.append(_swap("stem", fitting.stem, sold.stem))
    if fitting.handlebar.slug != sold.handlebar.slug:
        found.append(_swap("handlebar", fitting.handlebar, sold.handlebar))
    if not post.sold:
        found.append(_swap("post", post.post, stood.assembly.parts["post"]))
    return tuple(found)


def _swap(place: Changed, part: AnyPart, instead_of: AnyPart) -> Change:
    known = part.price is not None and instead_of.price is not None
    return Change(
        place=place,
        part=part,
        price=part.price - instead_of.price if known else None,  # type: ignore[operator]
    )
