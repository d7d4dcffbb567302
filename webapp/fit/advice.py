"""Which size of a model suits a rider, how sure that is, and why."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from sqlmodel import Session

from geometry.core import GeometryError, NoSolution
from geometry.rider import BodyBelief, Linkage, Measurement, condition, linkage
from geometry.sizing import DRAWS, Fit, NextMeasurement, RightPosition, Run, needed, size_up
from geometry.sizing import SizeFit as SizedUp
from webapp.builds.choice.build_choice import BuildChoice, read_choice
from webapp.catalogue.reading.load import list_models, load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import (
    Invalid,
    Problem,
)
from webapp.common.text.language import tr
from webapp.fit.answer import Effect, Evidence, FitAnswer, Rung, SizeFit
from webapp.fit.candidate_builds import CandidateBuilds, SizeStand, as_sold, candidate_builds
from webapp.fit.changes import changes_to
from webapp.fit.figures import postures_on
from webapp.fit.other_ways import Way, other_ways
from webapp.fit.run import answers_of, asks_of, lean_of, run_for
from webapp.fit.saddle import post_and_height, saddle_advice
from webapp.rider.body import belief_of
from webapp.rider.rider_input import MEASURES, Rider

RUNG_DRAWS = 500
"""Bodies drawn for an answer used only for comparison; chances good to about 2 in 100."""

Others = Callable[[], Sequence[Catalogue]]
"""Catalogues of the builder's other models, looked up only where they may help."""


def every_model(session: Session) -> tuple[Catalogue, ...]:
    """Catalogues of every model the builder sells, as `fit` takes them for other frames."""
    return tuple(load_catalogue(session, model.slug) for model in list_models(session))


def fit(
    catalogue: Catalogue,
    rider: Rider,
    choice: BuildChoice | None = None,
    *,
    others: Others = tuple,
    right: RightPosition | None = None,
) -> FitAnswer:
    """Which size of a model suits a rider, how sure that is, and why.

    Parameters
    ----------
    catalogue : Catalogue
    rider : Rider
        With a height or an inseam.
    choice : BuildChoice, optional
        Fork, wheels and axle position to fit on; the builder's usual ones without it.
    others : callable
        Catalogues of other models, for a rider whom no size here fits.
    right : RightPosition, optional
        Where the rider sits right on the bike they have.

    Returns
    -------
    FitAnswer
        The same for the same input: the draws have a fixed seed.

    Raises
    ------
    Invalid
        No measurement, no size chart, or parts that cannot stand together.
    """
    return _fitter(catalogue, rider, choice, right).answer(others)


def named_size(catalogue: Catalogue, rider: Rider, choice: BuildChoice | None = None) -> str:
    """Name of the size `fit` names first, without its reasons; empty where none fits.

    Parameters
    ----------
    catalogue, rider, choice
        As `fit`.

    Returns
    -------
    str

    Raises
    ------
    Invalid
        As `fit`.
    """
    fitter = _fitter(catalogue, rider, choice)
    try:
        return fitter.sized(fitter.belief).named
    except NoSolution:
        return ""


def _fitter(
    catalogue: Catalogue,
    rider: Rider,
    choice: BuildChoice | None,
    right: RightPosition | None = None,
) -> _Fitter:
    if not rider.known:
        raise Invalid("stature", "", tr("give your height, or your crotch height"))
    reference = replace(choice or read_choice(catalogue, {}).choice, rider=None)
    try:
        builds = candidate_builds(catalogue, reference)
        run = run_for(catalogue, builds, catalogue.style(rider.style))
    except GeometryError as error:
        raise Invalid.of([Problem.of(error)]) from error
    return _Fitter(catalogue, rider, reference, builds, run, right=right)


