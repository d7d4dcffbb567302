"""What a build costs: lines, tax and deposit in whole minor units."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from webapp.builds.choice.build_choice import BuildChoice
from webapp.builds.choice.places import places_sold
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.solving.solver_inputs import parts_in
from webapp.catalogue.reading.views import AnyPart, Catalogue
from webapp.catalogue.schema.part_kinds import LabourData
from webapp.catalogue.schema.shop import PriceRule
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.pricing.sale import Item, Priced, Sale, Taxation, price

RULE = "rule-"
"""How the key of a line begins that is a package price or a surcharge."""


class PriceLine(NamedTuple):
    """One line of the build list; ``amount`` is None while the part has no price."""

    key: str
    place: str
    item: str
    amount: Money | None


@dataclass(frozen=True, kw_only=True)
class PriceSheet:
    """All lines, and what they come to.

    Parameters
    ----------
    lines : tuple of PriceLine
    priced : Priced
        What the lines with a price come to.
    tax : Taxation
        Of the price list.
    deposit_percent : str
        As printed.
    price_list : str
        Name of the list the prices are from.
    unpriced : tuple of str
        Items that have no price; with any of them the total is incomplete.
    """

    lines: tuple[PriceLine, ...]
    priced: Priced
    tax: Taxation
    deposit_percent: str
    price_list: str
    unpriced: tuple[str, ...]

    @property
    def gross(self) -> Money:
        """The sum to pay."""
        return self.priced.bill.gross

    @property
    def deposit(self) -> Money:
        """Part of it due when ordering."""
        return self.priced.deposit


def price_sheet(setup: Setup) -> PriceSheet:
    """Price a build.

    Parameters
    ----------
    setup : Setup
        Its catalogue has prices, tax and deposit; its scope decides what is sold.

    Returns
    -------
    PriceSheet
    """
    return price_of(setup.catalogue, setup.choice)


def price_of(catalogue: Catalogue, choice: BuildChoice) -> PriceSheet:
    """Price a choice, whether or not its parts go together."""
    return summed(
        tuple(price_lines_of(catalogue, choice)),
        currency=catalogue.currency,
        tax=tax_of(catalogue),
        deposit_percent=f"{catalogue.settings.deposit_percent.normalize():f}",
        price_list=catalogue.price_list,
    )


def tax_of(catalogue: Catalogue) -> Taxation:
    """The tax of the price list."""
    settings = catalogue.settings
    return Taxation(
        name=settings.tax_name,
        percent=f"{settings.tax_percent.normalize():f}",
        included=catalogue.tax_included,
    )


def summed(
    lines: tuple[PriceLine, ...],
    *,
    currency: str,
    tax: Taxation,
    deposit_percent: str,
    price_list: str,
) -> PriceSheet:
    """What lines come to, however they were priced.

    Parameters
    ----------
    lines : tuple of PriceLine
    currency : str
        ISO 4217 code of them all.
    tax : Taxation
    deposit_percent, price_list : str
        As printed.

    Returns
    -------
    PriceSheet
    """
    sold = Sale(
        currency=currency,
        items=tuple(Item(key=line.key, price=line.amount) for line in lines if line.amount),
        home=tax,
        tax=tax,
        deposit=Fraction(deposit_percent) / 100,
    )
    return PriceSheet(
        lines=lines,
        priced=price(sold),
        tax=tax,
        deposit_percent=deposit_percent,
        price_list=price_list,
        unpriced=tuple(line.item for line in lines if line.amount is None),
    )


def price_lines_of(catalogue: Catalogue, choice: BuildChoice) -> Iterator[PriceLine]:
    """Every line of a build list: the frame, its parts, extras, work, packages and surcharges."""
    size, parts = catalogue.size(choice.size), parts_in(catalogue, choice)
    yield PriceLine(
        key="frame",
        place=tr("Frame"),
        item=tr(
            "{model}, size {size}, revision {revision}",
            model=catalogue.model.name,
            size=size.name,
            revision=catalogue.revision.number,
        ),
        amount=catalogue.frame_price + size.surcharge,
    )
    for place in places_sold(choice.scope):
        part = parts.get(place.name)
        if part is None or part.assumed:
            continue
        if place.name in choice.own:
            yield _own_line(place.name, place.label, part, catalogue.currency)
        else:
            yield _line(place.name, place.label, part)
    for slug in choice.extras:
        yield _line(f"extra-{slug}", tr("Extra"), catalogue.part("extra", slug))
    if choice.scope == "bike":
        yield from _labour(catalogue)
    for key, name, minor in rules_applied(catalogue, choice):
        yield PriceLine(
            key=key,
            place=tr("Package") if minor < 0 else tr("Surcharge"),
            item=name,
            amount=Money(minor, catalogue.currency),
        )


def listed_of(catalogue: Catalogue, choice: BuildChoice) -> int | None:
    """What the lines of a choice add up to [minor units]; None while one has no price."""
    amounts = [line.amount for line in price_lines_of(catalogue, choice)]
    return None if None in amounts else sum(amount.minor for amount in amounts if amount)


def rules_applied(catalogue: Catalogue, choice: BuildChoice) -> Iterator[tuple[str, str, int]]:
    """Package prices and surcharges whose parts are all sold: key, name, minor units."""
    sold = sold_parts(choice)
    for at, rule in rules_of(catalogue):
        if all(sold.get(needed.place) == needed.part for needed in rule.parts):
            yield f"{RULE}{at}", rule.name, rule.minor


def rules_of(catalogue: Catalogue) -> list[tuple[int, PriceRule]]:
    """Package prices and surcharges of the catalogue's model, each with its number."""
    rules, models = catalogue.settings.price_rules, ("", catalogue.model.slug)
    return [(at, rule) for at, rule in enumerate(rules) if rule.model in models]


def sold_parts(choice: BuildChoice) -> Mapping[str, str]:
    """Slugs of the parts the shop sells, by place; none of the customer's own."""
    return {
        place.name: choice.parts[place.name]
        for place in places_sold(choice.scope)
        if place.name not in choice.own
    }


def _line(key: str, place: str, part: AnyPart) -> PriceLine:
    return PriceLine(key=key, place=place, item=part.name, amount=part.price)


def _own_line(key: str, place: str, part: AnyPart, currency: str) -> PriceLine:
    """A part that the customer brings: listed, at nothing."""
    item = tr("{part} (the customer’s own)", part=part.name)
    return PriceLine(key=key, place=place, item=item, amount=Money(0, currency))


def _labour(catalogue: Catalogue) -> list[PriceLine]:
    """Work that every whole bike is sold with."""
    return [
        _line(f"labour-{part.slug}", tr("Work"), part)
        for part in catalogue.offered(LabourData)
        if part.data.always
    ]
