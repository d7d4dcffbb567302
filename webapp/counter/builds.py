"""The builds of a quote as fields of its form: kept, computed anew, added, taken out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from urllib.parse import parse_qs

from sqlmodel import Session

from webapp.builds.choice.build_choice import read_choice
from webapp.builds.evaluation import BuildResult, compute
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.prices import Buyer
from webapp.common.errors import Invalid
from webapp.common.query_strings import revision_in
from webapp.common.text.language import tr
from webapp.quote.agreed_terms.deal import OFF
from webapp.quote.customer import Customer
from webapp.quote.freezing.bikes import MOST_BIKES, bike_of, key_of
from webapp.quote.freezing.content import PriceBasis, QuoteContent
from webapp.quote.freezing.freeze_build import freeze
from webapp.quote.freezing.kept_prices import with_kept_prices
from webapp.quote.freezing.pricing import basis_from, basis_of
from webapp.quote.lifecycle.permissions import read_again
from webapp.quote.lifecycle.request import with_rider
from webapp.quote.quoted_rider import build_with_kept_rider, rideable
from webapp.quote.storage.read import QuoteView


def build_field(bike: int) -> str:
    """The field of a bike's build: ``build``, ``build_2`` and so on.

    >>> build_field(1), build_field(2)
    ('build', 'build_2')
    """
    return "build" if bike == 1 else f"build_{bike}"


BUILDS = tuple(build_field(bike) for bike in range(1, MOST_BIKES + 1))
"""The fields of all builds a quote can hold, in their order."""


def build_of(view: QuoteView) -> str:
    """The build of a version of one bike as one field: model and query, its rider with it."""
    build = f"{view.content.build.model_slug}?{view.content.build.query}"
    return build_with_kept_rider(build, view.customer)


def builds_of(view: QuoteView) -> dict[str, str]:
    """The builds of a version as fields; those it could hold besides are empty."""
    kept = (build_of(bike) for bike in view.bikes)
    return dict.fromkeys(BUILDS, "") | dict(zip(BUILDS, kept, strict=False))


def rider_of(view: QuoteView, bike: int) -> Customer:
    """The rider of a bike; nobody is known yet for one that is added."""
    return view.customer.riding(bike)


def without_bike(fields: Mapping[str, str], bike: int) -> dict[str, str]:
    """The fields of a quote without one of its bikes: those after it move up, discounts too.

    >>> without_bike({"build": "a", "build_2": "b", "build_3": "c", "off_bike3-fork": "5 %"}, 2)
    {'build': 'a', 'build_2': 'c', 'off_bike2-fork': '5 %'}
    """
    found = {name: text for name, text in fields.items() if name not in BUILDS}
    kept = [fields[name] for name in BUILDS if fields.get(name) and name != build_field(bike)]
    moved: dict[str, str] = dict(zip(BUILDS, kept, strict=False))
    for name, text in found.items():
        of, key = bike_of(name.removeprefix(OFF))
        if not name.startswith(OFF) or of < bike:
            moved[name] = text
        elif of > bike:
            moved[OFF + key_of(of - 1, key)] = text
    return moved


def computed_bikes(
    session: Session,
    view: QuoteView,
    fields: Mapping[str, str],
    customer: Customer,
    *,
    on: date,
    prices_today: bool,
    buyer: Buyer,
) -> tuple[list[QuoteContent], list[Customer]]:
    """Each bike of a version to come, with its rider: kept as it is, or computed anew.

    Returns
    -------
    tuple of (list, list)
        A content of one bike each, nothing agreed yet; and who rides it.

    Raises
    ------
    Invalid
        For parts that cannot stand together or have no price.
    """
    bikes = view.bikes
    kept = [build_of(bike) for bike in bikes]
    contents: list[QuoteContent] = []
    riding: list[Customer] = []
    for at, build in enumerate(filter(None, map(fields.get, BUILDS))):
        was = _where(build, kept, at)
        rider = customer.riding(was + 1)
        if was < len(bikes) and build == kept[was] and not prices_today:
            content = bikes[was].content
        else:
            before = bikes[was] if was < len(bikes) and not prices_today else None
            content, rider = _computed(session, build, rider, before, on=on, buyer=buyer)
        contents.append(content)
        riding.append(rider)
    if not contents:
        raise Invalid(BUILDS[0], "", tr("at least one bike"))
    return contents, riding


def _where(build: str, kept: Sequence[str], at: int) -> int:
    """The former place of a build: its own, or a later one where a bike before it was taken out."""
    if at < len(kept) and kept[at] == build:
        return at
    return kept.index(build) if build in kept else at


def _computed(
    session: Session,
    build: str,
    customer: Customer,
    before: QuoteView | None,
    *,
    on: date,
    buyer: Buyer,
) -> tuple[QuoteContent, Customer]:
    slug, _, query = build.partition("?")
    asked = parse_qs(query, keep_blank_values=True)
    catalogue = load_catalogue(session, slug, revision_in(asked), buyer=buyer)
    choice = read_choice(catalogue, rideable(asked, customer, catalogue)).strict()
    result = compute(catalogue, choice)
    if before is not None:
        result = with_kept_prices(result, before.content, on=on)
    content = freeze(result, on=on, before=before.content if before else None)
    return content, with_rider(catalogue, choice, customer)


def bases_with(
    session: Session, view: QuoteView, result: BuildResult, bike: int, *, prices_today: bool
) -> Sequence[PriceBasis]:
    """List prices of every bike of a version, one of them changed or added."""
    bikes = view.bikes
    bases = [_basis(session, each, prices_today=prices_today) if at != bike else None
             for at, each in enumerate(bikes, start=1)]  # fmt: skip
    if bike > len(bikes):
        bases.append(None)
    return [basis_from(result.price) if basis is None else basis for basis in bases]


def _basis(session: Session, view: QuoteView, *, prices_today: bool) -> PriceBasis:
    if not prices_today:
        return basis_of(view.content)
    catalogue, read = read_again(session, view)
    return basis_from(compute(catalogue, read.choice).price)
