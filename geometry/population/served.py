"""Shares of people whom each size fits as sold, with changes, or not.

Each body is judged by the very rules by which one rider is (`geometry.sizing`), by its
measurements alone: no taste is drawn. What would be chosen, taste and the model's doubt
included, is told besides, for how many of each size are asked for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.core import FloatArray
from geometry.population.people import People
from geometry.rider import linkage
from geometry.sizing import NONE, QUANTILES, Cockpits, Run, farthest, judge_sizes, needed

Marks = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Served:
    """How S sizes fit n people.

    Parameters
    ----------
    sizes : tuple of str, length S
        From small to large.
    people : People
    as_sold, possible : array of bool, shape (S, n)
        The size fits as sold; as sold or with changes.
    named : array of int, shape (n,)
        The size named first, from 0; `NONE` where none fits.
    chosen : array, shape (S + 1,)
        Share of all people who would choose each size, the last none, over taste and
        what the model leaves open [1].
    """

    sizes: tuple[str, ...]
    people: People
    as_sold: Marks
    possible: Marks
    named: NDArray[np.intp]
    chosen: FloatArray


def serve(run: Run, cockpits: Sequence[Cockpits], people: People) -> Served:
    """Evaluate a run of sizes on people.

    Parameters
    ----------
    run : Run
    cockpits : sequence of Cockpits, length S
        What each size may carry.
    people : People
        n people.

    Returns
    -------
    Served

    Raises
    ------
    NoSolution
        A leg too short for the cranks of some size.

    Examples
    --------
    >>> from geometry.examples import example_cockpits, example_run
    >>> from geometry.population.people import draw_people
    >>> served = serve(example_run(), example_cockpits(), draw_people(count=1000))
    >>> served.as_sold.shape, round(float(served.chosen.sum()), 9)
    ((5, 1000), 1.0)
    """
    links = linkage(people.bodies)
    ends = [farthest(run, each, links) for each in cockpits]
    shorter, longer = (np.array(rows) for rows in zip(*ends, strict=True))
    needs = needed(run, people.bodies)
    found = judge_sizes(run, needs, shorter=shorter, longer=longer)
    doubt = float(np.hypot(run.taste_spread, run.model_spread))
    tried = [
        judge_sizes(run, needs, lean=doubt * at, shorter=shorter, longer=longer).choices()
        for at in QUANTILES
    ]
    chosen: FloatArray = np.mean(tried, axis=0) @ people.weights
    return Served(run.sizes, people, found.as_sold, found.possible, found.named, chosen)


@dataclass(frozen=True)
class SizeShare:
    """One size: shares of the people counted [1].

    Parameters
    ----------
    size : str
    as_sold, with_changes : float
        Whom it fits as sold; whom it fits with changes only.
    named : float
        To whom it is named first.
    with_next : float
        Whom this size and the next larger one both fit as sold: where they overlap.
    """

    size: str
    as_sold: float
    with_changes: float
    named: float
    with_next: float


@dataclass(frozen=True)
class Coverage:
    """How all sizes together fit people: shares of the people counted [1].

    Parameters
    ----------
    people : float
        Share of all people who are looked at.
    one, several : float
        Whom one size fits as sold, and whom two or more do.
    with_changes : float
        Whom none fits as sold, and some with changes.
    nobody : float
        Whom none fits at all.
    sizes : tuple of SizeShare
    """

    people: float
    one: float
    several: float
    with_changes: float
    nobody: float
    sizes: tuple[SizeShare, ...]

    @property
    def as_sold(self) -> float:
        """Whom some size fits as sold [1]."""
        return self.one + self.several


def coverage(served: Served, among: Marks | None = None) -> Coverage:
    """Shares of people by how the sizes fit them.

    Parameters
    ----------
    served : Served
        Of n people.
    among : array of bool, shape (n,), optional
        Whom to look at; everybody when not given.

    Returns
    -------
    Coverage
        Shares of those looked at; all 0 where nobody is.

    Examples
    --------
    >>> from geometry.examples import example_cockpits, example_run
    >>> from geometry.population.people import draw_people
    >>> people = draw_people(count=2000)
    >>> served = serve(example_run(), example_cockpits(), people)
    >>> found = coverage(served)
    >>> round(found.one + found.several + found.with_changes + found.nobody, 9)
    1.0
    >>> coverage(served, people.men).nobody < coverage(served, ~people.men).nobody
    True
    """
    kept = slice(None) if among is None else np.flatnonzero(among)
    weights, share = _weights(served.people.weights[kept])
    as_sold, possible = served.as_sold[:, kept], served.possible[:, kept]
    named, fitting, some = served.named[kept], as_sold.sum(axis=0), possible.any(axis=0)
    overlap = [*(float(row @ weights) for row in as_sold[:-1] & as_sold[1:]), 0.0]
    sizes = tuple(
        SizeShare(
            size=name,
            as_sold=float(as_sold[i] @ weights),
            with_changes=float((possible[i] & ~as_sold[i]) @ weights),
            named=float((named == i) @ weights),
            with_next=overlap[i],
        )
        for i, name in enumerate(served.sizes)
    )
    return Coverage(
        people=share,
        one=float((fitting == 1) @ weights),
        several=float((fitting > 1) @ weights),
        with_changes=float(((fitting == 0) & some) @ weights),
        nobody=float((~some) @ weights),
        sizes=sizes,
    )


def _weights(weights: FloatArray) -> tuple[FloatArray, float]:
    """Weights within those looked at, and their share of all."""
    share = float(weights.sum())
    return (weights / share if share > 0.0 else weights), share


@dataclass(frozen=True)
class Cell:
    """People of nearly one stature and leg length.

    Parameters
    ----------
    stature, leg : tuple of float
        From, and up to but without [mm]; the leg is crotch height, barefoot.
    people : float
        Share of all people [1].
    covered : Coverage
        Of those in it.
    named : int
        The size named to most of them, from 0; `NONE` where to none.
    """

    stature: tuple[float, float]
    leg: tuple[float, float]
    people: float
    covered: Coverage
    named: int


def cells(served: Served, *, statures: FloatArray, legs: FloatArray) -> tuple[Cell, ...]:
    """People by stature and leg length; cells without anybody are left out.

    Parameters
    ----------
    served : Served
    statures : array, shape (i,)
        Edges of the bands of stature, rising [mm].
    legs : array, shape (j,)
        Edges of the bands of crotch height, rising [mm].

    Returns
    -------
    tuple of Cell
        By stature, then by leg.

    Examples
    --------
    >>> from geometry.examples import example_cockpits, example_run
    >>> from geometry.population.people import draw_people
    >>> served = serve(example_run(), example_cockpits(), draw_people(count=1000))
    >>> edges = {"statures": np.array([1600.0, 1800.0]), "legs": np.array([750.0, 850.0])}
    >>> [(cell.stature, cell.leg) for cell in cells(served, **edges)]
    [((1600.0, 1800.0), (750.0, 850.0))]
    """
    bodies = served.people.bodies
    row = np.searchsorted(statures, bodies["stature"], side="right") - 1
    column = np.searchsorted(legs, bodies["crotch_height"], side="right") - 1
    inside = (row >= 0) & (row < len(statures) - 1) & (column >= 0) & (column < len(legs) - 1)
    found = []
    for i, j in np.unique(np.stack([row, column], axis=1)[inside], axis=0).tolist():
        covered = coverage(served, (row == i) & (column == j))
        if covered.people > 0.0:
            stature = (float(statures[i]), float(statures[i + 1]))
            leg = (float(legs[j]), float(legs[j + 1]))
            found.append(Cell(stature, leg, covered.people, covered, _most_named(covered)))
    return tuple(found)


def _most_named(covered: Coverage) -> int:
    named = [size.named for size in covered.sizes]
    most = int(np.argmax(named))
    return most if named[most] > covered.nobody else NONE
