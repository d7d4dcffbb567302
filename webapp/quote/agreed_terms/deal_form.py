"""Reads a deal from its form, and says at each field what cannot be used."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal

from webapp.catalogue.schema.shop import Destination
from webapp.common.errors import Gathering
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.common.text.typed_numbers import read_amount, read_either, read_percent
from webapp.customers.typed import one_line, several_lines
from webapp.quote.agreed_terms.deal import (
    ADDED_LINES,
    AMOUNT,
    COUNT,
    DEAREST,
    LONGEST_MESSAGE,
    LONGEST_REASON,
    LONGEST_TAX_NUMBER,
    LONGEST_VALIDITY,
    LONGEST_WORDS,
    MOST_OF_ONE,
    OFF,
    REASON,
    TAX,
    Added,
    Deal,
    Off,
    TradedIn,
)


class _Form:
    """Reads a deal's fields, noting what is wrong."""

    def __init__(self, fields: Mapping[str, str], currency: str) -> None:
        self.fields = fields
        self.currency = currency
        self.gathering = Gathering()

    def text(self, name: str) -> str:
        return one_line(self.fields.get(name, ""))

    def words(self, name: str, longest: int = LONGEST_WORDS) -> str:
        text = self.text(name)
        if len(text) > longest:
            remedy = tr(
                "at most {longest} characters; this has {length}", longest=longest, length=len(text)
            )
            self.gathering.add(name, text, remedy)
        return text[:longest]

    def long(self, name: str) -> str:
        text = several_lines(self.fields.get(name, ""))
        if len(text) > LONGEST_MESSAGE:
            remedy = tr(
                "at most {longest} characters; this has {length}",
                longest=LONGEST_MESSAGE,
                length=len(text),
            )
            self.gathering.add(name, text, remedy)
        return text[:LONGEST_MESSAGE]

    def off(self, name: str) -> Off | None:
        typed, reason = self.text(name), self.words(name + REASON, LONGEST_REASON)
        if not typed:
            if reason:
                self.gathering.add(name, "", tr("how much is taken off: 5 % or an amount"))
            return None
        given = self.gathering.take(lambda: read_either(name, typed, self.currency))
        if given is None:
            return None
        found = Off(minor=given.minor) if isinstance(given, Money) else Off(percent=given)
        if not reason:
            self.gathering.add(name + REASON, "", tr("why it is given; it is printed on the quote"))
        return found.model_copy(update={"reason": reason})

    def amount(self, name: str) -> int:
        typed = self.text(name) or "0"
        found = self.gathering.take(lambda: read_amount(name, typed, self.currency))
        if found and found.minor > DEAREST:
            most = Money(DEAREST, self.currency).format()
            self.gathering.add(name, typed, tr("at most {most}", most=most))
        return found.minor if found else 0

    def added(self, name: str) -> Added | None:
        words = self.words(name)
        if not words:
            if self.text(name + AMOUNT):
                self.gathering.add(name, "", tr("what it is; it is printed on the quote"))
            return None
        if not self.text(name + AMOUNT):
            self.gathering.add(name + AMOUNT, "", tr("the price of one; 0 when it costs nothing"))
        count = self.quantity(name + COUNT)
        tax = self.percent(name + TAX)
        return Added(words=words, minor=self.amount(name + AMOUNT), count=count, tax_percent=tax)

    def traded_in(self) -> TradedIn | None:
        words, typed = self.words("traded_in"), self.text("traded_in_amount")
        if not words and not typed:
            return None
        if not words:
            self.gathering.add("traded_in", "", tr("what it is; it is printed on the quote"))
        if not typed:
            self.gathering.add("traded_in_amount", "", tr("its value in payment"))
        return TradedIn(words=words, minor=self.amount("traded_in_amount"))

    def percent(self, name: str) -> Decimal | None:
        typed = self.text(name)
        return self.gathering.take(lambda: read_percent(name, typed)) if typed else None

    def quantity(self, name: str) -> int:
        typed = self.text(name) or "1"
        number = typed.isascii() and typed.isdigit() and len(typed) <= len(str(MOST_OF_ONE))
        if number and 1 <= int(typed) <= MOST_OF_ONE:
            return int(typed)
        self.gathering.add(
            name, typed, tr("a whole number from 1 to {most_of_one}", most_of_one=MOST_OF_ONE)
        )
        return 1

    def deposit(self) -> Decimal | Money | None:
        typed = self.text("deposit")
        if not typed:
            return None
        return self.gathering.take(lambda: read_either("deposit", typed, self.currency))

    def destination(self, places: tuple[Destination, ...]) -> Destination | None:
        typed = self.text("destination")
        found = next((place for place in places if place.slug == typed), None)
        if typed and not found:
            choices = ", ".join(place.name for place in places)
            self.gathering.add("destination", typed, tr("one of {choices}", choices=choices))
        return found

    def tax_number(self, place: Destination | None) -> str:
        number = self.words("tax_number", LONGEST_TAX_NUMBER)
        if place and place.needs_tax_number and not number:
            remedy = tr(
                "the customer's VAT number: without it, {place} is not taxed like this",
                place=place.name,
            )
            self.gathering.add("tax_number", "", remedy)
        return number

    def rates_at_home(self, deal: Deal) -> None:
        """Rates of single lines are those of the shop's own country."""
        own = [key + TAX for key, each in deal.added if each.tax_percent is not None]
        own += ["delivery_tax"] if deal.delivery_tax_percent is not None else []
        for name in own if deal.destination else ():
            remedy = tr("only where the bike stays at home: elsewhere one rate is due on all")
            self.gathering.add(name, self.text(name), remedy)

    def valid_until(self, today: date) -> date | None:
        typed = self.text("valid_until")
        if not typed:
            return None
        try:
            day = date.fromisoformat(typed)
        except ValueError:
            self.gathering.add(
                "valid_until", typed, tr("a day such as {isoformat}", isoformat=today.isoformat())
            )
            return None
        if not today <= day <= today + LONGEST_VALIDITY:
            self.gathering.add("valid_until", typed, tr("a day from today to a year from now"))
        return day


