"""Which size of a model suits a rider, how sure that is, and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from geometry.core import NoSolution
from geometry.rider import (
    BodyBelief,
    BodyCaution,
    Landmark,
    Linkage,
    PostureWindows,
    PublishedSaddleHeights,
    linkage,
    published_saddle_heights,
)
from geometry.sizing import (
    SEED,
    Fit,
    NextMeasurement,
    Reason,
    SizeAnswer,
    SizeFigures,
    Verdict,
    judge,
    seat,
    size_figures,
    size_up,
)
from webapp.builds.choice.build_choice import BuildChoice, read_choice
from webapp.catalogue.reading.views import Catalogue, PartView, StyleView
from webapp.catalogue.schema.part_kinds import PostData
from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.fit.candidate_builds import FitGrid, Fitting, PostReach, SizeStand, fit_grid
from webapp.rider.body import belief_of
from webapp.rider.rider_input import MEASURES, Rider
from webapp.rider.saddle_line import saddle_line
from webapp.rider.windows import windows_of

RUNG_DRAWS = 400
"""Bodies drawn for an answer that is only compared with; good to about 2 in 100."""

SPREAD_DRAWS = 300
"""Bodies drawn for the spread of the saddle height."""


@dataclass(frozen=True, kw_only=True)
class SizeFit:
    """One size for one rider, with the cockpit that suits best.

    Parameters
    ----------
    slug, name : str
    best, acceptable : float
        Chances to be the best size, and to be acceptable [1].
    figures : SizeFigures
        Of the expected body on that cockpit.
    reasons : tuple of Reason
        The gravest first.
    fitting : Fitting
        The cockpit.
    post : PartView
    saddle_height : float [mm]
        As the build is set.
    choice : BuildChoice
        The whole build, rider included.
    """

    slug: str
    name: str
    best: float
    acceptable: float
    figures: SizeFigures
    reasons: tuple[Reason, ...]
    fitting: Fitting
    post: PartView
    saddle_height: float
    choice: BuildChoice


@dataclass(frozen=True, kw_only=True)
class Rung:
    """The answer with so many measurements: the last one, and the likeliest size's chance [1]."""

    landmark: Landmark
    size: str
    chance: float
    none: float


@dataclass(frozen=True, kw_only=True)
class SaddleAdvice:
    """Saddle height on one size, with its spread and what published rules say [mm].

    ``inseam`` and ``inseam_spread`` are what is believed of the crotch height.
    """

    size: str
    height: float
    spread: float
    crank_length: float
    inseam: float
    inseam_spread: float
    rules: PublishedSaddleHeights


@dataclass(frozen=True, kw_only=True)
class FitAnswer:
    """The answer to one rider.

    Parameters
    ----------
    rider : Rider
    style : StyleView
    windows : PostureWindows
        Of that style.
    verdict : {'one', 'between', 'none'}
    leading : tuple of SizeFit
        One, two or none.
    sizes : tuple of SizeFit
        The likeliest first; empty where no leg position exists at all.
    none : float
        Chance that no size is acceptable [1].
    summary : str
        The answer in a sentence or two.
    differences : tuple of Reason
        Between two sizes: the larger beside the smaller.
    rungs : tuple of Rung
        How each measurement narrowed the answer, the present one last.
    saddle : SaddleAdvice or None
        On the likeliest size; None where none suits.
    measure_next : tuple of NextMeasurement
        What would settle it, of what is asked here.
    cautions : tuple of BodyCaution
    too_heavy : float or None [kg]
        The builder's limit for rider and luggage, where the rider alone is over it.
    """

    rider: Rider
    style: StyleView
    windows: PostureWindows
    verdict: Verdict
    leading: tuple[SizeFit, ...]
    sizes: tuple[SizeFit, ...]
    none: float
    summary: str
    differences: tuple[Reason, ...]
    rungs: tuple[Rung, ...]
    saddle: SaddleAdvice | None
    measure_next: tuple[NextMeasurement, ...]
    cautions: tuple[BodyCaution, ...]
    too_heavy: float | None


