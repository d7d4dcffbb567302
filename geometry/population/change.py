"""How a change of sizes affects people: who is named another size, gains or loses a fit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.core import ContradictoryInput, FloatArray
from geometry.population.remedies import SamePeople
from geometry.population.served import Served
from geometry.sizing import NONE

Marks = NDArray[np.bool_]


@dataclass(frozen=True)
class Shift:
    """What changes for some people: shares of those counted [1].

    Parameters
    ----------
    people : float
        Share of all people who are looked at.
    other_size : float
        Who are named one size before and another after.
    gained, lost : float
        Whom no size fitted as sold and one does after, and the other way round.
    reached, given_up : float
        Whom no size fitted even with changes and one does after, and the other way round.
    """

    people: float
    other_size: float
    gained: float
    lost: float
    reached: float
    given_up: float

    @property
    def worst(self) -> float:
        """Share of all people who lose a fit, those given up counted twice [1]."""
        return self.people * (self.lost + self.given_up)


def shift(before: Served, after: Served, among: Marks | None = None) -> Shift:
    """What changes for people between two runs of sizes.

    Parameters
    ----------
    before, after : Served
        Of the very same people; sizes are told apart by their names.
    among : array of bool, shape (n,), optional
        Whom to look at; everybody when not given.

    Returns
    -------
    Shift

    Raises
    ------
    ContradictoryInput
        Different people.

    Examples
    --------
    >>> from geometry.examples import example_cockpits, example_run
    >>> from geometry.population.served import serve
    >>> from geometry.population.people import draw_people
    >>> served = serve(example_run(), example_cockpits(), draw_people(count=1000))
    >>> found = shift(served, served)
    >>> found.other_size, found.gained, found.lost
    (0.0, 0.0, 0.0)
    """
    if before.people is not after.people:
        raise ContradictoryInput("after", len(after.people.bodies), SamePeople())
    weights = before.people.weights
    kept = weights if among is None else np.where(among, weights, 0.0)
    share = float(kept.sum())
    norm: FloatArray = kept / share if share > 0.0 else kept
    was, now = before.as_sold.any(axis=0), after.as_sold.any(axis=0)
    could, can = before.possible.any(axis=0), after.possible.any(axis=0)
    old, new = _names(before), _names(after)
    return Shift(
        people=share,
        other_size=float(((old != new) & (old != "") & (new != "")) @ norm),
        gained=float((now & ~was) @ norm),
        lost=float((was & ~now) @ norm),
        reached=float((can & ~could) @ norm),
        given_up=float((could & ~can) @ norm),
    )


def _names(served: Served) -> NDArray[np.str_]:
    """The size named to each, empty for none."""
    names = np.array([*served.sizes, ""])
    return names[np.where(served.named == NONE, len(served.sizes), served.named)]


@dataclass(frozen=True)
class GroupShift:
    """What changes for men or women of nearly one stature.

    Parameters
    ----------
    men : bool
        Men, else women.
    stature : tuple of float
        From, and up to but without [mm].
    shift : Shift
        Shares of this group.
    """

    men: bool
    stature: tuple[float, float]
    shift: Shift


def shifts_by_group(
    before: Served, after: Served, *, statures: FloatArray
) -> tuple[GroupShift, ...]:
    """The same by sex and stature, those who lose most first.

    Parameters
    ----------
    before, after : Served
        Of the very same people.
    statures : array, shape (i,)
        Edges of the bands, rising [mm]; whoever stands outside is left aside.

    Returns
    -------
    tuple of GroupShift
        Groups without anybody left out.

    Raises
    ------
    ContradictoryInput
        Different people.

    Examples
    --------
    >>> from geometry.examples import example_cockpits, example_run
    >>> from geometry.population.served import serve
    >>> from geometry.population.people import draw_people
    >>> served = serve(example_run(), example_cockpits(), draw_people(count=1000))
    >>> len(shifts_by_group(served, served, statures=np.array([1600.0, 1700.0, 1800.0])))
    4
    """
    people = before.people
    band = np.searchsorted(statures, people.bodies["stature"], side="right") - 1
    found = []
    for men in (True, False):
        for i in range(len(statures) - 1):
            moved = shift(before, after, (people.men == men) & (band == i))
            if moved.people > 0.0:
                edges = (float(statures[i]), float(statures[i + 1]))
                found.append(GroupShift(men, edges, moved))
    return tuple(sorted(found, key=lambda each: -each.shift.worst))
