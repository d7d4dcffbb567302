"""What a build costs: lines, tax and deposit in whole minor units."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from webapp.builds.assembling import Assembly
from webapp.builds.choice import PLACES, SCOPES, BuildChoice, Place, Scope
from webapp.catalogue.part_data import LabourData
from webapp.catalogue.views import Catalogue, PartView
from webapp.ground.money import Money, total

SCOPE_WORDS: dict[Scope, str] = {
    "bike": "whole bike",
    "frameset": "frame, fork and headset",
    "frame": "frame alone",
}


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
    net, tax, gross : Money
        Without tax, the tax, and together. Tax is reckoned once on the total
        and rounded half up to the minor unit.
    deposit : Money
        Part of the gross due when ordering, rounded the same way.
    tax_name : str
    tax_percent, deposit_percent : str
        As printed.
    tax_included : bool
        Whether the lines are with tax.
    unpriced : tuple of str
        Items that have no price; with any of them the total is incomplete.
    """

    lines: tuple[PriceLine, ...]
    net: Money
    tax: Money
    gross: Money
    deposit: Money
    tax_name: str
    tax_percent: str
    deposit_percent: str
    tax_included: bool
    unpriced: tuple[str, ...]


def places_sold(scope: Scope) -> tuple[Place, ...]:
    """Places whose parts are sold in a scope: a whole bike has them all.

    >>> [place.name for place in places_sold("frame")]
    ['finish', 'axle']
    """
    scopes = SCOPES[SCOPES.index(scope) :]
    return tuple(place for place in PLACES if place.scope in scopes)


def price_sheet(catalogue: Catalogue, choice: BuildChoice, assembly: Assembly) -> PriceSheet:
    """Price a build.

    Parameters
    ----------
    catalogue : Catalogue
        Prices, tax and deposit.
    choice : BuildChoice
        Its scope decides what is sold.
    assembly : Assembly
        Its parts.

    Returns
    -------
    PriceSheet
    """
    lines = tuple(_lines(catalogue, choice, assembly))
    listed = total([line.amount for line in lines if line.amount], catalogue.currency)
    share = Fraction(catalogue.settings.tax_percent) / 100
    if catalogue.tax_included:
        tax = listed.share(share / (1 + share))
        net, gross = listed - tax, listed
    else:
        tax = listed.share(share)
        net, gross = listed, listed + tax
    deposit = Fraction(catalogue.settings.deposit_percent) / 100
    return PriceSheet(
        lines=lines,
        net=net,
        tax=tax,
        gross=gross,
        deposit=gross.share(deposit),
        tax_name=catalogue.settings.tax_name,
        tax_percent=f"{catalogue.settings.tax_percent.normalize():f}",
        deposit_percent=f"{catalogue.settings.deposit_percent.normalize():f}",
        tax_included=catalogue.tax_included,
        unpriced=tuple(line.item for line in lines if line.amount is None),
    )


def _lines(catalogue: Catalogue, choice: BuildChoice, assembly: Assembly) -> list[PriceLine]:
    size = assembly.size
    frame = PriceLine(
        key="frame",
        place="Frame",
        item=f"{catalogue.model.name}, size {size.name}, revision {catalogue.revision.number}",
        amount=catalogue.frame_price + size.surcharge,
    )
    parts = [
        _line(place.name, place.label, assembly.parts[place.name])
        for place in places_sold(choice.scope)
        if place.name in assembly.parts
    ]
    extras = [_line(f"extra-{part.slug}", "Extra", part) for part in assembly.extras]
    work = _labour(catalogue) if choice.scope == "bike" else []
    return [frame, *parts, *extras, *work, *_rules(catalogue, choice)]


def _rules(catalogue: Catalogue, choice: BuildChoice) -> list[PriceLine]:
    """Package prices and surcharges whose parts are all sold with the build."""
    sold = {place.name: choice.parts[place.name] for place in places_sold(choice.scope)}
    return [
        PriceLine(
            key=f"rule-{at}",
            place="Package" if rule.minor < 0 else "Surcharge",
            item=rule.name,
            amount=Money(rule.minor, catalogue.currency),
        )
        for at, rule in enumerate(catalogue.settings.price_rules)
        if rule.model in ("", catalogue.model.slug)
        and all(sold.get(needed.place) == needed.part for needed in rule.parts)
    ]


def _line(key: str, place: str, part: PartView) -> PriceLine:
    return PriceLine(key=key, place=place, item=part.name, amount=part.price)


def _labour(catalogue: Catalogue) -> list[PriceLine]:
    """Work that every whole bike is sold with."""
    return [
        _line(f"labour-{part.slug}", "Work", part)
        for part in catalogue.offered("labour")
        if isinstance(part.data, LabourData) and part.data.always
    ]
