"""Money: whole minor units (cents) and an ISO 4217 code, never a float."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Self

from webapp.common.text.language import in_own_signs

# Decimal digits of the minor unit, ISO 4217:2015 list one. Only what a builder
# sells in; another currency is one more line here.
EXPONENTS = {
    "AUD": 2,
    "CAD": 2,
    "CHF": 2,
    "CZK": 2,
    "DKK": 2,
    "EUR": 2,
    "GBP": 2,
    "JPY": 0,
    "KWD": 3,
    "NOK": 2,
    "NZD": 2,
    "PLN": 2,
    "SEK": 2,
    "USD": 2,
}

_AMOUNT = re.compile(r"(-?)([0-9]{1,12}|[0-9]{1,3}(?:,[0-9]{3}){1,3})(?:\.([0-9]{1,3}))?")


@dataclass(frozen=True)
class Money:
    """An exact amount of one currency.

    Parameters
    ----------
    minor : int
        Amount in minor units: cents for EUR, whole yen for JPY.
    currency : str
        ISO 4217 code, one of `EXPONENTS`.

    Raises
    ------
    TypeError
        For a minor amount that is not a whole number.
    ValueError
        For an unknown currency.

    Examples
    --------
    >>> price = Money(123450, "EUR")
    >>> price.format()
    '1,234.50 EUR'
    >>> (price * 2 - Money(1, "EUR")).format()
    '2,468.99 EUR'
    """

    minor: int
    currency: str

    def __post_init__(self) -> None:
        if isinstance(self.minor, bool) or not isinstance(self.minor, int):
            raise TypeError(f"money is counted in whole minor units, not {self.minor!r}")
        if self.currency not in EXPONENTS:
            raise ValueError(f"{self.currency!r} is not one of {', '.join(EXPONENTS)}")

    @classmethod
    def parse(cls, text: str, currency: str) -> Self:
        """The amount written as ``1234.5`` or ``1,234.50``, in ``currency``.

        Raises
        ------
        ValueError
            For anything that is not such a number, or has more decimals than the currency.

        Examples
        --------
        >>> Money.parse("1,234.5", "EUR")
        Money(minor=123450, currency='EUR')
        """
        empty = cls(0, currency)
        digits = EXPONENTS[currency]
        found = _AMOUNT.fullmatch(text.strip())
        if found is None or len(found[3] or "") > digits:
            raise ValueError(f"{text!r} is not an amount with at most {digits} decimals")
        minor = int(found[2].replace(",", "") + (found[3] or "").ljust(digits, "0"))
        return cls(-minor if found[1] else minor, empty.currency)

    def _same(self, other: Money) -> None:
        if self.currency != other.currency:
            raise ValueError(f"cannot mix {self.currency} and {other.currency}")

    def __add__(self, other: Money) -> Money:
        self._same(other)
        return Money(self.minor + other.minor, self.currency)

    def __sub__(self, other: Money) -> Money:
        self._same(other)
        return Money(self.minor - other.minor, self.currency)

    def __neg__(self) -> Money:
        return Money(-self.minor, self.currency)

    def __mul__(self, count: int) -> Money:
        if isinstance(count, bool) or not isinstance(count, int):
            raise TypeError("money is multiplied by whole numbers; use share() for a part of it")
        return Money(self.minor * count, self.currency)

    __rmul__ = __mul__

    def __lt__(self, other: Money) -> bool:
        self._same(other)
        return self.minor < other.minor

    def __le__(self, other: Money) -> bool:
        self._same(other)
        return self.minor <= other.minor

    def share(self, part: Fraction) -> Money:
        """A part of the amount (tax, deposit, discount), rounded half up to the minor unit.

        Half a minor unit goes away from zero, so that a refund mirrors its charge.

        Parameters
        ----------
        part : Fraction
            The part, exact: ``Fraction(19, 100)`` for 19 in a hundred. Never a float.

        Raises
        ------
        TypeError
            For a part that is not a `Fraction`.

        Examples
        --------
        >>> Money(1050, "EUR").share(Fraction(19, 100)).format()
        '2.00 EUR'
        """
        if not isinstance(part, Fraction):
            raise TypeError("a share of money is an exact Fraction")
        exact = self.minor * part
        size = (2 * abs(exact.numerator) + exact.denominator) // (2 * exact.denominator)
        return Money(size if exact >= 0 else -size, self.currency)

    def format(self) -> str:
        """The amount for people: grouped as the shop writes numbers, all decimals, code behind.

        Examples
        --------
        >>> Money(-5, "EUR").format(), Money(1200, "JPY").format()
        ('-0.05 EUR', '1,200 JPY')
        """
        return f"{self.figure()} {self.currency}"

    def figure(self) -> str:
        """The amount without its code, for a column whose heading states the currency.

        Examples
        --------
        >>> Money(123450, "EUR").figure()
        '1,234.50'
        """
        return in_own_signs(self._decimal(","))

    def typed(self) -> str:
        """The amount as it stands in a field: no groups, no code, the decimal sign used here.

        Examples
        --------
        >>> Money(123450, "EUR").typed()
        '1234.50'
        """
        return in_own_signs(self.plain())

    def plain(self) -> str:
        """The amount as a machine reads it: no groups, no code, a decimal point.

        Examples
        --------
        >>> Money(123450, "EUR").plain(), Money(-5, "EUR").plain()
        ('1234.50', '-0.05')
        """
        return self._decimal("")

    def _decimal(self, groups: str) -> str:
        digits = EXPONENTS[self.currency]
        whole, rest = divmod(abs(self.minor), 10**digits)
        decimals = f".{rest:0{digits}d}" if digits else ""
        sign = "-" if self.minor < 0 else ""
        return f"{sign}{whole:,}{decimals}".replace(",", groups)

    def __str__(self) -> str:
        return self.format()


def total(amounts: list[Money], currency: str) -> Money:
    """Sum of amounts of one currency; zero of it for an empty list.

    Examples
    --------
    >>> total([Money(100, "EUR"), Money(50, "EUR")], "EUR").format()
    '1.50 EUR'
    """
    nothing = Money(0, currency)
    for each in amounts:
        nothing._same(each)
    return Money(sum(each.minor for each in amounts), currency)
