"""How every figure of every build changes from one revision to another, in one call each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any

import numpy as np

from geometry.bike import Frame
from geometry.core import FloatArray
from geometry.matrix import AxlePositions, Forks, Matrix, Sizes, WheelPairs, solve_matrix
from webapp.builds.solving.solver_inputs import tyre_radius
from webapp.catalogue.reading.frame_inputs import fork_of
from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.schema.part_kinds import ForkData, HeadsetData, TyreData
from webapp.office.effect.orderable_builds import SHARES, Combination


@dataclass(frozen=True, kw_only=True, eq=False)
class Changes:
    """Figures of the same builds in two revisions.

    Parameters
    ----------
    before, after : Matrix
        Axes size, fork, wheels, axle position, state.
    """

    before: Matrix
    after: Matrix

    def of(self, figure: str) -> FloatArray:
        """After less before [mm, deg], array (S, F, W, P, T); NaN where a build cannot stand."""
        return np.asarray(self.after.outputs[figure] - self.before.outputs[figure])


def figure_changes(
    before: Catalogue,
    after: Catalogue,
    sizes: Sequence[str],
    forks: Sequence[str],
    combined: tuple[Sequence[Combination], Sequence[Combination]],
) -> Changes:
    """Solve the whole matrix of both revisions.

    Parameters
    ----------
    before, after : Catalogue
    sizes : sequence of str
        Slugs that both revisions have.
    forks : sequence of str
        Slugs of F forks that both have.
    combined : two sequences of Combination
        F × W of each, as `webapp.office.effect.orderable_builds.combinations` gives them.
    """
    return Changes(
        before=_matrix(before, sizes, forks, combined[0]),
        after=_matrix(after, sizes, forks, combined[1]),
    )


def _matrix(
    catalogue: Catalogue,
    sizes: Sequence[str],
    forks: Sequence[str],
    combined: Sequence[Combination],
) -> Matrix:
    pairs = len(combined) // len(forks)
    return solve_matrix(
        sizes=Sizes(
            frame=stacked([catalogue.size(slug).frame for slug in sizes]),
            standover_ahead=catalogue.revision.data.standover_at,
        ),
        forks=_forks(catalogue, forks, combined[::pairs]),
        wheels=WheelPairs(
            front_radius=_radii(catalogue, combined[:pairs], "tyre_front"),
            rear_radius=_radii(catalogue, combined[:pairs], "tyre_rear"),
        ),
        positions=AxlePositions(at=np.array(SHARES), measured_in="slots"),
        impossible="mark",
    )


def _forks(parts: Catalogue, forks: Sequence[str], first: Sequence[Combination]) -> Forks:
    data = [parts.data(ForkData, slug) for slug in forks]
    headsets = [parts.data(HeadsetData, one.choice.part("headset")) for one in first]
    return Forks.of(
        [fork_of(one) for one in data],
        lower_headset_stack=np.array([headset.lower_stack for headset in headsets]),
        sag_fraction=np.array([one.sag_fraction for one in data]),
    )


def _radii(parts: Catalogue, combined: Sequence[Combination], place: str) -> FloatArray:
    return np.array([tyre_radius(parts.data(TyreData, one.choice.part(place))) for one in combined])


def stacked(frames: Sequence[Frame]) -> Frame:
    """Sizes side by side as one frame whose numbers are arrays (S,).

    Parameters
    ----------
    frames : sequence of Frame
        Each with plain numbers; lengths [mm], angles [deg].

    Returns
    -------
    Frame

    Examples
    --------
    >>> from geometry.examples import trail_hardtail
    >>> stacked([trail_hardtail(), trail_hardtail()]).reach.tolist()
    [470.0, 470.0]
    """
    # A fork is stated along or straight; only along can stand in one array.
    alike = [_along(frame) for frame in frames]
    made: Frame = _stacked(alike)
    return made


def _along(frame: Frame) -> Frame:
    drawn = frame.drawn_with
    fork = replace(drawn.fork, axle_to_crown=drawn.fork.along, axle_to_crown_measured="along")
    return replace(frame, drawn_with=replace(drawn, fork=fork))


def _stacked(values: Sequence[Any]) -> Any:
    first = values[0]
    if is_dataclass(first) and not isinstance(first, type):
        parts = {f.name: _stacked([getattr(v, f.name) for v in values]) for f in fields(first)}
        return replace(first, **parts)
    if isinstance(first, int | float) and not isinstance(first, bool):
        return np.array(values, dtype=float)
    return first
