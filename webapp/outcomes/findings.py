"""What outcomes of a model say of the builder's numbers: forecasts, what happened, offers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.core import FloatArray
from geometry.population import (
    LEARNT_WINDOWS,
    ForecastBin,
    Posterior,
    Ride,
    learn,
    line_numbers,
    line_verdicts,
    reliability,
    still_needed,
    verdict_chances,
    window_number,
    window_verdicts,
)
from geometry.rider import Window
from webapp.catalogue.reading.views import Catalogue, StyleView
from webapp.outcomes.evidence import ride_of_outcome
from webapp.outcomes.store import Kept
from webapp.rider.windows import windows_of

EDGES = np.array([0.0, 0.5, 0.65, 0.8, 1.0])
"""Bands of the chance that the size named first is bought [1]."""

SURPRISING = 0.08
"""A verdict of a smaller chance contradicts what all the others say [1], assumed."""

MOST_LEARNT_FROM = 400
"""How many of the newest outcomes are used; more would only slow the page."""

Then = Callable[[int], Catalogue]
"""The catalogue of a revision by its number."""


@dataclass(frozen=True, kw_only=True)
class Number:
    """One of the builder's numbers: its value, and the value that follows from outcomes."""

    name: str
    present: float
    learnt: float
    spread: float

    @property
    def says_something(self) -> bool:
        """Whether the outcomes move it by more than twice their doubt: 1 in 20 by chance."""
        return abs(self.learnt - self.present) > 2.0 * self.spread


@dataclass(frozen=True, kw_only=True)
class StyleFinding:
    """What the outcomes of one riding style say of its windows."""

    style: StyleView
    count: int
    missing: int
    windows: tuple[Number, ...]


@dataclass(frozen=True, kw_only=True)
class VerdictCount:
    """One verdict: how many were foretold, how many happened."""

    said: int
    foretold: float
    happened: int


@dataclass(frozen=True, kw_only=True)
class Surprise:
    """An outcome that contradicts the others: what was said, and the chance of that."""

    kept: Kept
    chance: float


@dataclass(frozen=True, kw_only=True)
class Findings:
    """What the outcomes of a model say.

    Parameters
    ----------
    count, with_body : int
        Outcomes, and those with measurements: only these are learnt from.
    invented : int
        The demo's own among them.
    missing : int
        How many more are needed before anything is offered.
    sizes : tuple of ForecastBin
        Chance that the size named first is bought, beside how often it was.
    verdicts : tuple of VerdictCount
        Too short, right, too long: by what was foretold when each was recorded.
    line : tuple of Number
        ``offset`` [mm], ``slope`` [mm a size], ``share`` [1].
    styles : tuple of StyleFinding
    surprises : tuple of Surprise
    """

    count: int
    with_body: int
    invented: int
    missing: int
    sizes: tuple[ForecastBin, ...]
    verdicts: tuple[VerdictCount, ...]
    line: tuple[Number, ...]
    styles: tuple[StyleFinding, ...]
    surprises: tuple[Surprise, ...]

    def number(self, name: str) -> Number:
        """One number of the line."""
        return next(each for each in self.line if each.name == name)


def findings(today: Catalogue, kept: Sequence[Kept], then: Then) -> Findings:
    """What outcomes say of the builder's numbers of today.

    Parameters
    ----------
    today : Catalogue
        The newest published revision.
    kept : sequence of Kept
        Outcomes of its model.
    then : callable
        Catalogues of the revisions they are of.

    Returns
    -------
    Findings
    """
    told = [each for each in kept if each.body is not None]
    pairs = [
        (each, ride)
        for each in told[-MOST_LEARNT_FROM:]
        if (ride := ride_of_outcome(today, then(each.revision), each)) is not None
    ]
    rides = [ride for _, ride in pairs]
    posterior = learn(line_numbers(today.settings.fit.posture_share), line_verdicts(rides))
    return Findings(
        count=len(kept),
        with_body=len(told),
        invented=sum(each.invented for each in kept),
        missing=still_needed(len(rides)),
        sizes=_sizes(told),
        verdicts=_verdicts(told),
        line=_numbers(posterior),
        styles=_styles(today, pairs),
        surprises=_surprises(pairs, posterior.means()),
    )


def _sizes(told: Sequence[Kept]) -> tuple[ForecastBin, ...]:
    known = [(each, each.body) for each in told if each.size_bought and each.body]
    chances = np.array([body.chance for _, body in known])
    happened = np.array([each.size_bought == body.named for each, body in known], dtype=bool)
    return reliability(chances, happened, edges=EDGES)


def _verdicts(told: Sequence[Kept]) -> tuple[VerdictCount, ...]:
    bodies = [each.body for each in told if each.body]
    return tuple(
        VerdictCount(
            said=said,
            foretold=sum(body.verdicts[place] for body in bodies),
            happened=sum(each.length == said for each in told),
        )
        for place, said in enumerate((-1, 0, 1))
    )


def _numbers(posterior: Posterior) -> tuple[Number, ...]:
    return tuple(
        Number(
            name=each.name,
            present=each.present,
            learnt=posterior.mean(each.name),
            spread=posterior.spread(each.name),
        )
        for each in posterior.numbers
    )


def _styles(today: Catalogue, pairs: Sequence[tuple[Kept, Ride]]) -> tuple[StyleFinding, ...]:
    found = []
    for style in today.styles:
        rides = [ride for kept, ride in pairs if kept.style == style.slug]
        if rides:
            found.append(
                StyleFinding(
                    style=style,
                    count=len(rides),
                    missing=still_needed(len(rides)),
                    windows=_windows(style, rides),
                )
            )
    return tuple(found)


def _windows(style: StyleView, rides: Sequence[Ride]) -> tuple[Number, ...]:
    windows = windows_of(style)
    found: list[Number] = []
    for name in LEARNT_WINDOWS:
        window: Window = getattr(windows, name)
        said = window_verdicts(rides, name)
        if len(said):
            found += _numbers(learn([window_number(name, window)], said))
    return tuple(found)


def _surprises(pairs: Sequence[tuple[Kept, Ride]], numbers: FloatArray) -> tuple[Surprise, ...]:
    chances = verdict_chances(line_verdicts([ride for _, ride in pairs]), numbers)
    found = [
        Surprise(kept=kept, chance=float(chances[kept.length + 1, i]))
        for i, (kept, _) in enumerate(pairs)
    ]
    small = [each for each in found if each.chance < SURPRISING]
    return tuple(sorted(small, key=lambda each: each.chance))
