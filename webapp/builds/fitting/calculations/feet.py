"""Feet and ground: pedals when leaning, toes and the steered front wheel or its mudguard."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.bike import Standing
from geometry.checks import Check
from geometry.clearance import (
    Beside,
    Loaded,
    Pedal,
    Toe,
    Wheel,
    pedal_lean_check,
    toe_check,
    toe_clearance,
    wheels_of,
)
from geometry.core import Num, Statement
from webapp.builds.fitting.calculations.remembered import Question, Watched
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.roles import width_on_rim
from webapp.builds.fitting.sentences import WordedCheck, not_known, worded
from webapp.builds.solving.solver_inputs import (
    SAGGED,
    UNLOADED,
    data_in,
)
from webapp.catalogue.schema.part_kinds import (
    CrankData,
    ExtraData,
    PedalData,
    RimData,
    TyreData,
)
from webapp.common.text.language import tr


@dataclass(frozen=True, kw_only=True, eq=False)
class _Front:
    """The steered wheel or mudguard of one build in one state, with the pedal beside it."""

    wheel: Wheel
    standing: Standing
    pedal: Pedal


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
    return _answered(_FEET, setups, lambda _: True)


def failing_feet(setups: Sequence[Setup]) -> list[list[WordedCheck]]:
    """What fails of the answers of `feet_checks`; the others are spared their words."""
    return _answered(_FAILING, setups, lambda check: check.outcome == "no")


_FEET, _FAILING = Question("feet"), Question("feet, failing")
Wanted = Callable[[Check[Statement] | WordedCheck], bool]


def _answered(
    question: Question, setups: Sequence[Setup], wanted: Wanted
) -> list[list[WordedCheck]]:
    """The answers that are wanted, remembered."""
    known = [question.recall(setup) for setup in setups]
    asked = [Watched.watching(s) for s, found in zip(setups, known, strict=True) if found is None]
    given = zip(asked, _judged(asked, wanted), strict=True)
    new = iter([question.keep(watched, tuple(answer)) for watched, answer in given])
    return [list(next(new) if found is None else found) for found in known]


def _judged(setups: Sequence[Setup], wanted: Wanted) -> list[list[WordedCheck]]:
    """The answers themselves."""
    ways = [_fronts(setup) for setup in setups]
    found = iter(_clearances([front for fronts in ways for front in fronts]))
    return [
        [*_leaning(setup, wanted), *_toe(setup, [next(found) for _ in fronts], wanted)]
        for setup, fronts in zip(setups, ways, strict=True)
    ]


def pedal_of(setup: Setup) -> Pedal | None:
    """Crank and pedal of a build; None without pedals."""
    crank, pedal = setup.data("crank", CrankData), setup.data("pedal", PedalData)
    if crank is None or pedal is None:
        return None
    face = crank.q_factor / 2.0
    return Pedal(
        crank_length=crank.length,
        centre=face + pedal.centre,
        outer=face + pedal.width,
        length=pedal.length,
        thickness=pedal.thickness,
    )


def _standings(setup: Setup) -> Iterator[tuple[str, Standing]]:
    for state in (UNLOADED, SAGGED):
        yield state, setup.assembly.standing(state)


def _width(setup: Setup, end: str) -> float:
    tyre = data_in(setup.assembly.parts, f"tyre_{end}", TyreData)
    return width_on_rim(tyre, setup.data(f"rim_{end}", RimData))


def _leaning(setup: Setup, wanted: Wanted) -> Iterator[WordedCheck]:
    pedal = pedal_of(setup)
    for state, standing in _standings(setup):
        if pedal is None:
            yield from filter(wanted, [_no_pedals(f"feet.pedal.{state}", "16 CFR 1512.17(c)")])
            continue
        rear, front = wheels_of(
            standing, rear_width=_width(setup, "rear"), front_width=_width(setup, "front")
        )
        check = pedal_lean_check(rear=rear, front=front, pedal=pedal, state=Loaded(state))
        if wanted(check):
            yield setup.named(worded(check), "crank", "pedal")


def _no_pedals(code: str, source: str) -> WordedCheck:
    return not_known(
        code,
        missing=tr("which pedals"),
        source=source,
        remedy=tr("choose the pedals; with your own, have this checked on the built bike"),
        safety=True,
    )


def _mudguard(setup: Setup) -> ExtraData | None:
    return next((part.data for part in setup.extras("mudguard")), None)


def _fronts(setup: Setup) -> list[_Front]:
    """The steered tyre, and mudguard, of one build in each state; empty without pedals."""
    pedal, guard = pedal_of(setup), _mudguard(setup)
    if pedal is None:
        return []
    radius, width = float(setup.assembly.build.front_radius), _width(setup, "front")
    sizes = [(radius, width)]  # a tyre is there within its mudguard too
    if guard is not None:
        sizes.append((radius + guard.clearance, max(guard.width or 0.0, width)))
    return [
        _Front(
            wheel=Wheel(
                x=standing.front_axle[0], y=standing.front_axle[1], radius=over, width=wide
            ),
            standing=standing,
            pedal=pedal,
        )
        for _, standing in _standings(setup)
        for over, wide in sizes
    ]


def _clearances(fronts: Sequence[_Front]) -> list[Toe]:
    """Toe clearances of many fronts in one call."""
    if not fronts:
        return []

    def column(values: Sequence[Num]) -> Num:
        return np.array([float(value) for value in values])

    tops = [front.standing.head_tube_top for front in fronts]
    found = toe_clearance(
        wheel=Wheel(
            x=column([f.wheel.x for f in fronts]),
            y=column([f.wheel.y for f in fronts]),
            radius=column([f.wheel.radius for f in fronts]),
            width=column([f.wheel.width for f in fronts]),
        ),
        head_angle=column([f.standing.head_angle for f in fronts]),
        axis_x=column([x for x, _ in tops]),
        axis_y=column([y for _, y in tops]),
        pedal=Pedal(
            crank_length=column([f.pedal.crank_length for f in fronts]),
            centre=column([f.pedal.centre for f in fronts]),
            outer=column([f.pedal.outer for f in fronts]),
        ),
    )
    each = zip(np.ravel(found.clearance), np.ravel(found.steering_angle), strict=True)
    return [Toe(clearance=float(c), steering_angle=float(a)) for c, a in each]


def _toe(setup: Setup, found: Sequence[Toe], wanted: Wanted) -> Iterator[WordedCheck]:
    what = Beside.MUDGUARD if _mudguard(setup) else Beside.TYRE
    pedal = setup.data("pedal", PedalData)
    if pedal is None or not found:
        yield from filter(wanted, [_no_pedals(f"feet.toe.{what}", "16 CFR 1512.17(d)")])
        return
    least = min(found, key=lambda toe: float(toe.clearance))
    check = toe_check(least, what=what, feet_held=pedal.holds_foot)
    if wanted(check):
        yield setup.named(worded(check), "crank", "tyre_front")
