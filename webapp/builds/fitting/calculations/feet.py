"""Feet and ground: pedals when leaning, toes and the steered front wheel or its mudguard."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.bike import Standing
from geometry.clearance import (
    TOE_US,
    Beside,
    Loaded,
    Pedal,
    Toe,
    Wheel,
    pedal_ground_clearance,
    pedal_lean_check,
    toe_check,
    toe_clearance,
    wheels_of,
)
from geometry.core import FloatArray, Num
from webapp.builds.fitting.calculations.remembered import Question, Watched
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.calculations.tyres import width_of
from webapp.builds.fitting.sentences import WordedCheck, not_known, worded
from webapp.builds.solving.solver_inputs import SAGGED, UNLOADED
from webapp.catalogue.schema.part_kinds import (
    CrankData,
    ExtraData,
    PedalData,
)
from webapp.common.text.language import tr


@dataclass(frozen=True, kw_only=True, eq=False)
class _Stance:
    """One build in one state, as its pedals see it: both tyres, and what is steered past a toe.

    ``steered`` are radius and width of the front tyre, and of each mudguard over it.
    """

    state: str
    standing: Standing
    pedal: Pedal
    rear_width: float
    front_width: float
    steered: tuple[tuple[Num, Num], ...]


def feet_checks(setups: Sequence[Setup]) -> list[list[WordedCheck]]:
    """Pedals and toes of any number of builds, the toes all at once.

    Parameters
    ----------
    setups : sequence of Setup

    Returns
    -------
    list of list of WordedCheck
        For each build ``feet.pedal.unloaded``, ``feet.pedal.sagged`` with fork
        and tyres pressed in by the rider, and ``feet.toe.tyre`` or with mudguards
        ``feet.toe.mudguard``, at its least of both states. All are unknown
        where no pedal is chosen.
    """
    return _answered(_FEET, setups, failing=False)


def failing_feet(setups: Sequence[Setup]) -> list[list[WordedCheck]]:
    """What fails of the answers of `feet_checks`; the others are spared their words."""
    return _answered(_FAILING, setups, failing=True)


_STATES = (UNLOADED, SAGGED)
_FEET, _FAILING = Question("feet"), Question("feet, failing")


def _answered(
    question: Question, setups: Sequence[Setup], *, failing: bool
) -> list[list[WordedCheck]]:
    """The answers that are wanted, remembered."""
    known = [question.recall(setup) for setup in setups]
    asked = [Watched.watching(s) for s, found in zip(setups, known, strict=True) if found is None]
    given = zip(asked, _judged(asked, failing=failing), strict=True)
    new = iter([question.keep(watched, tuple(answer)) for watched, answer in given])
    return [list(next(new) if found is None else found) for found in known]


def _judged(setups: Sequence[Setup], *, failing: bool) -> list[list[WordedCheck]]:
    """The answers themselves, or of all of them those that fail."""
    ways = [_stances(setup) for setup in setups]
    every = [stance for stances in ways for stance in stances]
    heights = iter(_heights(every) if failing else ())  # which fail; else every one is told
    toes = iter(_clearances(every, failing=failing))
    return [
        [
            *_leaning(setup, [(each, next(heights, 0.0)) for each in stances], failing=failing),
            *_toe(setup, [next(toes) for each in stances for _ in each.steered], failing=failing),
        ]
        for setup, stances in zip(setups, ways, strict=True)
    ]


def pedal_of(setup: Setup) -> Pedal | None:
    """Crank and pedal of a build; None without pedals."""
    crank, pedal = setup.data("crank", CrankData), setup.data("pedal", PedalData)
    if crank is None or pedal is None:
        return None
    return setup.catalogue.memory.of_very("pedal", (crank, pedal), lambda: _pedal(crank, pedal))


def _pedal(crank: CrankData, pedal: PedalData) -> Pedal:
    face = crank.q_factor / 2.0
    return Pedal(
        crank_length=crank.length,
        centre=face + pedal.centre,
        outer=face + pedal.width,
        length=pedal.length,
        thickness=pedal.thickness,
    )


def _heights(stances: Sequence[_Stance]) -> list[float]:
    """Heights of the lowest pedals over the ground, leaning, in one call [mm]."""
    if not stances:
        return []
    rear_axles, front_axles = (
        [getattr(each.standing, axle) for each in stances] for axle in ("rear_axle", "front_axle")
    )
    found = pedal_ground_clearance(
        rear=Wheel(
            x=_column(x for x, _ in rear_axles),
            y=_column(y for _, y in rear_axles),
            radius=_column(each.standing.rear_radius for each in stances),
            width=_column(each.rear_width for each in stances),
        ),
        front=Wheel(
            x=_column(x for x, _ in front_axles),
            y=_column(y for _, y in front_axles),
            radius=_column(each.standing.front_radius for each in stances),
            width=_column(each.front_width for each in stances),
        ),
        pedal=_pedals(stances),
    )
    return np.ravel(found).tolist()


def _pedals(stances: Sequence[_Stance]) -> Pedal:
    """The pedals of many stances as arrays."""
    return Pedal(
        **{
            name: _column(getattr(each.pedal, name) for each in stances)
            for name in ("crank_length", "centre", "outer", "length", "thickness")
        }
    )


def _column(values: Iterable[Num]) -> FloatArray:
    return np.array([float(value) for value in values])


def _leaning(
    setup: Setup, found: Sequence[tuple[_Stance, float]], *, failing: bool
) -> Iterator[WordedCheck]:
    if not found and not failing:
        for state in _STATES:
            yield _no_pedals(f"feet.pedal.{state}", "16 CFR 1512.17(c)")
    for stance, height in found:
        if failing and height >= 0:
            continue
        rear, front = wheels_of(
            stance.standing, rear_width=stance.rear_width, front_width=stance.front_width
        )
        check = pedal_lean_check(
            rear=rear, front=front, pedal=stance.pedal, state=Loaded(stance.state)
        )
        yield setup.named(worded(check), "crank", "pedal")


def _no_pedals(code: str, source: str) -> WordedCheck:
    return not_known(
        code,
        missing=tr("which pedals"),
        source=source,
        remedy=tr("choose the pedals; with your own, have this checked on the built bike"),
        safety=True,
    )


def mudguards_of(setup: Setup) -> tuple[ExtraData, ...]:
    """The mudguards among a build's extras; more than one may be chosen, and any may be near."""
    return tuple(part.data for part in setup.extras("mudguard"))


