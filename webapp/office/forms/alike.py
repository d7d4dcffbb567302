"""Which names of standards read like one another, so that none is kept twice."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from difflib import SequenceMatcher
from fractions import Fraction

_VULGAR = re.compile(r"[¼½¾⅐-⅞]")
_MIXED = re.compile(r"(\d+)[\s-]+(\d+)/(\d+)(?!\d)")
_FRACTION = re.compile(r"(?<![\d.])(\d+)/(\d+)(?!\d)")
_INCHES = frozenset({2, 4, 8, 16, 32})
_TOKEN = re.compile(r"\d+(?:\.\d+)?|[a-z]+")
_PLAIN = frozenset({"a", "an", "the", "of", "on", "for", "with", "mm", "inch", "in", "x"})
_LIKE = 0.85  # share of letters in common from which two names are asked about


def alike(name: str, known: Mapping[str, str]) -> tuple[str, ...]:
    """Codes of the known standards that a name may mean.

    Parameters
    ----------
    name : str
        As typed.
    known : mapping of code to name

    Examples
    --------
    >>> known = {"straight-1-1/8": "straight 1⅛ inch steerer", "tapered-1.5": "tapered 1.5 inch"}
    >>> alike("1-1/8", known), alike("1 1/2 tapered", known), alike("threaded 22.2", known)
    (('straight-1-1/8',), ('tapered-1.5',), ())
    """
    own = _tokens(name)
    return tuple(
        code
        for code, called in known.items()
        if any(_near(own, _tokens(t)) for t in (code, called))
    )


def _near(one: frozenset[str], other: frozenset[str]) -> bool:
    numbers = [{token for token in each if token[0].isdigit()} for each in (one, other)]
    if numbers[0] != numbers[1]:
        return False
    if numbers[0] or one <= other or other <= one:
        return bool(one and other)
    texts = ["".join(sorted(each)) for each in (one, other)]
    return SequenceMatcher(a=texts[0], b=texts[1]).ratio() >= _LIKE


def _tokens(text: str) -> frozenset[str]:
    """Numbers and words of a name, in whatever way it is written.

    >>> sorted(_tokens("straight 1⅛ inch")), sorted(_tokens("12×148mm through-axles"))
    (['1.125', 'straight'], ['12', '148', 'axle', 'through'])
    """
    plain = _VULGAR.sub(lambda m: " " + unicodedata.normalize("NFKC", m[0]), text.casefold())
    plain = unicodedata.normalize("NFKD", plain.replace("⁄", "/").replace(",", "."))
    plain = _MIXED.sub(lambda m: _number(m[2], m[3], whole=m[1]) or m[0], plain.replace("⁄", "/"))
    plain = _FRACTION.sub(lambda m: _number(m[1], m[2]) or m[0], plain)
    found = (_bare(token) for token in _TOKEN.findall(plain))
    return frozenset(token for token in found if token not in _PLAIN)


def _number(above: str, below: str, *, whole: str = "0") -> str:
    """A number of inches with a fraction, as a decimal; empty for what is none."""
    if int(below) not in _INCHES or int(above) >= int(below):
        return ""
    return format(float(int(whole) + Fraction(int(above), int(below))), "g")


def _bare(token: str) -> str:
    """A number without its last zeros, a word without its plural."""
    if token[0].isdigit():
        return format(float(token), "g")
    return token[:-1] if token.endswith("s") and len(token) > 3 else token  # noqa: PLR2004
