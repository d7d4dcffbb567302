"""Which of our dimensions the heading of an imported column means.

Our own names are read as they are printed, in the language of the service; the
trade's usual English spellings and abbreviations beside them [CP].
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType

from webapp.catalogue.schema.frames import DIMENSIONS
from webapp.common.text.glossary import GLOSSARY, entry
from webapp.common.text.language import tr

SIZE = "size"
FORK = ("axle_to_crown", "offset", "lower_headset_stack", "wheel_radius")
"""What a table says of the fork and wheels it is drawn with, by the form's names."""

RIDERS: Mapping[str, str] = MappingProxyType(
    {"riders.shortest": tr("Shortest rider"), "riders.tallest": tr("Tallest rider")}
)

_USUAL: Mapping[str, str] = MappingProxyType(
    {
        SIZE: "size|frame size|sizes|dimension|geometry|measurement",
        "reach": "reach|frame reach",
        "stack": "stack|frame stack|stack height",
        "head_angle": "head angle|head tube angle|hta|ha|steering angle|headtube angle",
        "head_tube_length": "head tube|head tube length|headtube|headtube length|ht|htl|ht length",
        "seat_tube_angle": (
            "seat angle|seat tube angle|sta|sa|seattube angle|actual seat tube angle"
            "|actual seat angle|real seat angle"
        ),
        "seat_tube_length": (
            "seat tube|seat tube length|seattube|st|stl|seat tube c t|seat tube ct"
            "|seat tube length c t|seat tube centre to top|seat tube center to top"
        ),
        "chainstay_length": (
            "chainstay|chainstay length|chain stay|chain stay length|chainstays|chain stays|cs|csl"
        ),
        "bb_drop": "bb drop|bottom bracket drop|drop|bbd",
        "slot_length": "slot length|sliding range",
        "stem_length": "stem|stem length",
        "mass": "mass|weight|frame weight|frame mass",
        "top_tube.diameter": "top tube diameter",
        "post.depth": "post depth|seatpost insertion|max post insertion|max seatpost insertion",
        "stated.effective_top_tube": (
            "effective top tube|effective top tube length|ett|top tube effective|eff top tube"
            "|horizontal top tube|top tube horizontal|top tube|top tube length|tt|virtual top tube"
            "|effective tt"
        ),
        "stated.front_centre": "front centre level|front center level|front centre horizontal",
        "stated.front_centre_straight": (
            "front centre|front center|fc|front centre straight|front center straight|f c"
        ),
        "stated.rear_centre": "rear centre|rear center|rc|rear centre level|rear center horizontal",
        "stated.wheelbase": "wheelbase|wheel base|wb",
        "stated.bb_height": "bb height|bottom bracket height|bbh",
        "stated.trail": "trail|ground trail",
        "riders.shortest": "rider height min|min rider height|rider min|shortest rider",
        "riders.tallest": "rider height max|max rider height|rider max|tallest rider",
        "axle_to_crown": (
            "axle to crown|fork length|a c|ac|atc|fork axle to crown|axle to crown length|a to c"
        ),
        "offset": "fork offset|fork rake|rake|offset",
        "lower_headset_stack": "lower headset stack|lower headset|headset lower stack",
        "wheel_radius": "wheel radius|tyre radius|tire radius",
    }
)
_BRACKETS = re.compile(r"[\[(]([^\])]*)[\])]")
_SIGNS = re.compile(r"[^\w]+")


def _folded(words: str) -> str:
    """Words without brackets, signs and capitals: ``Chain-stay (mm)`` to ``chain stay``."""
    return _SIGNS.sub(" ", _BRACKETS.sub(" ", words).casefold()).replace("_", " ").strip()


def known_names(labels: Mapping[str, str] = MappingProxyType({})) -> dict[str, str]:
    """Every name that is read, folded, and the path it stands for.

    Parameters
    ----------
    labels : mapping of path to str
        What the office's grid calls its rows.
    """
    found = {name: path for path, names in _USUAL.items() for name in names.split("|")}
    ours = {word: path for path, word in (*labels.items(), *RIDERS.items())}
    ours |= {each.name: each.key for each in DIMENSIONS}
    for path in labels:
        key = path.removeprefix("stated.")
        ours[path] = path
        for known in (key, f"frame.{key}"):
            if known in GLOSSARY:
                ours[entry(known).name] = path
    return found | {_folded(name): path for name, path in ours.items()}


def path_of(words: str, names: Mapping[str, str]) -> str | None:
    """The path a heading stands for; None where it is not known.

    Examples
    --------
    >>> names = known_names()
    >>> told = ("Chain-stay (mm)", "HTA", "BB drop, axle forward", "reach_mm", "Colour")
    >>> [path_of(words, names) for words in told]
    ['chainstay_length', 'head_angle', 'bb_drop', 'reach', None]
    """
    plain = _folded(words)
    if not plain:
        return None
    if plain in names:
        return names[plain]
    last = plain.rsplit(" ", 1)
    return names.get(last[0]) if len(last) > 1 and last[1] in UNIT_WORDS else None


UNIT_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "mm": "mm", "millimetres": "mm", "millimeters": "mm", "cm": "cm", "centimetres": "cm",
        "centimeters": "cm", "in": "in", "inch": "in", "inches": "in", '"': "in", "″": "in",
        "deg": "deg", "degree": "deg", "degrees": "deg", "°": "deg",
        "kg": "kg", "g": "g", "lb": "lb",
    }
)  # fmt: skip
"""Spellings of units, and ours."""


def unit_in(words: str) -> str:
    """The unit a heading names; empty where it names none.

    >>> unit_in("Reach [cm]"), unit_in("Head angle (°)"), unit_in("Stack")
    ('cm', 'deg', '')
    """
    inside = _BRACKETS.findall(words)
    last = words.replace(",", " ").split()[-1:] if not inside else []
    for word in (*inside, *last):
        found = UNIT_WORDS.get(word.strip().strip(".").casefold())
        if found:
            return found
    return ""
