"""Colours as shops choose them: sRGB in hexadecimal, and whether they can be read.

Contrast is that of WCAG 2.2, success criterion 1.4.3: the lighter relative luminance
and 0.05, over the darker one and 0.05; text needs 4.5.
"""

from __future__ import annotations

import re

PAPER = "#fcfbf8"
"""The ground of every page; `static/css/tokens.css` says the same."""

LEAST = 4.5
"""What WCAG 2.2 asks of text and its ground, level AA."""

_HEX = re.compile(r"#[0-9a-f]{6}")
_DARKENED, _WASHED = 0.77, 0.09  # of the accent: its deep tone, and the tint of its ground


def is_colour(text: str) -> bool:
    """Whether a text is a colour as pages state it.

    >>> is_colour("#a2360f"), is_colour("red")
    (True, False)
    """
    return bool(_HEX.fullmatch(text))


def _channels(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def _hex(red: float, green: float, blue: float) -> str:
    return "#" + "".join(f"{round(min(max(each, 0), 255)):02x}" for each in (red, green, blue))


def _luminance(colour: str) -> float:
    """Relative luminance, 0 for black to 1 for white (WCAG 2.2, its glossary)."""
    shares = [each / 255 for each in _channels(colour)]
    red, green, blue = (
        share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4  # noqa: PLR2004
        for share in shares
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, 1 for equal ones to 21 for black on white.

    >>> round(contrast("#000000", "#ffffff"), 1), round(contrast("#767676", "#ffffff"), 2)
    (21.0, 4.54)
    """
    darker, lighter = sorted((_luminance(one), _luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def mixed(colour: str, other: str, share: float) -> str:
    """A colour with a share of another in it.

    >>> mixed("#000000", "#ffffff", 0.5)
    '#808080'
    """
    pairs = zip(_channels(colour), _channels(other), strict=True)
    return _hex(*(a + (b - a) * share for a, b in pairs))


def readable_on_paper(colour: str) -> str:
    """The colour itself where it can be read on paper, else the same one, as dark as needed.

    >>> readable_on_paper("#a2360f"), readable_on_paper("#ffcc00")
    ('#a2360f', '#867316')
    """
    for step in range(101):
        tried = mixed(colour, "#17212b", step / 100)
        if contrast(tried, PAPER) >= LEAST:
            return tried
    return colour


def tones(accent: str) -> tuple[str, str]:
    """An accent's deep tone, for what is pressed, and the tint of its ground.

    >>> tones("#a2360f")
    ('#7d2a0c', '#f4e9e3')
    """
    return mixed(accent, "#000000", 1 - _DARKENED), mixed(PAPER, accent, _WASHED)
