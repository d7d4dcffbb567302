"""The builds nearest to a position: closest, as sold, cheapest, of like handling, best trades."""

from __future__ import annotations

from fractions import Fraction
from types import MappingProxyType

from geometry.search import Bounds, combinations, failed, trades
from webapp.builds.choice.places import PLACE_OF
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.common.text.money import EXPONENTS
from webapp.match.stances import FIGURES
from webapp.match.wish import HANDLING, MASS, PRICE, Matched, Wish
from webapp.match.wish_search import WishSearch

MOST_TRADES = 12

KNOWN = (*FIGURES, PRICE, MASS)
"""Everything that may be bounded."""


def match(catalogue: Catalogue, wish: Wish) -> Matched:
    """Search all possible builds of a model.

    Parameters
    ----------
    catalogue : Catalogue
    wish : Wish

    Returns
    -------
    Matched

    Raises
    ------
    Invalid
        A bound or handling on what is no such figure, bounds the wrong way round, a
        fixed place or part that does not exist, or parts that cannot stand in any size.
    """
    _check(catalogue, wish)
    own = WishSearch.of(catalogue, wish)
    bounds = _with_minor_price(catalogue, wish.bounds)
    considered = own.search.considered(bounds)
    size = len(own.all.cockpits), len(own.all.saddles)
    rim = trades(own.best, name=PRICE, of=own.all.price, bounds=bounds, most=MOST_TRADES)
    return Matched(
        combinations=combinations(considered, *size),
        failed=MappingProxyType(failed(own.search.refusals, considered, *size)),
        answers=own.answers(rim[0], bounds) if rim else (),
        trades=tuple(own.answer("trade", found) for found in rim),
        loosen=() if rim else tuple(own.loosened(bounds)),
    )


def _check(catalogue: Catalogue, wish: Wish) -> None:
    for name, (least, most) in wish.bounds.items():
        if name not in KNOWN:
            known = ", ".join(KNOWN)
            raise Invalid(f"bounds.{name}", name, tr("one of {known}", known=known))
        if least > most:
            remedy = tr("the least first, then the most")
            raise Invalid(f"bounds.{name}", f"{least:g}, {most:g}", remedy)
    for name in wish.handling:
        if name not in HANDLING:
            raise Invalid(f"handling.{name}", name, tr("one of {known}", known=", ".join(HANDLING)))
    for place, slug in wish.fixed.items():
        _check_fixed(catalogue, place, slug)


def _check_fixed(catalogue: Catalogue, place: str, slug: str) -> None:
    known = (
        [size.slug for size in catalogue.sizes]
        if place == "size"
        else [part.slug for part in catalogue.offered(PLACE_OF[place].kind)]
        if place in PLACE_OF
        else None
    )
    if known is None:
        places = ", ".join(["size", *PLACE_OF])
        raise Invalid(f"fixed.{place}", place, tr("one of {known}", known=places))
    if slug not in known:
        raise Invalid(f"fixed.{place}", slug, tr("one of {known}", known=", ".join(known)))


def _shown_over_listed(catalogue: Catalogue) -> Fraction:
    """The factor from listed prices to the total paid."""
    if catalogue.tax_included:
        return Fraction(1)
    return 1 + Fraction(catalogue.settings.tax_percent) / 100


def _with_minor_price(catalogue: Catalogue, bounds: Bounds) -> Bounds:
    """The bounds with the price in minor units as listed."""
    if PRICE not in bounds:
        return bounds
    scale = float(10 ** EXPONENTS[catalogue.currency] / _shown_over_listed(catalogue))
    least, most = bounds[PRICE]
    return {**bounds, PRICE: (least * scale - 0.5, most * scale + 0.5)}
