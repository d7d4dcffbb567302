"""The range of a frame: the least and the most of each main figure that any build reaches."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from geometry.search import Package, Sum, Target
from webapp.builds.choice.build_choice import read_choice
from webapp.builds.evaluation import BuildResult, compute
from webapp.builds.solving.solver_inputs import UNLOADED
from webapp.catalogue.reading.views import Catalogue
from webapp.common.text.glossary import entry
from webapp.common.text.language import tr
from webapp.common.text.units import number, with_unit
from webapp.fit.candidate_builds import as_sold
from webapp.match.part_masks import SIZE
from webapp.match.wish import PRICE, Wish
from webapp.match.wish_search import WishSearch

MAIN = (
    "head_angle", "bb_height", "chainstay_length", "wheelbase", "trail", "standover", "reach",
    "stack", PRICE,
)  # fmt: skip
"""The main figures of a frame."""

_MOST_KEPT = 16


@dataclass(frozen=True, kw_only=True)
class Span:
    """The builds at both ends of one figure.

    Parameters
    ----------
    key : str
        One of `MAIN`.
    least, most : BuildResult
        Among builds of the same end those whose rider sits most as the size is sold.
    """

    key: str
    least: BuildResult
    most: BuildResult


def value_in(key: str, result: BuildResult) -> float:
    """A main figure of a build, as it stands unloaded; its price in minor units."""
    if key == PRICE:
        return float(result.price.gross.minor)
    return float(result.states[UNLOADED].figures[key])


def figure_name(key: str) -> str:
    """What a main figure is called."""
    return tr("Price") if key == PRICE else entry(key).name


def printed_in(key: str, result: BuildResult) -> str:
    """A main figure of a build with its unit."""
    if key == PRICE:
        return result.price.gross.format()
    figure = entry(key)
    return with_unit(number(value_in(key, result), figure.decimals), figure.unit)


def spans(catalogue: Catalogue, size: str = "") -> tuple[Span, ...]:
    """Both ends of every main figure among the builds that could be ordered; remembered.

    Parameters
    ----------
    catalogue : Catalogue
    size : str
        Slug; empty for all sizes.

    Returns
    -------
    tuple of Span
        Empty where no build could be ordered.
    """
    cache = catalogue.memory.nested("what the frame can be", most=_MOST_KEPT)
    return cache.of(size, lambda: tuple(_spans(catalogue, size)))


def _spans(catalogue: Catalogue, size: str) -> Iterator[Span]:
    wish = Wish(
        target=_as_sold(catalogue, size),
        bounds={},
        fixed={SIZE: size} if size else {},
        tolerance=np.inf,
        handling={},
    )
    search = WishSearch.of(catalogue, wish)
    for key in MAIN:
        ends = [search.best(first=_cost(search, key, way), bounds={}) for way in (1.0, -1.0)]
        results = [search.results[end.index] for end in ends if end is not None]
        if len(results) == len(ends):
            yield Span(key=key, least=results[0], most=results[1])


def _as_sold(catalogue: Catalogue, size: str) -> Target:
    """Where a rider sits on a size as sold, or on the middle size."""
    usual = read_choice(catalogue, {}).choice
    sold = compute(catalogue, as_sold(catalogue, usual, catalogue.size(size or usual.size)))
    state = sold.states[UNLOADED]
    (gx, gy), (sx, sy) = state.hands.grips, state.seated.saddle
    return Target(grip=(float(gx), float(gy)), saddle=(float(sx), float(sy)))


def _cost(search: WishSearch, key: str, way: float) -> Sum:
    """The cost to minimise for one end of a figure's range."""
    price = search.all.price
    if key != PRICE:
        figures = search.all.stances.figures[key]
        nothing = np.zeros(len(search.all.cockpits)), np.zeros(len(search.all.saddles))
        return Sum(stances=way * figures, fronts=nothing[0], seats=nothing[1])
    return Sum(
        stances=way * price.stances,
        fronts=way * price.fronts,
        seats=way * price.seats,
        packages=tuple(_package(each, way) for each in price.packages),
    )


def _package(package: Package, way: float) -> Package:
    return replace(package, amount=way * package.amount)
