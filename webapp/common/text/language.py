"""Every sentence people read, in the language of the service.

A sentence is written in the code, in English, inside ``tr`` (or ``trn`` where a
count decides its form), with its values by name::

    tr("{size} is {off} longer than your middle", size="Medium", off="6 mm")

In a template the same functions are there; the sentence may hold markup, and
its values are escaped. Another language is one file, ``languages/xx.po``, made
with ``python -m webapp.common.text.extraction``; the setting ``SERVICE_LANGUAGE``
chooses it for the whole service when it starts. Numbers in a sentence
(``{length:.1f}``) take that language's decimal sign, or the one the shop chose.

``SERVICE_LANGUAGE=pseudo`` puts every sentence between marks. A test reads the pages
that way and finds text that did not come through here.
"""

from __future__ import annotations

import gettext
import os
from collections.abc import Mapping
from functools import cache, lru_cache
from io import BytesIO
from numbers import Number
from pathlib import Path
from string import Formatter

from babel import Locale, UnknownLocaleError
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from babel.numbers import get_decimal_symbol, get_group_symbol
from markupsafe import Markup, escape

LANGUAGES = Path(__file__).with_name("languages")
SOURCE_LANGUAGE = "en"
PSEUDO = "pseudo"
OPENING, CLOSING = "⟦", "⟧"


class UnknownLanguage(ValueError):
    """The setting names a language that has no catalogue."""


class _Marked(gettext.NullTranslations):
    """Puts every sentence between marks, so that text without them stands out."""

    def gettext(self, message: str) -> str:
        return f"{OPENING}{message}{CLOSING}"

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return f"{OPENING}{msgid1 if n == 1 else msgid2}{CLOSING}"


class _Service:
    """The language the service was started in."""

    language: str = os.environ.get("SERVICE_LANGUAGE", "") or SOURCE_LANGUAGE


def language_code() -> str:
    """The language of the service, such as ``en`` or ``pt_BR``.

    Examples
    --------
    >>> language_code()
    'en'
    """
    return _Service.language


@cache
def translations(code: str) -> gettext.NullTranslations:
    """The sentences of one language.

    Raises
    ------
    UnknownLanguage
        When there is no catalogue of that name.
    """
    if code == SOURCE_LANGUAGE:
        return gettext.NullTranslations()
    if code == PSEUDO:
        return _Marked()
    file = LANGUAGES / f"{code}.po"
    if not code.replace("_", "").isalnum() or not file.is_file():
        known = ", ".join(sorted(each.stem for each in LANGUAGES.glob("*.po")))
        raise UnknownLanguage(f"{code!r}: one of {', '.join(filter(None, ('en', known)))}")
    packed = BytesIO()
    with file.open("rb") as source:
        write_mo(packed, read_po(source, locale=code))
    packed.seek(0)
    return gettext.GNUTranslations(packed)


@lru_cache(maxsize=8192)  # there are some four thousand sentences
def _said(code: str, message: str) -> str:
    """A sentence in a language."""
    return translations(code).gettext(message)


class _Numbers:
    """The locale whose signs numbers take; the shop may choose another than its language's."""

    style: str = ""


def use_number_style(code: str) -> None:
    """From now on print numbers with the signs of a locale; empty: of the service's language.

    One shop is served by a process, and it is asked before every page.
    """
    _Numbers.style = code


def language_and_numbers() -> tuple[str, str]:
    """The language of sentences and the locale of numbers: all printed text depends on both."""
    return language_code(), _Numbers.style


@cache
def locale_of(code: str) -> Locale:
    """The rules for numbers and dates of a language; English where Babel knows none."""
    try:
        return Locale.parse(code)
    except (UnknownLocaleError, ValueError):
        return Locale.parse(SOURCE_LANGUAGE)


@cache
def _signs(locale: Locale) -> dict[int, str]:
    """What a locale writes where Python writes a comma or a point; empty where it is the same."""
    own = {",": get_group_symbol(locale), ".": get_decimal_symbol(locale)}
    return {ord(sign): written for sign, written in own.items() if sign != written}


def is_locale(code: str) -> bool:
    """Whether Babel knows the rules of a locale.

    >>> is_locale("nb_NO"), is_locale("dear")
    (True, False)
    """
    try:
        Locale.parse(code)
    except (UnknownLocaleError, ValueError):
        return False
    return True


def localized(digits: str, locale: Locale) -> str:
    """A number as Python prints it, with the signs of a locale.

    Examples
    --------
    >>> localized("1,234.5", Locale("de")), localized("64.5", Locale("en"))
    ('1.234,5', '64.5')
    """
    signs = _signs(locale)
    return digits.translate(signs) if signs else digits


