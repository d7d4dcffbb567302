"""Several bikes in one quote: each a content of its own, all of them one content.

What is done with one bike (drawn, checked, printed, priced by the list) is done with each
in turn, by the same functions; only the price is worked out on all their lines together.
The lines of the second bike are known by ``bike2-fork``, ``bike2-frame`` and so on.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.quote.agreed_terms.deal import OFF
from webapp.quote.freezing.content import FrozenBike, FrozenBuild, PriceBasis, QuoteContent
from webapp.quote.freezing.pricing import basis_of

MOST_BIKES = 6
_OF_ONE_BIKE = tuple(FrozenBike.model_fields)
_FURTHER = re.compile(r"bike([2-9])-(.+)")


def key_of(bike: int, key: str) -> str:
    """The key of a bike's line in the whole quote.

    >>> key_of(1, "fork"), key_of(2, "fork")
    ('fork', 'bike2-fork')
    """
    return key if bike == 1 else f"bike{bike}-{key}"


def bike_of(key: str) -> tuple[int, str]:
    """Which bike a line is of, and its key there.

    >>> bike_of("fork"), bike_of("bike2-fork")
    ((1, 'fork'), (2, 'fork'))
    """
    found = _FURTHER.fullmatch(key)
    return (int(found[1]), found[2]) if found else (1, key)


def place_of(key: str, place: str) -> str:
    """The place of a line, with the bike it is of where that is a further one.

    >>> place_of("fork", "Fork"), place_of("bike2-fork", "Fork")
    ('Fork', 'Bike 2: Fork')
    """
    bike, _ = bike_of(key.removeprefix(OFF))
    return place if bike == 1 else tr("Bike {number}: {place}", number=bike, place=place)


def bikes_of(content: QuoteContent) -> tuple[QuoteContent, ...]:
    """Each bike as a content of its own, with its own lines of the list; the price is of all."""
    if not content.further:
        return (content,)
    basis = basis_of(content)
    first = content.model_copy(update={"further": (), "basis": _lines_of(basis, 1)})
    others = (
        content.model_copy(
            update={
                **{name: getattr(bike, name) for name in _OF_ONE_BIKE},
                "further": (),
                "basis": _lines_of(basis, number),
            }
        )
        for number, bike in enumerate(content.further, start=2)
    )
    return (first, *others)


def _lines_of(basis: PriceBasis, bike: int) -> PriceBasis:
    told = ((bike_of(line.key), line) for line in basis.lines)
    lines = (line.model_copy(update={"key": key}) for (of, key), line in told if of == bike)
    return basis.model_copy(update={"lines": tuple(lines)})


def together(bikes: Sequence[QuoteContent]) -> QuoteContent:
    """One content of all bikes, at the prices of the list; its deal is still to be put in.

    Parameters
    ----------
    bikes : sequence of QuoteContent
        One each, as `webapp.quote.freezing.freeze_build.freeze` makes them.
    """
    first, *others = bikes
    if not others:
        return first
    further = (
        FrozenBike(**{name: getattr(bike, name) for name in _OF_ONE_BIKE}) for bike in others
    )
    basis = one_basis([basis_of(bike) for bike in bikes])
    return first.model_copy(update={"basis": basis, "further": tuple(further)})


def one_basis(bases: Sequence[PriceBasis]) -> PriceBasis:
    """The list prices of all bikes as one list.

    Raises
    ------
    Invalid
        For bikes listed in other currencies, or with tax otherwise.
    """
    first, *others = bases
    if not others:
        return first
    if len({_taxed(basis) for basis in bases}) > 1:
        remedy = tr("bikes priced with the same tax in one currency; take the prices of today")
        raise Invalid("build", first.currency, remedy)
    lines = (
        line.model_copy(update={"key": key_of(number, line.key)})
        for number, basis in enumerate(bases, start=1)
        for line in basis.lines
    )
    lists = ", ".join(dict.fromkeys(basis.price_list for basis in bases))
    return first.model_copy(update={"lines": tuple(lines), "price_list": lists})


def _taxed(basis: PriceBasis) -> tuple[str, bool, str, str]:
    return basis.currency, basis.tax_included, basis.tax_name, basis.tax_percent


def extra_weeks_of(content: QuoteContent) -> float:
    """What the finish that takes longest adds to the shop's lead time."""
    return max(build.extra_weeks for build in builds_of(content))


def names_of(content: QuoteContent) -> tuple[str, str]:
    """Models and sizes of all bikes of a quote, as lists show them."""
    builds = builds_of(content)
    return joined(build.model for build in builds), joined(build.size for build in builds)


def builds_of(content: QuoteContent) -> tuple[FrozenBuild, ...]:
    """The build of every bike."""
    return (content.build, *(bike.build for bike in content.further))


def queries_of(content: QuoteContent) -> tuple[str, ...]:
    """The address of every bike's build; those of further ones name their model too."""
    further = (f"{bike.build.model_slug}?{bike.build.query}" for bike in content.further)
    return (content.build.query, *further)


def in_short(content: QuoteContent) -> str:
    """Model and size of each bike, one after the other."""
    said = (tr("{model}, {size}", model=b.model, size=b.size) for b in builds_of(content))
    return "; ".join(said)


def joined(words: Iterable[str]) -> str:
    """Several texts in one line; equal ones once.

    >>> joined(["Knapweed", "Knapweed"]), joined(["Medium", "Large"])
    ('Knapweed', 'Medium + Large')
    """
    return " + ".join(dict.fromkeys(words))


def heading_of(content: QuoteContent, bike: int) -> str:
    """The heading of one bike of several: its number, model and size."""
    build = builds_of(content)[bike - 1]
    return tr(
        "Bike {number}: {model}, size {size}", number=bike, model=build.model, size=build.size
    )