def fit(catalogue: Catalogue, rider: Rider, choice: BuildChoice | None = None) -> FitAnswer:
    """Which size of a model suits a rider, how sure that is, and why.

    Parameters
    ----------
    catalogue : Catalogue
    rider : Rider
        With a stature or an inseam.
    choice : BuildChoice, optional
        Fork, wheels and axle position to fit on; the builder's usual ones without it.

    Returns
    -------
    FitAnswer
        The same for the same input: the draws have a fixed seed.

    Raises
    ------
    Invalid
        Nothing to go by, or parts that cannot stand together.
    """
    if not rider.known:
        raise Invalid("stature", "", tr("give your stature, or your inseam"))
    return _Fitter(catalogue, rider, choice or read_choice(catalogue, {}).choice).answer()


class _Fitter:
    """One rider on one model; holds what every part of the answer needs."""

    def __init__(self, catalogue: Catalogue, rider: Rider, choice: BuildChoice) -> None:
        self.catalogue, self.rider = catalogue, rider
        self.reference = replace(choice, rider=None)
        self.style = catalogue.style(rider.style)
        self.windows = windows_of(self.style)
        self.fitted: FitGrid = fit_grid(catalogue, self.reference)
        self.given = rider.measurements()
        self.belief: BodyBelief = belief_of(rider)
        self.links: Linkage = linkage(self.belief.mean_body())

    def answer(self) -> FitAnswer:
        try:
            found = size_up(self.belief, self.fitted.grid, self.windows, given=self.given)
        except NoSolution:
            return self.nothing()
        pairs = zip(found.sizes, self.fitted.stands, strict=True)
        sizes = tuple(self.size_fit(answer, stood) for answer, stood in pairs)
        ranked = tuple(sorted(sizes, key=_rank))
        leading = tuple(size for size in sizes if size.name in found.leading)
        return FitAnswer(
            rider=self.rider,
            style=self.style,
            windows=self.windows,
            verdict=found.verdict,
            leading=leading,
            sizes=ranked,
            none=found.none,
            summary=self.summary(found, sizes, leading, ranked),
            differences=found.differences,
            rungs=(*self.rungs(), _rung(self.given[-1].landmark, found)),
            saddle=self.saddle(sizes, ranked[0]) if leading else None,
            measure_next=_asked_here(found.measure_next),
            cautions=found.cautions,
            too_heavy=self.too_heavy(),
        )

    def nothing(self) -> FitAnswer:
        """A leg too short for any crank offered: none of these sizes."""
        return FitAnswer(
            rider=self.rider,
            style=self.style,
            windows=self.windows,
            verdict="none",
            leading=(),
            sizes=(),
            none=1.0,
            summary=tr("None of these sizes. The legs are too short for the cranks."),
            differences=(),
            rungs=(),
            saddle=None,
            measure_next=(),
            cautions=self.belief.cautions,
            too_heavy=self.too_heavy(),
        )

    def size_fit(self, answer: SizeAnswer, stood: SizeStand) -> SizeFit:
        fitting = self.fitted.fittings[answer.figures.cockpit]
        post, height = self.post_and_height(stood)
        size = stood.assembly.size
        parts = dict(self.reference.parts)
        parts |= {"stem": fitting.stem.slug, "handlebar": fitting.handlebar.slug}
        choice = replace(
            self.reference,
            size=size.slug,
            parts=MappingProxyType(parts | {"post": post.slug}),
            spacers=fitting.spacers,
            slot=min(self.reference.slot, size.data.slot_length),
            saddle_height=height,
            rider=self.rider,
        )
        return SizeFit(
            slug=size.slug,
            name=size.name,
            best=answer.best,
            acceptable=answer.acceptable,
            figures=answer.figures,
            reasons=answer.reasons,
            fitting=fitting,
            post=post,
            saddle_height=height,
            choice=choice,
        )

    def post_and_height(self, stood: SizeStand) -> tuple[PartView, float]:
        """A post that brings the saddle to the rider's height, and that height on it [mm].

        The post of the build if it reaches; else, of those like it, the one with
        the most travel that reaches; else the one that comes nearest.
        """
        offsets = {each.post.slug: _setback(each.post) for each in stood.posts}
        by_offset = {offset: self.height_at(stood, offset) for offset in set(offsets.values())}
        heights = {slug: by_offset[offset] for slug, offset in offsets.items()}
        usual = self.reference.parts["post"]
        droppers = any(_travel(each.post) > 0 for each in stood.posts if each.post.slug == usual)

        def preference(each: PostReach) -> tuple[float, bool, bool, float]:
            height = heights[each.post.slug]
            miss = max(each.reach.lowest - height, height - each.reach.highest, 0.0)
            other = (_travel(each.post) > 0) != droppers
            return miss, each.post.slug != usual, other, -_travel(each.post)

        chosen = min(stood.posts, key=preference).post
        return chosen, heights[chosen.slug]

    def height_at(self, stood: SizeStand, setback: float) -> float:
        """Saddle height of the expected body on a post of some setback in one size [mm]."""
        build = stood.assembly.build
        line = saddle_line(stood.standing, build, replace(stood.assembly.seat, post_offset=setback))
        return line.height_for(
            self.links,
            crank_length=stood.assembly.crank_length,
            knee_flexion=self.windows.knee_flexion,
        )

    def rungs(self) -> list[Rung]:
        """The answers with fewer measurements, the least first."""
        names = self.fitted.grid.sizes
        found = []
        for count in range(1, len(self.given)):
            belief = belief_of(self.rider, first=count)
            bodies = belief.draw(RUNG_DRAWS, np.random.default_rng(SEED))
            *shares, none = judge(bodies, self.fitted.grid, self.windows).shares()
            best = int(np.argmax(shares))
            landmark = self.given[count - 1].landmark
            found.append(
                Rung(
                    landmark=landmark,
                    size=names[best],
                    chance=float(shares[best]),
                    none=float(none),
                )
            )
        return found

    def saddle(self, sizes: Sequence[SizeFit], size: SizeFit) -> SaddleAdvice:
        """Saddle height on one size, its spread from draws of the body."""
        at = sizes.index(size)
        stood = self.fitted.stands[at]
        bodies = self.belief.draw(SPREAD_DRAWS, np.random.default_rng(SEED))
        heights = seat(self.fitted.grid, linkage(bodies), self.windows).saddle_height[at]
        inseam, inseam_spread = self.belief.estimate("crotch_height")
        return SaddleAdvice(
            size=size.name,
            height=size.saddle_height,
            spread=float(heights.std()),
            crank_length=stood.assembly.crank_length,
            inseam=inseam,
            inseam_spread=inseam_spread,
            rules=published_saddle_heights(
                inseam,
                crank_length=stood.assembly.crank_length,
                seat_angle=float(stood.standing.seat_tube_angle),
                knee_flexion=self.windows.knee_flexion,
            ),
        )

    def summary(
        self,
        found: Fit,
        sizes: Sequence[SizeFit],
        leading: Sequence[SizeFit],
        ranked: Sequence[SizeFit],
    ) -> str:
        """The answer, and for one size what the next likely one would be like."""
        if found.verdict != "one" or len(ranked) < len(leading) + 1:
            return found.summary
        best, other = leading[0], ranked[1]
        same = size_figures(
            self.fitted.grid,
            sizes.index(other),
            best.figures.cockpit,
            links=self.links,
            windows=self.windows,
        )
        change = same.reach_surplus - best.figures.reach_surplus
        way = "stretch" if change > 0 else "cramp"
        return tr(
            "{summary} {name} would {way} you by {abs:.0f} mm.",
            summary=found.summary,
            name=other.name,
            way=way,
            abs=abs(change),
        )

    def too_heavy(self) -> float | None:
        limit = self.catalogue.revision.data.masses.rider_and_luggage
        weight = self.rider.weight
        return limit if weight is not None and weight > limit else None


def _rank(size: SizeFit) -> tuple[float, float, float]:
    return -size.best, -size.acceptable, size.figures.distance


def _rung(landmark: Landmark, found: Fit) -> Rung:
    likeliest = max(found.sizes, key=lambda size: size.best)
    return Rung(landmark=landmark, size=likeliest.size, chance=likeliest.best, none=found.none)


def _asked_here(found: Sequence[NextMeasurement]) -> tuple[NextMeasurement, ...]:
    known = {measure.landmark for measure in MEASURES}
    return tuple(each for each in found if each.landmark in known)


def _travel(post: PartView) -> float:
    return post.data.travel if isinstance(post.data, PostData) else 0.0


def _setback(post: PartView) -> float:
    return post.data.offset if isinstance(post.data, PostData) else 0.0
