"""The answer to "which size": what fits, at what chance, and why, as codes with values.

Three things are uncertain, and are kept apart: the body, of which not everything was
measured; the person, since riders of one body sit differently; and the model, whose
joints are assumed. What fits is told for the likeliest body; a chance of fitting is over
the body's doubt; the chance of being chosen is over all three.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist
from typing import Literal

import numpy as np

from geometry.core import FloatArray
from geometry.rider import Bodies, BodyBelief, BodyCaution, Measurement, linkage
from geometry.sizing.evidence import Learned, RightPosition, learn, length_given
from geometry.sizing.length import Needs, Run, needed
from geometry.sizing.next_measurement import NextMeasurement, next_measurements
from geometry.sizing.size_suitability import NONE, SizeSuitability, judge_sizes, near_enough
from geometry.sizing.swaps import Cockpits, gains, least_swap

DRAWS = 2000
"""Bodies drawn for one answer; the chance of a size is then good to about 1 in 100."""

SEED = 20120404
"""The same numbers always get the same answer."""

QUANTILES = tuple(NormalDist().inv_cdf((i + 0.5) / 9.0) for i in range(9))
"""Taste and model are doubted at these places of a standard normal distribution, each as
likely as the next: for every body drawn all of them are tried."""

Fits = Literal["as_sold", "with_changes", "no"]
Outcome = Literal["clear", "tight", "no"]
Verdict = Literal["one", "between", "none"]
Code = Literal["length", "straddle_room", "saddle_height", "toe_room"]


@dataclass(frozen=True)
class Reason:
    """One reason for or against a size.

    Parameters
    ----------
    code : {'length', 'straddle_room', 'saddle_height', 'toe_room'}
        What it is about.
    value : float
        Too long (positive) or too short by; room over the top tube; saddle height that
        the posts sold miss, positive where they are too short; toe to front wheel [mm].
    limit : float
        What was held against it: near enough, least room, 0, least toe room [mm].
    outcome : {'clear', 'tight', 'no'}
        ``tight`` where a change of parts mends it, or where the room is just enough.
    """

    code: Code
    value: float
    limit: float
    outcome: Outcome


@dataclass(frozen=True)
class SizeFit:
    """One size for one rider.

    Parameters
    ----------
    size : str
        Name.
    fits : {'as_sold', 'with_changes', 'no'}
        For the likeliest body.
    fits_chance : float
        That it fits as sold, over the body's doubt [1].
    possible_chance : float
        That it fits as sold or with changes, over the body's doubt [1].
    best : float
        That this rider would choose it, over all doubt [1].
    too_long : float
        How much longer than needed the size is, negative where shorter [mm].
    cockpit : int
        Which of its cockpits to take, from 0: the one as sold unless a change is needed.
    gained : float
        What that cockpit adds to the length [mm].
    other_post : bool
        Whether another post than those sold with the size is needed.
    saddle_height : float
        Wanted [mm].
    reasons : tuple of Reason
        The gravest first; always the length and the straddle room.
    """

    size: str
    fits: Fits
    fits_chance: float
    possible_chance: float
    best: float
    too_long: float
    cockpit: int
    gained: float
    other_post: bool
    saddle_height: float
    reasons: tuple[Reason, ...]


@dataclass(frozen=True)
class Spreads:
    """What is uncertain about the length, each one standard deviation [mm].

    Parameters
    ----------
    body : float
        What was not measured.
    taste : float
        How riders of one body differ.
    model : float
        Where the joints are assumed to be.
    """

    body: float
    taste: float
    model: float

    @property
    def whole(self) -> float:
        """All three together."""
        return float(np.sqrt(self.body**2 + self.taste**2 + self.model**2))


@dataclass(frozen=True)
class Fit:
    """Which size, how sure, and why.

    Parameters
    ----------
    verdict : {'one', 'between', 'none'}
        One size to name, two that both fit as sold, or none.
    leading : tuple of str
        The sizes to name, from small to large: those that fit as sold, or else the
        nearest that fits with changes.
    named : str
        The one named first; empty for none.
    none : float
        That no size would be chosen, over all doubt [1].
    sizes : tuple of SizeFit
        From small to large.
    length : float
        Needed, taste and style included [mm, on the run of the sizes].
    by_chart, by_body : float
        Of it, the chart's line with the style's own, and what body and build add [mm].
    spreads : Spreads
    told : float
        What a position that is right added to the length [mm].
    measure_next : tuple of NextMeasurement
        What would settle it, the most useful first.
    cautions : tuple of BodyCaution
        Where the estimate of the body leaves the data.
    """

    verdict: Verdict
    leading: tuple[str, ...]
    named: str
    none: float
    sizes: tuple[SizeFit, ...]
    length: float
    by_chart: float
    by_body: float
    spreads: Spreads
    told: float
    measure_next: tuple[NextMeasurement, ...]
    cautions: tuple[BodyCaution, ...]


def size_up(
    belief: BodyBelief,
    run: Run,
    cockpits: Sequence[Cockpits],
    *,
    asks: Mapping[str, float] | None = None,
    lean: float = 0.0,
    given: Sequence[Measurement] = (),
    right: RightPosition | None = None,
    draws: int = DRAWS,
    seed: int = SEED,
    advising: bool = True,
) -> Fit:
    """Which size suits a rider, how sure that is, and why.

    Parameters
    ----------
    belief : BodyBelief
        What is believed of the body, from `condition`.
    run : Run
        The sizes, chart, style and rules.
    cockpits : sequence of Cockpits, length S
        What each size may carry.
    asks : mapping of str to float, optional
        What the rider asks differently from the windows' middles, by figure [°].
    lean : float
        Longer than usual, by the rider's own wish; negative for shorter [mm].
    given : sequence of Measurement
        What the belief came from, so as not to ask for it again.
    right : RightPosition, optional
        Where the rider sits right: evidence of the length they like.
    draws : int
        Bodies drawn.
    seed : int
        Of the draws; the same seed gives the same answer.
    advising : bool
        Whether to say what to measure next; not needed of an answer used only for comparison.

    Returns
    -------
    Fit
        Verdict, chances, figures, reasons.

    Raises
    ------
    NoSolution
        A leg too short for the cranks of some size.

    Examples
    --------
    >>> from geometry.examples import example_cockpits, example_run
    >>> from geometry.rider import condition
    >>> told = [Measurement("stature", 1780.0, "told"), Measurement("crotch_height", 850.0)]
    >>> fit = size_up(condition(told), example_run(), example_cockpits(), given=told)
    >>> fit.verdict, fit.leading, fit.named
    ('between', ('M', 'L'), 'M')
    >>> [size.fits for size in fit.sizes]
    ['no', 'no', 'as_sold', 'as_sold', 'with_changes']
    """
    likeliest = belief.mean_body()
    links = linkage(likeliest)
    gained = gains(run, cockpits, links)
    bounds = {
        "shorter": np.array([each.min() for each in gained]),
        "longer": np.array([each.max() for each in gained]),
    }
    one = needed(run, likeliest, asks=asks)
    judged = judge_sizes(run, one, lean=lean, **bounds)
    rng = np.random.default_rng(seed)
    bodies = belief.draw(draws, rng)
    many = needed(run, bodies, asks=asks)
    doubt, share = float(np.hypot(run.taste_spread, run.model_spread)), 1.0
    leans, told = np.full(draws, lean), 0.0
    if right is not None:
        told = float(_learned(run, right, likeliest, one, lean).lean[0])
        learned = _learned(run, right, bodies, many, lean)
        anew = learned.drawn_anew()
        bodies, leans = Bodies(bodies.values[anew]), leans + learned.lean[anew]
        many = needed(run, bodies, asks=asks)
        doubt, share = learned.doubt, learned.doubt / doubt
        judged = judge_sizes(run, one, lean=lean + told, **bounds)
    over_body = judge_sizes(run, many, lean=leans, **bounds)
    tried = [
        judge_sizes(run, many, lean=leans + doubt * at, **bounds).choices() for at in QUANTILES
    ]
    chosen: FloatArray = np.mean(tried, axis=0)
    length = float(one.length[0]) + lean + told
    chances = _Chances(over_body, chosen.mean(axis=1))
    sizes = tuple(
        _size(run, i, _Seen(judged, chances, one, length), cockpits[i], gained[i])
        for i in range(len(run.sizes))
    )
    verdict, leading, named = _named(run, judged)
    return Fit(
        verdict=verdict,
        leading=leading,
        named=named,
        none=float(chances.best[NONE]),
        sizes=sizes,
        length=length,
        by_chart=float(one.by_chart[0]),
        by_body=float(one.by_body[0]),
        spreads=Spreads(
            float((many.length + leans).std()), share * run.taste_spread, share * run.model_spread
        ),
        told=told,
        measure_next=next_measurements(bodies, chosen, given=given, rng=rng) if advising else (),
        cautions=belief.cautions,
    )


def _learned(run: Run, right: RightPosition, bodies: Bodies, needs: Needs, lean: float) -> Learned:
    """What a position called right says about some bodies."""
    place = run.chart.size_for(bodies["stature"])
    given = length_given(run, right, linkage(bodies), place)
    return learn(run, needed=needs.length + lean, given=given, spread=right.spread)


@dataclass(frozen=True, eq=False)
class _Chances:
    """Judgements of the bodies drawn, and the share that would choose each size."""

    over_body: SizeSuitability
    best: FloatArray


@dataclass(frozen=True, eq=False)
class _Seen:
    """The likeliest body's judgement and needs, beside the chances over all draws."""

    judged: SizeSuitability
    chances: _Chances
    needs: Needs
    length: float


