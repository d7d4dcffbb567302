"""Glossary of what checks compute: load on the wheels, the turned front, the toe."""

from __future__ import annotations

from dataclasses import replace

from geometry.glossary.entries import Entry, angle, length, point, ratio

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
    angle(
        "steering_angle",
        "Steering angle",
        "δ",
        "Turn of the front about the steering axis; positive to the right.",
        formula="δ = as asked",
        place="TurnedFront.angle",
    ),
    angle(
        "steered_pitch",
        "Pitch with the front turned",
        "p",
        "Turn of the frame against straight ahead; positive lifts the front.",
        formula="p = such that both wheels stay on level ground, solved numerically",
        place="TurnedFront.pitch",
    ),
    angle(
        "steered_head_angle",
        "Head angle with the front turned",
        "HAδ",
        "Steering axis from the level, of the pitched frame.",
        formula="HAδ = HA − p",
        place="TurnedFront.head_angle",
    ),
    length(
        "steered_bb_height",
        "BB height with the front turned",
        "Hδ",
        "BB centre above the ground, of the pitched frame.",
        formula="Hδ = Rr + height of the BB over the rear axle, pitched by p",
        place="TurnedFront.bb_height",
    ),
    length(
        "front_drop",
        "Front drop",
        "fd",
        "How much lower the head tube's top is than straight ahead.",
        formula="fd = height of the head tube's top straight ahead − with the front turned",
        place="TurnedFront.front_drop",
    ),
    point(
        "steered_front_axle",
        "Front axle with the front turned",
        "Fδ",
        "From the BB centre: forward, up, and to the rider's right.",
        formula="Fδ = S + o (n cos δ + z sin δ), S = its foot on the steering axis",
        place="TurnedFront.front_axle",
    ),
    point(
        "steered_front_contact",
        "Front contact with the front turned",
        "Kδ",
        "Where the front wheel touches the ground, from the BB centre: forward, up, and to the"
        " rider's right.",
        formula="Kδ = lowest point of the disc, Rf sqrt(1 − (sin δ cos HA)²) below the axle",
        place="TurnedFront.front_contact",
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
