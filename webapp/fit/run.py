"""A model's sizes as one `Run` for one riding style: chart, windows and rules of the catalogue."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from geometry.sizing import FIGURES, FitRules, RightPosition, Run, SizeChart, run_of
from webapp.builds.choice.build_choice import BuildChoice, read_choice
from webapp.builds.present_bike.bike import PresentBike
from webapp.catalogue.reading.views import Catalogue, StyleView
from webapp.catalogue.schema.shop import FitPractice, RiderAnswer
from webapp.common.errors import Invalid
from webapp.common.memory import Same
from webapp.common.text.language import tr
from webapp.fit.candidate_builds import CandidateBuilds, candidate_builds
from webapp.rider.rider_input import TASTES, Rider
from webapp.rider.windows import windows_of

TASTE_STEPS: Mapping[str, float] = dict(zip(TASTES, (-0.5, -0.25, 0.0, 0.25, 0.5), strict=True))
"""How far each answer about taste moves the length needed, in steps of the sizes, [CP]."""

_MOST_KEPT = 64


def usual_choice(catalogue: Catalogue) -> BuildChoice:
    """The build a size chart is made for: the builder's usual parts."""
    return read_choice(catalogue, {}).choice


def run_for(catalogue: Catalogue, builds: CandidateBuilds, style: StyleView) -> Run:
    """The run of the sizes for one style, remembered as long as the builds are.

    Parameters
    ----------
    catalogue : Catalogue
    builds : CandidateBuilds
        On the parts chosen, from `candidate_builds`.
    style : StyleView

    Returns
    -------
    Run

    Raises
    ------
    Invalid
        The revision has no size chart.
    GeometryError
        A chart or sizes that do not rise.
    """
    usually = candidate_builds(catalogue, usual_choice(catalogue))
    cache = catalogue.memory.nested("runs of sizes", most=_MOST_KEPT)
    return cache.of(
        (Same(builds), style.slug),
        lambda: run_of(
            builds.sold,
            usually=usually.sold,
            chart=chart_of(catalogue),
            windows=windows_of(style),
            rules=rules_of(catalogue.settings.fit),
            longer_by=style.windows.longer_by,
        ),
    )


def chart_of(catalogue: Catalogue) -> SizeChart:
    """The builder's size chart.

    Raises
    ------
    Invalid
        A size without its riders' statures.
    ContradictoryInput
        Statures that do not rise from size to size.
    """
    ranges = [size.data.riders for size in catalogue.sizes]
    given = [each for each in ranges if each is not None]
    if len(given) < len(ranges):
        remedy = tr("this revision has no size chart yet, so no size can be advised; ask the shop")
        raise Invalid("size", "", remedy)
    return SizeChart(
        shortest=np.array([each.shortest for each in given]),
        tallest=np.array([each.tallest for each in given]),
    )


def rules_of(practice: FitPractice) -> FitRules:
    """The builder's rules of fit, as sizing takes them."""
    spreads = practice.preference.model_dump()
    return FitRules(
        posture_share=practice.posture_share,
        within=practice.within,
        beyond=practice.beyond,
        preference={name: spreads[name] for name in FIGURES},
        knee_preference=practice.preference.knee_flexion,
        taste_share=practice.taste_share,
    )


def answers_of(catalogue: Catalogue, rider: Rider) -> tuple[RiderAnswer, ...]:
    """What the rider answered about flexibility and discomfort, as the shop's data has it."""
    practice = catalogue.settings.fit
    pairs = ((practice.flexibility, rider.flexibility), (practice.discomfort, rider.discomfort))
    return tuple(each for known, said in pairs for each in known if each.slug == said)


def asks_of(catalogue: Catalogue, rider: Rider) -> dict[str, float]:
    """How far a rider's wishes are from the windows' middles, by figure [deg]."""
    said = [answer.asks.model_dump() for answer in answers_of(catalogue, rider)]
    return {name: sum(each[name] for each in said) for name in FIGURES}


def lean_of(run: Run, rider: Rider) -> float:
    """How much a rider's taste adds to the length needed [mm]."""
    return TASTE_STEPS[rider.taste] * float(run.steps.mean())


def right_position(bike: PresentBike) -> RightPosition | None:
    """The position the rider says is right; None where they do not, or it is not known."""
    target = bike.target
    if target is None or not bike.is_right:
        return None
    along = float(np.sqrt(bike.measured.grip.covariance[0, 0]))
    return RightPosition(grip_x=target.grip[0], grip_y=target.grip[1], spread=along)
