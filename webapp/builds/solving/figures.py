"""The figures of one build, in every state it can stand in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from geometry.bike import Bike, Hands, Seated, Standing, stood
from webapp.builds.solving.solver_inputs import Assembly


@dataclass(frozen=True, kw_only=True)
class StateFigures:
    """One build in one state.

    Parameters
    ----------
    bike : Bike
        What was solved.
    standing, hands, seated
        Its points.
    figures : mapping of glossary key to float
        Every figure, lengths [mm], angles [deg].
    """

    bike: Bike
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
    bike = Bike(
        build=assembly.build,
        state=assembly.states[state],
        cockpit=assembly.cockpit,
        seat=assembly.seat,
        standover_ahead=standover_at,
    )
    found = stood(bike)
    assert found.hands is not None and found.seated is not None  # noqa: S101, PT018  # of this bike
    return StateFigures(
        bike=bike,
        standing=found.standing,
        hands=found.hands,
        seated=found.seated,
        figures=MappingProxyType({key: float(value) for key, value in found.figures.items()}),
    )
