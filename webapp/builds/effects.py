"""What each other choice would change about price and mass, counted as the build itself is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from functools import cached_property, lru_cache
from typing import NamedTuple

from webapp.builds.choice.build_choice import BuildChoice
from webapp.builds.choice.places import places_sold
from webapp.builds.fitting.calculations.loads import MASSLESS, BikeMass, mass_of
from webapp.builds.pricing import (
    PriceSheet,
    listed_of,
    price_of,
    rules_of,
    sold_parts,
    tax_of,
)
from webapp.builds.solving.solver_inputs import parts_in
from webapp.catalogue.reading.views import AnyPart, Catalogue, SizeView
from webapp.common.text.language import language_and_numbers, tr
from webapp.common.text.money import Money
from webapp.common.text.reader import reads_imperial, signed_mass
from webapp.pricing.sale import Item, Sale, Taxation, price
from webapp.pricing.totals import signed_money


class Effect(NamedTuple):
    """Change of the whole build: of the sum to pay, and of the mass of what is sold.

    None where a price or a mass is not known before or after the change.
    """

    money: Money | None
    mass: float | None

    @property
    def words(self) -> str:
        """Both in a few words, such as ``+ 60 EUR, − 0.3 kg``; empty where nothing changes.

        >>> Effect(money=Money(6000, "EUR"), mass=-0.3).words
        '+ 60 EUR, − 0.3 kg'
        """
        return words_of([self])[0]


def words_of(effects: Iterable[Effect]) -> list[str]:
    """Each effect in a few words."""
    read = reads_imperial(), language_and_numbers()
    return [_words(money and (money.minor, money.currency), mass, *read) for money, mass in effects]


@lru_cache(maxsize=16_384)  # a few thousand differences of parts, written again on every page
def _words(
    paid: tuple[int, str] | None, kg: float | None, imperial: bool, written: tuple[str, str]
) -> str:
    """An effect in words, for those who read these units, in this language and its numbers."""
    del imperial, written
    mass = "" if kg is None or not round(kg, 2) else signed_mass(kg)
    if paid is None:
        return ", ".join(filter(None, (tr("no price yet"), mass)))
    minor, currency = paid
    money = signed_money(Money(minor, currency)) if minor else ""
    return ", ".join(filter(None, (money, mass)))


_MOST_PLACES = 4_000  # whose effects are kept with a catalogue


class Effects:
    """Changes of one build, each with its effect on price and mass.

    Parameters
    ----------
    catalogue : Catalogue
    choice : BuildChoice
        The build that is changed.
    price : PriceSheet, optional
        Its price, where the caller has computed it already.
    """

    def __init__(
        self, catalogue: Catalogue, choice: BuildChoice, *, price: PriceSheet | None = None
    ) -> None:
        self.catalogue, self.choice = catalogue, choice
        self._before = price or price_of(catalogue, choice)
        self.sold = frozenset(place.name for place in places_sold(choice.scope))
        self._moves: dict[int, Money | None] = {}  # many options cost the same

    def of(self, changed: BuildChoice) -> Effect:
        """The effect of any other choice of the same model."""
        if changed == self.choice:
            return Effect(money=self._moved(0), mass=self._shift(0.0))
        listed = listed_of(self.catalogue, changed)
        known = None if listed is None or self._before.unpriced else self._gross(listed)
        return Effect(
            money=None if known is None else known - self._before.gross,
            mass=_difference(self._total, total_of(mass_sold(self.catalogue, changed))),
        )

    def of_part(self, place: str, part: AnyPart | None) -> Effect:
        """The effect of another part, or none, in one place; the same as `of`, faster."""
        return self.of_parts(place, [part])[0]

    def of_parts(self, place: str, parts: Iterable[AnyPart | None]) -> list[Effect]:
        """The effects of several parts in one place, each as `of_part` gives it."""
        if place not in self.sold:
            return [Effect(self._nothing, 0.0) for _ in parts]
        now = self._parts.get(place)
        paid, weighed = self._paid(place, now), self._mass_in(place, now)
        return [
            Effect(
                self._between(paid, self._paid(place, part)),
                _difference(weighed, self._mass_in(place, part)),
            )
            for part in parts
        ]

    def said_of(self, place: str, parts: Sequence[AnyPart | None]) -> tuple[tuple[str, ...], str]:
        """The effects of several parts in one place, in words, and of bringing the part there.

        They are made once for all builds in which they are the same.
        """

        def made() -> tuple[tuple[str, ...], str, object]:
            own = self.of_owning(place) if place in self.sold else Effect(self._nothing, 0.0)
            *others, last = words_of([*self.of_parts(place, parts), own])
            return tuple(others), last, (now, parts)  # held, since their identities are in the key

        now = self._parts.get(place)
        listed = None if self.catalogue.tax_included else self._before.priced.listed.minor
        key = (
            (place, id(now), place in self.sold, place in self.choice.own),
            (bool(self._before.unpriced), self._total is None, listed, reads_imperial()),
            (*self._ruled.get(place, {}).items(),),
            (*map(id, parts),),
        )
        return self.catalogue.memory.nested("effects", most=_MOST_PLACES).of(key, made)[:2]

    def of_owning(self, place: str) -> Effect:
        """The effect of the customer bringing the part of a place; the same as `of`, faster."""
        paid = self._paid(place, self._parts.get(place))
        return Effect(money=self._between(paid, 0), mass=self._shift(0.0))

    def of_size(self, size: SizeView) -> Effect:
        """The effect of another size; the same as `of`, faster."""
        own = self.catalogue.size(self.choice.size)
        return Effect(
            money=self._moved(size.surcharge.minor - own.surcharge.minor),
            mass=self._shift(_difference(own.data.mass, size.data.mass)),
        )

    def of_extra(self, part: AnyPart) -> Effect:
        """The effect of adding an extra, or of leaving out one that is there; as `of`, faster."""
        way = -1 if part.slug in self.choice.extras else 1
        mass = part.data.mass
        return Effect(
            money=None if part.price is None else self._moved(way * part.price.minor),
            mass=self._shift(None if mass is None else way * mass),
        )

    def _moved(self, by: int) -> Money | None:
        """Change of the sum to pay when what is listed changes by so much [minor units]."""
        if by not in self._moves:
            self._moves[by] = None if self._before.unpriced else self._move(by)
        return self._moves[by]

    def _move(self, by: int) -> Money:
        if self.catalogue.tax_included:  # what is listed is what is paid
            return Money(by, self.catalogue.currency)
        return self._gross(self._before.priced.listed.minor + by) - self._before.gross

    def _shift(self, by: float | None) -> float | None:
        """Change of the whole mass; None while it is not known before."""
        return None if self._total is None else by

    @staticmethod
    def _mass_in(place: str, part: AnyPart | None) -> float | None:
        return 0.0 if part is None or place in MASSLESS else part.data.mass

    def _between(self, before: int | None, after: int | None) -> Money | None:
        """Change of the sum to pay; None while a price is not known."""
        return None if before is None or after is None else self._moved(after - before)

    def _paid(self, place: str, part: AnyPart | None) -> int | None:
        """What is listed for a part in a place, packages counted; None without a price."""
        if place in self.choice.own:
            return 0
        if part is None:
            return 0
        packages = self._ruled.get(place)
        saved = packages.get(part.slug, 0) if packages else 0
        return None if part.price is None else part.price.minor + saved

    @cached_property
    def _nothing(self) -> Money:
        return Money(0, self.catalogue.currency)

    @cached_property
    def _ruled(self) -> Mapping[str, Mapping[str, int]]:
        """Packages and surcharges that one place decides in this build: by place, what they come
        to by the part in it.
        """
        sold = sold_parts(self.choice)
        found: dict[str, dict[str, int]] = {}
        for _, rule in rules_of(self.catalogue):
            wanting = {needed for needed in rule.parts if sold.get(needed.place) != needed.part}
            for place in {needed.place for needed in rule.parts}:
                asked = {needed.part for needed in rule.parts if needed.place == place}
                if len(asked) == 1 and all(needed.place == place for needed in wanting):
                    at, slug = found.setdefault(place, {}), asked.pop()
                    at[slug] = at.get(slug, 0) + rule.minor
        return found

    def _gross(self, listed: int) -> Money:
        return _gross_of(listed, self.catalogue.currency, self._tax)

    @cached_property
    def _tax(self) -> Taxation:
        return tax_of(self.catalogue)

    @cached_property
    def _parts(self) -> Mapping[str, AnyPart]:
        return parts_in(self.catalogue, self.choice)

    @cached_property
    def _total(self) -> float | None:
        return total_of(mass_sold(self.catalogue, self.choice))


@lru_cache(maxsize=16_384)  # the options of builds come to a few thousand sums
def _gross_of(listed: int, currency: str, tax: Taxation) -> Money:
    """The total of some prices: all are taxed at one rate, so their sum is enough."""
    items = (Item(key="all", price=Money(listed, currency)),)
    sale = Sale(currency=currency, items=items, home=tax, tax=tax, deposit=Fraction(0))
    return price(sale).bill.gross


def mass_sold(catalogue: Catalogue, choice: BuildChoice) -> BikeMass:
    """Mass of what is sold of a build, the customer's own parts among it."""
    parts, sold = parts_in(catalogue, choice), places_sold(choice.scope)
    return mass_of(
        catalogue.size(choice.size),
        {place.name: parts[place.name] for place in sold if place.name in parts},
        [catalogue.part("extra", slug) for slug in choice.extras],
    )


def total_of(mass: BikeMass) -> float | None:
    """What a bike weighs [kg]; None while the mass of a part is not known."""
    return None if mass.missing else mass.total


def _difference(before: float | None, after: float | None) -> float | None:
    return None if before is None or after is None else after - before