class _Fitter:
    """One rider on one model; holds what every part of the answer needs."""

    def __init__(
        self,
        catalogue: Catalogue,
        rider: Rider,
        reference: BuildChoice,
        builds: CandidateBuilds,
        run: Run,
        *,
        right: RightPosition | None,
    ) -> None:
        self.catalogue, self.rider, self.reference = catalogue, rider, reference
        self.builds, self.run, self.right = builds, run, right
        self.given = rider.measurements()
        self.belief: BodyBelief = belief_of(rider)
        self.links: Linkage = linkage(self.belief.mean_body())
        self.asks, self.lean = asks_of(catalogue, rider), lean_of(run, rider)
        self.cockpits = [stood.cockpits for stood in builds.stands]

    def sized(
        self,
        belief: BodyBelief,
        *,
        draws: int = DRAWS,
        counting: bool = True,
        advising: bool = False,
    ) -> Fit:
        return size_up(
            belief,
            self.run,
            self.cockpits,
            asks=self.asks,
            lean=self.lean,
            given=self.given,
            right=self.right if counting else None,
            draws=draws,
            advising=advising,
        )

    def answer(self, others: Others) -> FitAnswer:
        bare = self.bare()
        try:
            found = self.sized(self.belief, advising=True)
        except NoSolution:
            return replace(bare, help=self.ways(others))
        helped = self.ways(others) if _in_need(found) else ()
        cockpits = [sized.cockpit for sized in found.sizes]
        sat = postures_on(self.builds.stands, cockpits, self.links, self.run.windows)
        each = zip(found.sizes, self.builds.stands, sat, strict=True)
        sizes = tuple(self.size_fit(sized, stood, at, helped) for sized, stood, at in each)
        by_name = {size.name: size for size in sizes}
        named = by_name.get(found.named)
        return replace(
            bare,
            verdict=found.verdict,
            leading=tuple(by_name[name] for name in found.leading),
            named=named,
            sizes=sizes,
            none=found.none,
            spreads=found.spreads,
            by_body=found.by_body,
            effects=self.effects(),
            rungs=self.rungs(found),
            evidence=self.evidence(found),
            saddle=saddle_advice(self.belief, self.run, named.name, named.saddle_height)
            if named
            else None,
            measure_next=_asked_here(found.measure_next),
            help=() if named is not None and named.fits == "as_sold" else helped,
        )

    def evidence(self, found: Fit) -> Evidence | None:
        """How the answer changed because the rider sits right on the present bike."""
        if self.right is None:
            return None
        before = self.sized(self.belief, counting=False)
        likeliest = max(found.sizes, key=lambda size: size.best)
        earlier = next(size for size in before.sizes if size.size == likeliest.size)
        return Evidence(
            told=found.told,
            before=before.spreads.whole,
            after=found.spreads.whole,
            size=likeliest.size,
            chance_before=earlier.best,
            chance=likeliest.best,
        )

    def bare(self) -> FitAnswer:
        """The answer's values that are known before any size is judged."""
        limit = self.catalogue.revision.data.masses.rider_and_luggage
        weight = self.rider.weight
        height, _ = self.belief.estimate("stature")
        return FitAnswer(
            rider=self.rider,
            style=self.catalogue.style(self.rider.style),
            windows=self.run.windows,
            verdict="none",
            height=height,
            by_chart=self.by_chart(height),
            step=float(self.run.steps.mean()),
            answers=answers_of(self.catalogue, self.rider),
            cautions=self.belief.cautions,
            too_heavy=limit if weight is not None and weight > limit else None,
        )

    def by_chart(self, height: float) -> str:
        """Slug of the size whose riders' middle is nearest to a height; empty beyond the chart."""
        chart = self.run.chart
        if not chart.shortest[0] <= height <= chart.tallest[-1]:
            return ""
        nearest = int(abs(chart.middles - height).argmin())
        return self.catalogue.sizes[nearest].slug

    def ways(self, others: Others) -> tuple[Way, ...]:
        """Other parts, wheels and frames, with what fits on them."""
        return other_ways(self.catalogue, self.rider, self.reference, others())

    def size_fit(
        self,
        sized: SizedUp,
        stood: SizeStand,
        posture: Mapping[str, float],
        ways: Sequence[Way],
    ) -> SizeFit:
        fitting = stood.fittings[sized.cockpit]
        post, height = post_and_height(stood, self.links, self.run.windows.knee_flexion)
        size = stood.assembly.size
        sold = as_sold(self.catalogue, self.reference, size)
        parts = {
            "stem": fitting.stem.slug,
            "handlebar": fitting.handlebar.slug,
            "post": post.post.slug,
        }
        return SizeFit(
            slug=size.slug,
            name=size.name,
            sized=sized,
            posture=posture,
            fitting=fitting,
            post=post,
            changes=changes_to(stood, fitting, post) if sized.fits == "with_changes" else (),
            help=tuple(w for w in ways if size.slug in w.sizes) if sized.fits == "no" else (),
            saddle_height=height,
            choice=replace(
                sold,
                parts=MappingProxyType({**sold.parts, **parts}),
                spacers=fitting.spacers,
                saddle_height=height,
                rider=self.rider,
            ),
        )

    def length(self, given: Sequence[Measurement]) -> float:
        """Length needed by the likeliest body of some measurements [mm]."""
        body = condition(given, sex=self.rider.sex).mean_body()
        return float(needed(self.run, body, asks=self.asks).length[0])

    def effects(self) -> tuple[Effect, ...]:
        """How much each measurement beyond the height changes the length, the strongest first."""
        if self.rider.stature is None:
            return ()
        whole = self.length(self.given)
        found = []
        for measurement in self.given[1:]:
            rest = [each for each in self.given if each is not measurement]
            found.append(Effect(landmark=measurement.landmark, mm=whole - self.length(rest)))
        return tuple(sorted(found, key=lambda effect: -abs(effect.mm)))

    def rungs(self, found: Fit) -> tuple[Rung, ...]:
        """The answers with fewer measurements, the least first, the present one last."""
        climbed: list[Rung] = []
        for count in range(1, len(self.given) + 1):
            whole = count == len(self.given)
            belief = belief_of(self.rider, first=count)
            at = found if whole else self.sized(belief, draws=RUNG_DRAWS)
            moved = at.length - climbed[-1].length if climbed else 0.0
            climbed.append(_rung(self.given[count - 1], at, moved))
        return tuple(climbed)


def _in_need(found: Fit) -> bool:
    """Whether other parts might help: no size fits as sold, or what fails is no length."""
    if not any(size.fits == "as_sold" for size in found.sizes):
        return True
    return any(
        size.fits == "no" and all(r.outcome != "no" for r in size.reasons if r.code == "length")
        for size in found.sizes
    )


def _rung(measurement: Measurement, found: Fit, moved: float) -> Rung:
    likeliest = max(found.sizes, key=lambda size: size.best)
    none = found.none > likeliest.best
    return Rung(
        landmark=measurement.landmark,
        fits=found.leading,
        size="" if none else likeliest.size,
        chance=found.none if none else likeliest.best,
        length=found.length,
        moved=moved,
    )


def _asked_here(found: Sequence[NextMeasurement]) -> tuple[NextMeasurement, ...]:
    known = {measure.landmark for measure in MEASURES}
    return tuple(each for each in found if each.landmark in known)
