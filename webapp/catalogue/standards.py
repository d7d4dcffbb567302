"""Fitting standards that the trade knows, by the joint they are for; a shop adds its own.

Codes decide which parts go together; names are for readers. Common practice of the trade [CP];
the list only saves typing: whatever codes a shop's frames and parts use already stand in it
too.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from webapp.common.text.language import tr

Known = tuple[tuple[str, str], ...]
"""Pairs of code and name."""

JOINTS: Mapping[str, str] = MappingProxyType(
    {
        "steerer": tr("steerers"),
        "head_tube": tr("head tubes"),
        "front_axle": tr("front axles"),
        "rear_axle": tr("rear axles"),
        "bottom_bracket": tr("bottom bracket shells"),
        "brake_mount": tr("brake mounts"),
        "rotor_fixing": tr("how rotors are fixed"),
        "ring_mount": tr("how chainrings are fixed"),
        "sprocket_mount": tr("how sprockets are fixed"),
        "loop": tr("chains and belts"),
        "hanger": tr("derailleur hangers"),
        "boss": tr("threaded mounts"),
    }
)
"""What the list of each joint is called, in the order in which the lists are shown."""

STANDARDS: Mapping[str, Known] = MappingProxyType(
    {
        "rear_axle": (
            ("12x142-through", tr("12 × 142 mm through axle")),
            ("12x148-through", tr("12 × 148 mm through axle")),
            ("12x135-through", tr("12 × 135 mm through axle")),
            ("5x135-quick-release", tr("5 × 135 mm quick release")),
            ("5x130-quick-release", tr("5 × 130 mm quick release")),
            ("10x135-nutted", tr("10 × 135 mm nutted axle")),
        ),
        "bottom_bracket": (
            ("68-threaded", tr("68 mm threaded shell")),
            ("73-threaded", tr("73 mm threaded shell")),
            ("83-threaded", tr("83 mm threaded shell")),
            ("86-pressed-41", tr("86.5 mm shell, bearings pressed into 41 mm")),
            ("92-pressed-41", tr("92 mm shell, bearings pressed into 41 mm")),
            ("eccentric-68", tr("68 mm eccentric shell")),
        ),
        "head_tube": (
            ("zs44/zs56", tr("semi-integrated 44/56 mm head tube")),
            ("ec34/ec34", tr("external 34 mm head tube")),
            ("zs44/ec44", tr("44 mm head tube, external below")),
            ("ec44/ec44", tr("external 44 mm head tube")),
            ("is41/is52", tr("integrated 41/52 mm head tube")),
        ),
        "brake_mount": (
            ("flat-mount", tr("flat brake mount")),
            ("post-mount", tr("brake mount on posts")),
            ("two-tab-mount", tr("brake mount on two tabs")),
        ),
        "steerer": (
            ("straight-1-1/8", tr("straight 1⅛ inch steerer")),
            ("straight-1", tr("straight 1 inch steerer")),
            ("tapered-1.5", tr("tapered 1.5 inch steerer")),
        ),
        "front_axle": (
            ("12x100-through", tr("12 × 100 mm through axle")),
            ("15x100-through", tr("15 × 100 mm through axle")),
            ("15x110-through", tr("15 × 110 mm through axle")),
            ("9x100-quick-release", tr("9 × 100 mm quick release")),
        ),
        "rotor_fixing": (
            ("six-bolt", tr("rotor on six bolts")),
            ("splined-rotor", tr("rotor on a spline with a lock ring")),
        ),
        "ring_mount": (
            ("direct-spline", tr("splined direct mount")),
            ("four-bolt-104", tr("four bolts on a 104 mm circle")),
            ("five-bolt-110", tr("five bolts on a 110 mm circle")),
        ),
        "sprocket_mount": (
            ("splined-freehub", tr("splined freehub body")),
            ("three-lug", tr("driver with three lugs")),
            ("threaded-hub", tr("thread for a screwed sprocket")),
        ),
        "loop": (
            ("chain-narrow", tr("narrow chain")),
            ("chain-wide", tr("wide chain")),
        ),
        "hanger": (
            ("hanger-direct", tr("direct hanger")),
            ("hanger-threaded", tr("threaded hanger")),
        ),
        "boss": (
            ("cage-64", tr("bottle bosses 64 mm apart")),
            ("fork-cage", tr("cage bosses on the fork legs")),
            ("low-rider", tr("low rider bosses")),
            ("mudguard", tr("mudguard eyes")),
            ("rear-rack", tr("rear rack bosses")),
        ),
    }
)
"""By the joint a standard is for."""

SHELL_WIDTHS: Mapping[str, float] = MappingProxyType(
    {
        "68-threaded": 68,
        "73-threaded": 73,
        "83-threaded": 83,
        "86-pressed-41": 86.5,
        "92-pressed-41": 92,
        "eccentric-68": 68,
    }
)
"""Width of each bottom bracket shell [mm]."""

POSTS: Mapping[float, float] = MappingProxyType({27.2: 29.8, 30.9: 34.9, 31.6: 34.9, 34.9: 39.5})
"""Seat post diameters, and the collar that usually goes round their seat tube [mm]."""


_USUAL_SHELL, _NARROWEST_SHELL, _WIDEST_SHELL = 68.0, 60, 130  # mm


def shell_width(code: str) -> float:
    """Width of a bottom bracket shell [mm]; one of the shop's own begins with it, else the usual.

    >>> shell_width("86-pressed-41"), shell_width("100-mm-threaded-shell"), shell_width("own")
    (86.5, 100.0, 68.0)
    """
    first = code.partition("-")[0]
    named = first.isascii() and first.isdigit() and len(first) <= len(str(_WIDEST_SHELL))
    if code not in SHELL_WIDTHS and named and _NARROWEST_SHELL <= int(first) <= _WIDEST_SHELL:
        return float(first)
    return SHELL_WIDTHS.get(code, _USUAL_SHELL)


def name_of(joint: str, code: str) -> str:
    """A standard's name; empty for one that is not on the list.

    >>> name_of("rear_axle", "12x142-through")
    '12 × 142 mm through axle'
    """
    return dict(STANDARDS.get(joint, ())).get(code, "")
