"""Glossary of what checks compute: load on the wheels, the toe."""

from __future__ import annotations

from dataclasses import replace

from geometry.glossary.entries import Entry, angle, length, ratio

_STATICS = "Statics; Meijaard, Papadopoulos, Ruina, Schwab, Proc. R. Soc. A 463 (2007)."
_TORUS = "Geometry of a torus turned about the steering axis, solved numerically."


def _acceleration(
    key: str, name: str, symbol: str, definition: str, *, formula: str, place: str
) -> Entry:
    """An entry in units of gravity, printed to 0.01 g."""
    told = length(key, name, symbol, definition, formula=formula, source=_STATICS, place=place)
    return replace(told, unit="g", decimals=2)


CHECKED: tuple[Entry, ...] = (
    ratio(
        "front_share",
        "Share of load on the front wheel",
        "q",
        "Of the weight of bike, rider and luggage, on level ground at rest.",
        formula="q = x / W, x = mass centre ahead of the rear axle",
        source=_STATICS,
        place="Loading.front_share",
    ),
    _acceleration(
        "front_lift",
        "Front wheel lifts at",
        "gf",
        "Acceleration, or rise of the ground as a gradient, at which the front wheel lifts.",
        formula="gf = x / h, h = mass centre above the ground",
        place="Loading.front_lift",
    ),
    _acceleration(
        "pitch_over",
        "Pitch-over at",
        "gr",
        "Braking, or fall of the ground as a gradient, at which the rear wheel lifts.",
        formula="gr = (W − x) / h",
        place="Loading.pitch_over",
    ),
    length(
        "toe_clearance",
        "Toe clearance",
        "tc",
        "From the pedal's centre level forward to the tyre, at the worst steering angle and"
        " crank position; infinite when the tyre never comes abreast of the pedal.",
        formula="tc = least distance to the torus swept by the tyre",
        source=_TORUS,
        place="Toe.clearance",
    ),
    angle(
        "toe_steering_angle",
        "Steering angle of least toe clearance",
        "tδ",
        "At which the tyre comes closest to the toe.",
        formula="tδ = where the toe clearance is least",
        source=_TORUS,
        place="Toe.steering_angle",
    ),
)
"""Figures that checks compute beside those of the standing bike."""
