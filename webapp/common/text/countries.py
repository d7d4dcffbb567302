"""Countries, and what is usual in each: currency, time zone, language of numbers, units, paper.

All of it is the Unicode CLDR's, as Babel carries it; what it proposes is only a start.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from zoneinfo import available_timezones

from babel.core import get_global
from babel.languages import get_official_languages
from babel.numbers import get_territory_currencies

from webapp.common.text.language import is_locale, language_code, locale_of, localized
from webapp.common.text.money import EXPONENTS

_INCHES = frozenset({"US", "LR", "MM"})  # countries that measure in inches and pounds
_LETTER = frozenset({"US", "CA", "MX", "CL", "CO", "CR", "GT", "NI", "PA", "PH", "SV", "VE"})
_LETTERS, _NOWHERE = 2, "ZZ"  # of a country's code; of a region nobody knows


@dataclass(frozen=True, kw_only=True)
class Usual:
    """What is usual in a country; empty where nothing is known."""

    currency: str
    time_zone: str
    number_style: str
    units: str
    paper: str


def countries() -> tuple[tuple[str, str], ...]:
    """Two letters and name of every country, by name in the language of the service.

    >>> [code for code, name in countries() if name in ("Norway", "Unknown Region")]
    ['NO']
    """
    return _countries(language_code())


@cache
def _countries(language: str) -> tuple[tuple[str, str], ...]:
    zones = get_global("territory_zones")
    names = locale_of(language).territories
    found = [
        (code, names[code])
        for code in zones
        if len(code) == _LETTERS and code in names and code != _NOWHERE
    ]
    return tuple(sorted(found, key=lambda pair: pair[1]))


def country_name(code: str) -> str:
    """A country's name in the language of the service; the code itself where none is known.

    >>> country_name("NO")
    'Norway'
    """
    return str(locale_of(language_code()).territories.get(code, code))


def usual_in(code: str) -> Usual:
    """What is usual in a country.

    >>> found = usual_in("NO")
    >>> found.currency, found.time_zone, found.number_style, found.units, found.paper
    ('NOK', 'Europe/Oslo', 'nb_NO', 'metric', 'A4')
    """
    money = [each for each in get_territory_currencies(code) if each in EXPONENTS]
    known = available_timezones()
    zones = [each for each in get_global("territory_zones").get(code, ()) if each in known]
    return Usual(
        currency=money[0] if money else "",
        time_zone=zones[0] if zones else "UTC",
        number_style=_number_style(code),
        units="imperial" if code in _INCHES else "metric",
        paper="Letter" if code in _LETTER else "A4",
    )


def _number_style(code: str) -> str:
    for language in get_official_languages(code):
        if is_locale(f"{language}_{code}"):
            return f"{language}_{code}"
    return ""


@cache
def number_styles() -> tuple[tuple[str, str], ...]:
    """One locale for each way of writing numbers, and how a number looks in it.

    Signs and not languages are what is chosen here, so of all that write alike the first
    in this list stands for them.
    """
    codes = ("en", "de", "fr", "sv", "de_CH", "pl", "it", "nl", "nb", "da", "cs", "es", "pt", "ja")
    found: dict[str, str] = {}
    for code in codes:
        found.setdefault(number_example(code), code)
    return tuple((code, example) for example, code in found.items())


def number_example(code: str) -> str:
    """A number as a locale writes it.

    >>> number_example("de")
    '1.234,5'
    """
    return localized("1,234.5", locale_of(code))
