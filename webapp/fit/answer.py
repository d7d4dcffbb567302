"""The answer to one rider as values: sizes, chances, what each measurement brought."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from geometry.rider import BodyCaution, Landmark, PostureWindows
from geometry.sizing import Code, Fits, NextMeasurement, Reason, Spreads, Verdict
from geometry.sizing import SizeFit as SizedUp
from webapp.builds.choice.build_choice import BuildChoice
from webapp.catalogue.reading.views import StyleView
from webapp.catalogue.schema.shop import RiderAnswer
from webapp.fit.candidate_builds import Fitting, PostReach
from webapp.fit.changes import Change
from webapp.fit.other_ways import Way
from webapp.fit.saddle import SaddleAdvice
from webapp.rider.rider_input import Rider


@dataclass(frozen=True, kw_only=True)
class SizeFit:
    """One size for one rider, with what it takes to fit.

    Parameters
    ----------
    slug, name : str
    sized : geometry.sizing.answer.SizeFit
        Whether it fits, its chances and reasons.
    posture : mapping of str to float
        Figures of the likeliest body, as ridden [mm, deg].
    fitting : Fitting
        The cockpit.
    post : PostReach
    changes : tuple of Change
        From how the size is sold.
    help : tuple of Way
        Where the size does not fit: other parts on which it does.
    saddle_height : float [mm]
        As the build is set.
    choice : BuildChoice
        The whole build, rider included.
    """

    slug: str
    name: str
    sized: SizedUp
    posture: Mapping[str, float]
    fitting: Fitting
    post: PostReach
    changes: tuple[Change, ...]
    help: tuple[Way, ...]
    saddle_height: float
    choice: BuildChoice

    @property
    def fits(self) -> Fits:
        """Whether it fits as sold, with changes, or not."""
        return self.sized.fits

    @property
    def best(self) -> float:
        """Chance that this rider would choose it, all doubt included [1]."""
        return self.sized.best

    @property
    def too_long(self) -> float:
        """How much longer than needed it is, negative where shorter [mm]."""
        return self.sized.too_long

    def reason(self, code: Code) -> Reason | None:
        """The reason with that code, None where it is not given."""
        return next((each for each in self.sized.reasons if each.code == code), None)


@dataclass(frozen=True, kw_only=True)
class Rung:
    """The answer with so many measurements.

    Parameters
    ----------
    landmark : Landmark
        The last of them.
    fits : tuple of str
        Names of the sizes that fit as sold, else of the one that fits with changes.
    size : str
        The size most likely chosen; empty where most likely none is.
    chance : float
        Of that [1].
    length : float
        Needed [mm, on the run of the sizes].
    moved : float
        How much the last measurement moved it [mm].
    """

    landmark: Landmark
    fits: tuple[str, ...]
    size: str
    chance: float
    length: float
    moved: float


@dataclass(frozen=True, kw_only=True)
class Effect:
    """How much one measurement changes the length needed: with it minus without it [mm]."""

    landmark: Landmark
    mm: float


@dataclass(frozen=True, kw_only=True)
class Evidence:
    """How the answer changed because the rider sits right on the bike they have.

    Parameters
    ----------
    told : float [mm]
        What it added to the length needed.
    before, after : float [mm]
        How far off that length may be, one standard deviation, without and with it.
    size : str
        Name of the size most likely chosen.
    chance_before, chance : float [1]
        Of that, without and with it.
    """

    told: float
    before: float
    after: float
    size: str
    chance_before: float
    chance: float


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
        Those named in the answer, from small to large.
    named : SizeFit or None
        The one named first.
    sizes : tuple of SizeFit
        From small to large; empty where no leg position exists at all.
    none : float
        Chance that no size would be chosen [1].
    by_chart : str
        Slug of the size the builder's chart gives for the likeliest height.
    height : float [mm]
        The likeliest height, measured.
    spreads : Spreads or None
    by_body : float [mm]
        What body and build add to the chart's line.
    step : float [mm]
        From one size to the next, on average.
    effects : tuple of Effect
        Of the measurements beyond the height, the strongest first.
    rungs : tuple of Rung
        How each measurement narrowed the answer, the present one last.
    evidence : Evidence or None
        What followed from the present bike, where the rider says they sit right on it.
    saddle : SaddleAdvice or None
        On the size named first; None where none fits.
    measure_next : tuple of NextMeasurement
        What would settle it, of what is asked here.
    answers : tuple of RiderAnswer
        What the rider said of flexibility and discomfort.
    help : tuple of Way
        Other parts or frames on which some size fits as sold, where none does here.
    cautions : tuple of BodyCaution
    too_heavy : float or None [kg]
        The builder's limit for rider and luggage, where the rider alone is over it.
    """

    rider: Rider
    style: StyleView
    windows: PostureWindows
    verdict: Verdict
    leading: tuple[SizeFit, ...] = ()
    named: SizeFit | None = None
    sizes: tuple[SizeFit, ...] = ()
    none: float = 1.0
    by_chart: str = ""
    height: float
    spreads: Spreads | None = None
    by_body: float = 0.0
    step: float
    effects: tuple[Effect, ...] = ()
    rungs: tuple[Rung, ...] = ()
    evidence: Evidence | None = None
    saddle: SaddleAdvice | None = None
    measure_next: tuple[NextMeasurement, ...] = ()
    answers: tuple[RiderAnswer, ...] = ()
    help: tuple[Way, ...] = ()
    cautions: tuple[BodyCaution, ...]
    too_heavy: float | None
