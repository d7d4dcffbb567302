"""Amounts and percentages as people type them: read when there is one reading, else asked back.

``1,250.00``, ``1.250,00``, ``1 250``, ``1'250.-`` and ``45 EUR`` are amounts; ``5 %``, ``7,5%``
and ``5 per cent`` are percentages. The international system allows point and comma as the
decimal sign, and a space between groups of three (ISO 80000-1:2022, section 7.3).
"""

from __future__ import annotations

import re
from decimal import Decimal

from webapp.common.errors import Invalid
from webapp.common.text.language import in_own_signs, tr
from webapp.common.text.money import EXPONENTS, Money

_SIGNS = {"€": "EUR", "£": "GBP", "zł": "PLN", "kč": "CZK", "fr.": "CHF"}
"""Signs that belong to one currency alone; those of several, such as a dollar's, to any of them."""
_SHARED = {"$": ("AUD", "CAD", "NZD", "USD"), "¥": ("JPY",), "kr": ("DKK", "NOK", "SEK")}

_AROUND = re.compile(r"(?P<before>[^\d\s.,'’-]*)\s*(?P<figure>.*?\d)(?P<after>\D*)", re.DOTALL)
_NO_CENTS = re.compile(r"[.,]\s*[-–—]{1,2}$")
_PERCENT = re.compile(r"\s*(%|per ?cent)$", re.IGNORECASE)
_ONE_SIGN = re.compile(r"[0-9]{1,3}[.,][0-9]{3}")
PERCENT_PLACES = 2
_WHOLE = 100  # per cent
_GROUP = 3  # digits


def is_percentage(typed: str) -> bool:
    """Whether the typed text is marked as a percentage.

    >>> is_percentage("5 %"), is_percentage("5 per cent"), is_percentage("5")
    (True, True, False)
    """
    return _PERCENT.search(typed.strip()) is not None


def read_amount(name: str, typed: str, currency: str, *, remedy: str = "") -> Money:
    """An amount of money as typed.

    Parameters
    ----------
    name : str
        The field, for whoever is asked back.
    typed : str
        As typed; not empty.
    currency : str
        ISO 4217 code it is meant in, named or not.
    remedy : str
        What to say when it is no amount at all.

    Returns
    -------
    Money
        Not negative.

    Raises
    ------
    Invalid
        When it is no amount, is of another currency, or has two readings.

    Examples
    --------
    >>> [read_amount("price", t, "EUR").format() for t in ("1,250.00", "1.250,00", "45 EUR")]
    ['1,250.00 EUR', '1,250.00 EUR', '45.00 EUR']
    >>> read_amount("price", "1.250", "EUR")
    Traceback (most recent call last):
    webapp.common.errors.Invalid: price is '1.250': if it is 1250.00, write it so
    >>> read_amount("price", "1,250", "KWD")
    Traceback (most recent call last):
    webapp.common.errors.Invalid: price is '1,250': is it 1250.000 or 1.250?

    What is proposed, and stands in fields, can be typed.

    >>> read_amount("price", "1.250", "KWD").format()
    '1.250 KWD'
    """
    bare = _without_currency(name, _NO_CENTS.sub("", typed.strip()), currency)
    readings = _readings(bare, EXPONENTS[currency])
    if not readings:
        example = in_own_signs(f"{129:.{EXPONENTS[currency]}f}")
        raise Invalid(name, typed, remedy or tr("an amount such as {example}", example=example))
    found = [Money.parse(each, currency) for each in readings]
    if as_printed := [each for each in found if bare in {each.typed(), each.plain()}]:
        return as_printed[0]
    if len(found) > 1:
        one, other = (each.typed() for each in found)
        raise Invalid(name, typed, tr("is it {one} or {other}?", one=one, other=other))
    if _ONE_SIGN.fullmatch(bare):
        # A thousand to whoever groups so, a typing error to whoever writes decimals so.
        raise Invalid(name, typed, tr("if it is {one}, write it so", one=found[0].typed()))
    return found[0]