def in_own_signs(digits: str) -> str:
    """A number as Python prints it, with the signs that numbers take here.

    Examples
    --------
    >>> in_own_signs("64.5")
    '64.5'
    """
    signs = _own_signs(_Numbers.style or language_code())
    return digits.translate(signs) if signs else digits


@cache
def _own_signs(code: str) -> dict[int, str]:
    return _signs(locale_of(code))


_Piece = tuple[str, str | None, str | None, str]
_FORMATTER = Formatter()


@lru_cache(maxsize=4096)
def _pieces(sentence: str) -> tuple[_Piece, ...]:
    """A sentence split into pieces: text, the name of the value after it, its format."""
    pieces: list[_Piece] = []
    for text, name, written, turned in _FORMATTER.parse(sentence):
        if (name is not None and not name.isidentifier()) or "{" in (written or ""):
            raise ValueError(f"{sentence!r} names a value by more than its name")
        pieces.append((text, name, turned, written or ""))
    return tuple(pieces)


@lru_cache(maxsize=4096)
def _has_numbers(sentence: str) -> bool:
    """Whether some of its values have a format, as numbers do."""
    return any(how for *_, how in _pieces(sentence))


def _written(value: object, how: str) -> str:
    """A value as `format` writes it; a number in the signs that numbers take here."""
    text = format(value, how)
    if how and isinstance(value, Number):
        return in_own_signs(text)
    return text


def tr(message: str, /, **values: object) -> str:
    """A sentence in the language of the service.

    Parameters
    ----------
    message : str
        The sentence in English, values in braces by name: ``"{count} bikes"``.
    **values
        What stands in the braces.

    Returns
    -------
    str
        The sentence with its values.

    Examples
    --------
    >>> tr("The axle sits at {position:.1f} mm.", position=6)
    'The axle sits at 6.0 mm.'
    >>> tr("Whole bike")
    'Whole bike'
    """
    said = _said(_Service.language, message)
    return filled(said, **values) if values else said


def in_service_language(text: str) -> str:
    """A text declared outside `tr`, such as a field's description, in the language of the service.

    A translator finds it in the catalogue file like every other sentence.

    Examples
    --------
    >>> in_service_language("Head angle")
    'Head angle'
    """
    return translations(language_code()).gettext(text) if text else text


def filled(sentence: str, /, **values: object) -> str:
    """A sentence from `tr` whose placeholders were left open, with its values.

    Examples
    --------
    >>> filled(tr("a ring of at most {most:g} teeth"), most=33.0)
    'a ring of at most 33 teeth'
    """
    if not (_has_numbers(sentence) and _own_signs(_Numbers.style or _Service.language)):
        return sentence.format_map(values)
    told = []
    for text, name, turned, how in _pieces(sentence):
        told.append(text)
        if name is not None:
            value = values[name]
            told.append(_written(_FORMATTER.convert_field(value, turned) if turned else value, how))
    return "".join(told)


def trn(one: str, many: str, count: int, /, **values: object) -> str:
    """A sentence whose form depends on a count, which stands in it as ``{count}``.

    Examples
    --------
    >>> [trn("{count} check is clear", "{count} checks are clear", n) for n in (1, 3)]
    ['1 check is clear', '3 checks are clear']
    """
    said = translations(language_code()).ngettext(one, many, count)
    return filled(said, count=count, **values)


def tr_markup(message: str, /, **values: object) -> Markup:
    """`tr` for templates: the sentence may hold markup, its values are escaped.

    Examples
    --------
    >>> tr_markup("For <b>{name}</b>", name="A & B")
    Markup('For <b>A &amp; B</b>')
    """
    if not values:
        return _said_in_markup(_Service.language, message)
    return _filled_markup(_said(_Service.language, message), values)


@lru_cache(maxsize=4096)
def _said_in_markup(code: str, message: str) -> Markup:
    return Markup(_said(code, message))  # noqa: S704 - a template's own text


def _filled_markup(sentence: str, values: Mapping[str, object]) -> Markup:
    """A sentence of markup with its values, each escaped unless it is markup itself."""
    told = []
    for text, name, turned, how in _pieces(sentence):
        told.append(text)
        if name is not None:
            value = values[name]
            value = _FORMATTER.convert_field(value, turned) if turned else value
            told.append(escape(_written(value, how) if how else value))
    return Markup("".join(told))  # noqa: S704 - a template's own text


def trn_markup(one: str, many: str, count: int, /, **values: object) -> Markup:
    """`trn` for templates."""
    said = translations(language_code()).ngettext(one, many, count)
    return _filled_markup(said, {"count": count, **values})