def read_deal(
    fields: Mapping[str, str],
    *,
    currency: str,
    lines: tuple[str, ...],
    places: tuple[Destination, ...],
    today: date,
) -> Deal:
    """Read a deal from its form.

    Parameters
    ----------
    fields : mapping of str to str
        As typed; fields of other forms are passed by.
    currency : str
        ISO 4217 code of its amounts.
    lines : tuple of str
        Keys of the lines that can be discounted; a discount on any other line,
        such as one for a part that is not in the build any more, is left out.
    places : tuple of Destination
        Where the shop sends to.
    today : date

    Returns
    -------
    Deal

    Raises
    ------
    Invalid
        With every field that cannot be used.
    """
    form = _Form(fields, currency)
    place, deposit = form.destination(places), form.deposit()
    deal = Deal(
        quantity=form.quantity("quantity"),
        lines=tuple((key, off) for key in lines if (off := form.off(OFF + key))),
        added=tuple((key, each) for key in ADDED_LINES if (each := form.added(key))),
        whole=form.off("discount"),
        delivery_minor=form.amount("delivery"),
        delivery_words=form.words("delivery_words"),
        delivery_tax_percent=form.percent("delivery_tax"),
        destination=place.slug if place else "",
        deposit_percent=deposit if isinstance(deposit, Decimal) else None,
        deposit_minor=deposit.minor if isinstance(deposit, Money) else None,
        traded_in=form.traded_in(),
        tax_number=form.tax_number(place),
        lead_time=form.words("lead_time"),
        valid_until=form.valid_until(today),
        message=form.long("message"),
        workshop_note=form.long("workshop_note"),
    )
    form.rates_at_home(deal)
    form.gathering.finish()
    return deal