def read_percent(name: str, typed: str) -> Decimal:
    """A percentage as typed, with its sign or without.

    Parameters
    ----------
    name : str
        The field, for whoever is asked back.
    typed : str

    Returns
    -------
    Decimal
        From 0 to 100 with at most two decimals.

    Raises
    ------
    Invalid

    Examples
    --------
    >>> read_percent("discount", "7,5 %"), read_percent("discount", "5")
    (Decimal('7.5'), Decimal('5'))
    """
    bare = _PERCENT.sub("", typed.strip()).replace(",", ".")
    fitting = re.fullmatch(rf"[0-9]{{1,3}}(\.[0-9]{{1,{PERCENT_PLACES}}})?", bare)
    if not fitting or Decimal(bare) > _WHOLE:
        raise Invalid(name, typed, tr("a percentage from 0 to 100 with at most two decimals"))
    return Decimal(bare)


def read_either(name: str, typed: str, currency: str) -> Decimal | Money:
    """A percentage or an amount, as the typed text is marked.

    Parameters
    ----------
    name : str
        The field, for whoever is asked back.
    typed : str
        Not empty.
    currency : str
        ISO 4217 code.

    Returns
    -------
    Decimal or Money
        The percentage, or the amount.

    Raises
    ------
    Invalid
        When it is neither, or could be both.

    Examples
    --------
    >>> read_either("off", "5 %", "EUR"), read_either("off", "120", "EUR").format()
    (Decimal('5'), '120.00 EUR')
    >>> read_either("off", "5", "EUR")
    Traceback (most recent call last):
    webapp.common.errors.Invalid: off is '5': 5 % or 5 EUR? Type the sign beside the number
    """
    if is_percentage(typed):
        return read_percent(name, typed)
    example = in_own_signs(f"{129:.{EXPONENTS[currency]}f}")
    remedy = tr("an amount such as {example}, or a percentage such as 5 %", example=example)
    amount = read_amount(name, typed, currency, remedy=remedy)
    bare = typed.strip()
    no_sign = re.fullmatch(r"[0-9]{1,3}([.,][0-9])?", bare)
    if no_sign and amount.minor <= _WHOLE * 10 ** EXPONENTS[currency] and amount.minor:
        remedy = tr(
            "{number} % or {number} {currency}? Type the sign beside the number",
            number=bare,
            currency=currency,
        )
        raise Invalid(name, typed, remedy)
    return amount


def _without_currency(name: str, typed: str, currency: str) -> str:
    """The figure alone; refused when another currency stands beside it."""
    found = _AROUND.fullmatch(typed)
    if not found:
        return typed
    named = [word for word in (found["before"].strip(), found["after"].strip()) if word]
    for word in named:
        meant = _currencies(word)
        if meant and currency not in meant:
            raise Invalid(name, typed, tr("an amount in {currency}", currency=currency))
        if not meant:
            return typed
    return found["figure"] if len(named) < 2 else typed  # noqa: PLR2004


def _currencies(word: str) -> tuple[str, ...]:
    """The currencies a word or sign may stand for."""
    if word.upper() in EXPONENTS:
        return (word.upper(),)
    sign = word.lower()
    return (_SIGNS[sign],) if sign in _SIGNS else _SHARED.get(sign, ())


def _readings(bare: str, places: int) -> list[str]:
    """What the digits may mean, written with a point and without groups."""
    parts = re.split(r"([.,'’]|\s+)", bare)
    digits = parts[0::2]
    signs = ["'" if s == "’" else s if s in ".,'" else " " for s in parts[1::2]]
    if not all(re.fullmatch("[0-9]+", part) for part in digits) or len("".join(digits)) > 12:  # noqa: PLR2004
        return []
    found = []
    if _grouped(digits, signs):
        found.append("".join(digits))
    decimal = signs and signs[-1] in ".," and signs.count(signs[-1]) == 1
    if decimal and len(digits[-1]) <= places and _grouped(digits[:-1], signs[:-1]):
        found.append("".join(digits[:-1]) + "." + digits[-1])
    return found


def _grouped(digits: list[str], signs: list[str]) -> bool:
    """Whether these are groups of three behind a first that is shorter or alone."""
    if not signs:
        return True
    first, rest = digits[0], digits[1:]
    fitting = 1 <= len(first) <= _GROUP and first[0] != "0"
    return fitting and len(set(signs)) == 1 and all(len(part) == _GROUP for part in rest)