def _named(run: Run, judged: SizeSuitability) -> tuple[Verdict, tuple[str, ...], str]:
    """Verdict, sizes to name, and the first of them, for one body."""
    first = int(judged.named[0])
    if first == NONE:
        return "none", (), ""
    sold = [int(i) for i in np.flatnonzero(judged.as_sold[:, 0])]
    leading = tuple(run.sizes[i] for i in sold or [first])
    return ("between" if len(leading) > 1 else "one"), leading, run.sizes[first]


def _size(run: Run, i: int, seen: _Seen, cockpits: Cockpits, gained: FloatArray) -> SizeFit:
    """One size for the likeliest body, with its chances."""
    judged, chances = seen.judged, seen.chances
    too_long = float(run.given[i]) - seen.length
    low, high = (float(each[i]) for each in near_enough(run))
    swap = least_swap(cockpits, gained, too_long=too_long, low=low, high=high)
    fits: Fits = "as_sold" if judged.as_sold[i, 0] else "no"
    if fits == "no" and swap is not None and judged.room[i, 0] and judged.any_post[i, 0]:
        fits = "with_changes"
    cockpit = swap if swap is not None and fits == "with_changes" else cockpits.sold
    near = low <= too_long <= high
    outcome: Outcome = "clear" if near else "no" if swap is None else "tight"
    length = Reason("length", too_long, high if too_long > 0.0 else -low, outcome)
    return SizeFit(
        size=run.sizes[i],
        fits=fits,
        fits_chance=float(chances.over_body.as_sold[i].mean()),
        possible_chance=float(chances.over_body.possible[i].mean()),
        best=float(chances.best[i]),
        too_long=too_long,
        cockpit=cockpit,
        gained=float(gained[cockpit]),
        other_post=not bool(judged.post[i, 0]),
        saddle_height=float(seen.needs.saddle_height[i, 0]),
        reasons=_reasons(length, *_limits(run, i, seen)),
    )


