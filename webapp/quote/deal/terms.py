"""What the shop agrees with a customer on top of the price list: discounts, delivery, times.

A deal is typed at the counter, frozen with the version it makes, and put back
into the form when the next version is made.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import Self

from pydantic import BaseModel, ConfigDict

from webapp.common.errors import Gathering, Invalid
from webapp.common.text.language import tr
from webapp.common.text.money import EXPONENTS, Money
from webapp.pricing.sums import Discount
from webapp.quote.customer import one_line, several_lines

MOST_OF_ONE = 99
LONGEST_REASON = 120
LONGEST_WORDS = 120
LONGEST_MESSAGE = 2000
LONGEST_VALIDITY = timedelta(days=366)
OFF = "off_"
REASON = "_reason"
ADDED = "added_"
AMOUNT, COUNT = "_amount", "_count"
ADDED_LINES = tuple(f"{ADDED}{n}" for n in range(1, 7))
"""Names of the lines that can be added, so that two people changing them can be merged."""
DEAREST = 100_000_000  # what can be typed as a price [minor units]; no bike costs a tenth of it
PERCENT_PLACES = 2


class _Given(BaseModel):
    """A piece of a deal."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class Off(_Given):
    """A discount as given: a percentage or an amount, and why."""

    percent: Decimal | None = None
    minor: int | None = None
    reason: str = ""

    def discount(self, currency: str, *, field: str) -> Discount:
        """The same for the engine, which refuses it at the field it was typed in."""
        if self.percent is not None:
            return Discount(part=Fraction(self.percent) / 100, field=field)
        return Discount(amount=Money(self.minor or 0, currency), field=field)

    def typed(self, currency: str) -> str:
        """As it stands in the form: ``5 %`` or ``120.00``.

        >>> Off(percent=Decimal("7.5")).typed("EUR"), Off(minor=12000).typed("EUR")
        ('7.5 %', '120.00')
        """
        if self.percent is not None:
            return f"{self.percent.normalize():f} %"
        return Money(self.minor or 0, currency).plain()


class Added(_Given):
    """Work or a part that is not in the catalogue: what it is, the price of one, how many.

    The price is with or without tax as the price list is. The number is that of
    the whole quote, however many bikes it is for.
    """

    words: str
    minor: int
    count: int = 1

    @property
    def item(self) -> str:
        """As it is printed.

        >>> Added(words="Rack painted", minor=9000).item
        'Rack painted'
        >>> Added(words="Spare spoke", minor=150, count=8).item
        '8 × Spare spoke'
        """
        return f"{self.count} × {self.words}" if self.count > 1 else self.words


class Deal(_Given):
    """Everything agreed; its defaults are what the price list and the shop say."""

    quantity: int = 1
    lines: tuple[tuple[str, Off], ...] = ()
    added: tuple[tuple[str, Added], ...] = ()
    whole: Off | None = None
    delivery_minor: int = 0
    delivery_words: str = ""
    destination: str = ""
    deposit_percent: Decimal | None = None
    lead_time: str = ""
    valid_until: date | None = None
    message: str = ""
    workshop_note: str = ""

    def off(self, line: str) -> Off | None:
        """The discount on one line."""
        return dict(self.lines).get(line)

    def without_words(self) -> Self:
        """The same figures without anything somebody wrote, for when a person is erased."""
        bare = tuple((key, off.model_copy(update={"reason": ""})) for key, off in self.lines)
        added = tuple((key, each.model_copy(update={"words": ""})) for key, each in self.added)
        whole = self.whole.model_copy(update={"reason": ""}) if self.whole else None
        words = {"delivery_words": "", "message": "", "workshop_note": ""}
        changed = {"lines": bare, "added": added, "whole": whole, **words}
        return self.model_copy(update=changed)


def fields_of(deal: Deal, currency: str) -> dict[str, str]:
    """The deal as the fields of its form; the inverse of `read_deal`.

    Examples
    --------
    >>> fields = fields_of(Deal(quantity=2, delivery_minor=4500), "EUR")
    >>> fields["quantity"], fields["delivery"], fields["discount"]
    ('2', '45.00', '')
    """
    whole = deal.whole
    fields = {
        "quantity": str(deal.quantity),
        "discount": whole.typed(currency) if whole else "",
        "discount_reason": whole.reason if whole else "",
        "delivery": Money(deal.delivery_minor, currency).plain() if deal.delivery_minor else "",
        "delivery_words": deal.delivery_words,
        "destination": deal.destination,
        "deposit": "" if deal.deposit_percent is None else f"{deal.deposit_percent.normalize():f}",
        "lead_time": deal.lead_time,
        "valid_until": deal.valid_until.isoformat() if deal.valid_until else "",
        "message": deal.message,
        "workshop_note": deal.workshop_note,
    }
    for key, off in deal.lines:
        fields |= {f"{OFF}{key}": off.typed(currency), f"{OFF}{key}{REASON}": off.reason}
    return fields | _fields_added(deal, currency)


