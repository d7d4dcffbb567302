"""The figures of one build, in every state it can stand in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from geometry.angles import Num
from geometry.cockpit import Hands, Seated, hands, seated, standover
from geometry.stance import Standing, stand
from webapp.build.assembling import Assembly


@dataclass(frozen=True, kw_only=True)
class StateFigures:
    """One build in one state.

    Parameters
    ----------
    standing, hands, seated
        What the solver found.
    figures : mapping of glossary key to float
        Every figure shown, lengths [mm], angles [deg].
    """

    standing: Standing
    hands: Hands
    seated: Seated
    figures: Mapping[str, float]


def solve_states(assembly: Assembly, *, standover_at: float) -> Mapping[str, StateFigures]:
    """Solve a build in each of its states.

    Parameters
    ----------
    assembly : Assembly
    standover_at : float [mm]
        Where standover is measured, ahead of the BB centre.

    Returns
    -------
    mapping of state name to StateFigures

    Raises
    ------
    GeometryError
        When the build cannot stand.
    """
    return MappingProxyType(
        {name: _solve(assembly, name, standover_at) for name in assembly.states}
    )


def _solve(assembly: Assembly, state: str, standover_at: float) -> StateFigures:
    build = assembly.build
    standing = stand(build, assembly.states[state])
    held = hands(standing, assembly.cockpit)
    sat = seated(standing, build, assembly.seat)
    over = standover(standing, build, ahead=standover_at)
    return StateFigures(
        standing=standing,
        hands=held,
        seated=sat,
        figures=MappingProxyType(_figures(standing, held, sat, over)),
    )


STANDING_KEYS = (
    "reach",
    "stack",
    "effective_top_tube",
    "head_angle",
    "seat_tube_angle",
    "bb_height",
    "bb_drop",
    "bb_drop_front",
    "chainstay_length",
    "rear_centre",
    "front_centre",
    "front_centre_straight",
    "wheelbase",
    "trail",
    "mechanical_trail",
    "wheel_flop",
)


def _figures(standing: Standing, held: Hands, sat: Seated, over: Num) -> dict[str, float]:
    found = {key: float(getattr(standing, key)) for key in STANDING_KEYS}
    return found | {
        "effective_seat_angle": float(sat.effective_seat_angle),
        "standover": float(over),
        "grips_to_rear_axle": float(held.to_rear_axle),
        "grips_to_rear_axle_straight": float(held.to_rear_axle_straight),
        "grip_height": float(held.height),
        "saddle_above_ground": float(sat.height),
    }