def guarded(guard: ExtraData, radius: Num, width: Num) -> tuple[Num, Num]:
    """Radius and width of a mudguard over a tyre of these [mm]."""
    return radius + guard.clearance, np.maximum(guard.width or 0.0, width)


def _stances(setup: Setup) -> list[_Stance]:
    """One build in each state; none without pedals."""
    pedal = pedal_of(setup)
    if pedal is None:
        return []
    rear_width, width = width_of(setup, "rear"), width_of(setup, "front")
    radius = float(setup.assembly.build.front_radius)
    guards = [guarded(each, radius, width) for each in mudguards_of(setup)]
    steered = [(radius, width), *guards]  # a tyre is there within its mudguard too
    return [
        _Stance(
            state=state,
            standing=setup.assembly.standing(state),
            pedal=pedal,
            rear_width=rear_width,
            front_width=width,
            steered=tuple(steered),
        )
        for state in _STATES
    ]


def _clearances(stances: Sequence[_Stance], *, failing: bool) -> list[Toe]:
    """Toe clearances of all that is steered in many stances, in one call.

    Where only failures are asked for, clearances that are certainly enough are only estimated.
    """
    rows = [_row(each, *size) for each in stances for size in each.steered]
    if not rows:
        return []
    different = list(dict.fromkeys(rows))  # many options change nothing that counts here
    x, y, radius, width, head_angle, axis_x, axis_y, crank, centre = np.array(different).T
    found = toe_clearance(
        wheel=Wheel(x=x, y=y, radius=radius, width=width),
        head_angle=head_angle,
        axis_x=axis_x,
        axis_y=axis_y,
        pedal=Pedal(crank_length=crank, centre=centre, outer=centre),
        enough=TOE_US if failing else np.inf,
    )
    told = zip(np.ravel(found.clearance), np.ravel(found.steering_angle), strict=True)
    toes = [Toe(clearance=float(c), steering_angle=float(a)) for c, a in told]
    answers = dict(zip(different, toes, strict=True))
    return [answers[row] for row in rows]


def _row(stance: _Stance, radius: Num, width: Num) -> tuple[float, ...]:
    """All that the toe clearance of one steered wheel follows from."""
    standing, pedal = stance.standing, stance.pedal
    return (
        *map(float, standing.front_axle),
        float(radius),
        float(width),
        float(standing.head_angle),
        *map(float, standing.head_tube_top),
        float(pedal.crank_length),
        float(pedal.centre),
    )


def _toe(setup: Setup, found: Sequence[Toe], *, failing: bool) -> Iterator[WordedCheck]:
    what = Beside.MUDGUARD if mudguards_of(setup) else Beside.TYRE
    pedal = setup.data("pedal", PedalData)
    if pedal is None or not found:
        if not failing:
            yield _no_pedals(f"feet.toe.{what}", "16 CFR 1512.17(d)")
        return
    least = min(found, key=lambda toe: float(toe.clearance))
    check = toe_check(least, what=what, feet_held=pedal.holds_foot)
    if not failing or check.outcome == "no":
        yield setup.named(worded(check), "crank", "tyre_front")