def _fields_added(deal: Deal, currency: str) -> dict[str, str]:
    """All lines that can be added; what is not used is empty."""
    fields = {key + part: "" for key in ADDED_LINES for part in ("", AMOUNT, COUNT)}
    for key, each in deal.added:
        fields |= {
            key: each.words,
            key + AMOUNT: Money(each.minor, currency).plain(),
            key + COUNT: str(each.count),
        }
    return fields


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
        found = self.gathering.take(lambda: _off(name, typed, self.currency))
        if found and not reason:
            self.gathering.add(name + REASON, "", tr("why it is given; it is printed on the quote"))
        return found.model_copy(update={"reason": reason}) if found else None

    def amount(self, name: str) -> int:
        typed = self.text(name).replace(",", ".") if self.text(name) else "0"
        found = self.gathering.take(lambda: _amount(name, typed, self.currency))
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
        return Added(words=words, minor=self.amount(name + AMOUNT), count=count)

    def quantity(self, name: str) -> int:
        typed = self.text(name) or "1"
        number = typed.isascii() and typed.isdigit() and len(typed) <= len(str(MOST_OF_ONE))
        if number and 1 <= int(typed) <= MOST_OF_ONE:
            return int(typed)
        self.gathering.add(
            name, typed, tr("a whole number from 1 to {most_of_one}", most_of_one=MOST_OF_ONE)
        )
        return 1

    def deposit(self) -> Decimal | None:
        typed = self.text("deposit").rstrip("% ").replace(",", ".")
        return self.gathering.take(lambda: _percent("deposit", typed)) if typed else None

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
    destinations: tuple[str, ...],
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
    destinations : tuple of str
        Names of the places the shop sends to.
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
    destination = form.text("destination")
    if destination and destination not in destinations:
        form.gathering.add(
            "destination", destination, tr("one of {choices}", choices=", ".join(destinations))
        )
    deal = Deal(
        quantity=form.quantity("quantity"),
        lines=tuple((key, off) for key in lines if (off := form.off(OFF + key))),
        added=tuple((key, each) for key in ADDED_LINES if (each := form.added(key))),
        whole=form.off("discount"),
        delivery_minor=form.amount("delivery"),
        delivery_words=form.words("delivery_words"),
        destination=destination,
        deposit_percent=form.deposit(),
        lead_time=form.words("lead_time"),
        valid_until=form.valid_until(today),
        message=form.long("message"),
        workshop_note=form.long("workshop_note"),
    )
    form.gathering.finish()
    return deal


def _off(name: str, typed: str, currency: str) -> Off:
    if typed.endswith("%"):
        return Off(percent=_percent(name, typed.rstrip("% ").replace(",", ".")))
    remedy = tr(
        "an amount such as {example}, or a percentage such as 5 %", example=_example(currency)
    )
    return Off(minor=_amount(name, typed, currency, remedy).minor)


def _percent(name: str, typed: str) -> Decimal:
    remedy = tr("a percentage from 0 to 100 with at most two decimals")
    try:
        percent = Decimal(typed)
    except InvalidOperation:
        raise Invalid(name, typed, remedy) from None
    exponent = percent.normalize().as_tuple().exponent if percent.is_finite() else "n"
    if not isinstance(exponent, int) or exponent < -PERCENT_PLACES or not 0 <= percent <= 100:  # noqa: PLR2004
        raise Invalid(name, typed, remedy)
    return percent


def _example(currency: str) -> str:
    return f"{129:.{EXPONENTS[currency]}f}"


def _amount(name: str, typed: str, currency: str, remedy: str = "") -> Money:
    try:
        amount = Money.parse(typed, currency)
    except ValueError:
        amount = Money(-1, currency)
    if amount.minor < 0:
        raise Invalid(
            name, typed, remedy or tr("an amount such as {example}", example=_example(currency))
        )
    return amount