def _limits(run: Run, i: int, seen: _Seen) -> tuple[Reason, ...]:
    """Straddle room; saddle height where the posts sold miss it; toe room where it is short."""
    windows, sold = run.windows, run.sold
    room = float(seen.needs.straddle_room[i, 0])
    height = float(seen.needs.saddle_height[i, 0])
    enough: Outcome = "clear" if room >= windows.straddle_room_clear else "tight"
    if room < windows.straddle_room_least:
        enough = "no"
    found = [Reason("straddle_room", room, windows.straddle_room_least, enough)]
    if not seen.judged.post[i, 0]:
        miss = height - float(np.clip(height, sold.saddle_lowest[i], sold.saddle_highest[i]))
        mends: Outcome = "tight" if seen.judged.any_post[i, 0] else "no"
        found.append(Reason("saddle_height", miss, 0.0, mends))
    toe, toe_least = float(sold.toe_room[i]), float(sold.toe_least[i])
    if toe < max(toe_least, float(sold.toe_enough[i])):
        found.append(Reason("toe_room", toe, toe_least, "tight" if toe >= toe_least else "no"))
    return tuple(found)


def _reasons(*found: Reason) -> tuple[Reason, ...]:
    """Reasons, the gravest first."""
    gravity = ("no", "tight", "clear")
    return tuple(sorted(found, key=lambda reason: gravity.index(reason.outcome)))
