"""What a build costs: lines, tax and deposit in whole minor units."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from webapp.builds.choice.places import places_sold
from webapp.builds.fitting.calculations.setup import Setup
from webapp.catalogue.reading.views import AnyPart, Catalogue
from webapp.catalogue.schema.part_kinds import LabourData
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.pricing.sale import Item, Priced, Sale, Taxation, price

RULE = "rule-"
"""How the key of a line begins that is a package price or a surcharge."""


@dataclass(frozen=True, kw_only=True)
class PriceLine:
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
    lines, catalogue = tuple(_lines(setup)), setup.catalogue
    settings = catalogue.settings
    tax = Taxation(
        name=settings.tax_name,
        percent=f"{settings.tax_percent.normalize():f}",
        included=catalogue.tax_included,
    )
    return summed(
        lines,
        currency=catalogue.currency,
        tax=tax,
        deposit_percent=f"{settings.deposit_percent.normalize():f}",
        price_list=catalogue.price_list,
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


def _lines(setup: Setup) -> list[PriceLine]:
    catalogue, assembly, scope = setup.catalogue, setup.assembly, setup.choice.scope
    size = assembly.size
    frame = PriceLine(
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
    parts = [
        _line(place.name, place.label, assembly.parts[place.name])
        for place in places_sold(scope)
        if place.name in assembly.parts and not assembly.parts[place.name].assumed
    ]
    extras = [_line(f"extra-{part.slug}", tr("Extra"), part) for part in assembly.extras]
    work = _labour(catalogue) if scope == "bike" else []
    return [frame, *parts, *extras, *work, *_rules(setup)]


def _rules(setup: Setup) -> list[PriceLine]:
    """Package prices and surcharges whose parts are all sold with the build."""
    catalogue, choice = setup.catalogue, setup.choice
    sold = {place.name: choice.parts[place.name] for place in places_sold(choice.scope)}
    return [
        PriceLine(
            key=f"{RULE}{at}",
            place=tr("Package") if rule.minor < 0 else tr("Surcharge"),
            item=rule.name,
            amount=Money(rule.minor, catalogue.currency),
        )
        for at, rule in enumerate(catalogue.settings.price_rules)
        if rule.model in ("", catalogue.model.slug)
        and all(sold.get(needed.place) == needed.part for needed in rule.parts)
    ]


def _line(key: str, place: str, part: AnyPart) -> PriceLine:
    return PriceLine(key=key, place=place, item=part.name, amount=part.price)


def _labour(catalogue: Catalogue) -> list[PriceLine]:
    """Work that every whole bike is sold with."""
    return [
        _line(f"labour-{part.slug}", tr("Work"), part)
        for part in catalogue.offered(LabourData)
        if part.data.always
    ]
