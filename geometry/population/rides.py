"""One rider's verdict on a bike as evidence: the bike's length, the length needed, the posture.

For the builder's line of lengths (`line_verdicts`) the wanted value is the length needed, and
the numbers to be learnt are an offset [mm], a slope [mm a size, about the middle of the run]
and the trust in posture [1]. For the middle of a posture window (`window_verdicts`) it is the
figure itself: who finds a bike too long wants to sit more upright than they did, by as
much as the length that was felt.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.core import (
    FloatArray,
    InvalidInput,
    NumberBetween,
    OneOf,
)
from geometry.population.learning import RIGHT, Learnt, Verdicts, anything
from geometry.rider import Bodies, BodyBelief, Window, linkage
from geometry.sizing import FIGURES, Postures, Run, SoldSizes, asked_length, needed, postures

BAR_HEIGHT = "bar_above_saddle"
LEARNT_WINDOWS = (*FIGURES, BAR_HEIGHT)
"""Windows whose middles riders teach: figures of the posture [°], and bar height [mm]."""

HEIGHT_FELT, HEIGHT_SPREAD = 15.0, 25.0
"""How far grips are off before a rider calls them too high or low, and how riders of one
body differ in it, one standard deviation [mm]; assumed, no published spread was found."""

BY_FEEL = 0.5
"""Share of riders who choose by feel among those who buy the size expected of them, assumed."""

BODY_DRAWS = 64
BODY_SEED = 6021023

_OFFSET, _SLOPE, _SHARE = 15.0, 4.0, 0.2
"""How far off a builder's line and trust may be, one standard deviation, assumed."""


@dataclass(frozen=True, eq=False)
class Ride:
    """One rider on one bike, and what they said of it.

    Parameters
    ----------
    given : float
        Length of the bike as ridden [mm, on the run of the sizes].
    wanted : float
        What the builder's line says of this rider, body left out [mm].
    place : float
        Where the rider's stature stands on the run, 0 in its middle [sizes].
    apart : float
        What body and build would add, all of it taken [mm].
    felt : float
        How far off a length is before it is called wrong [mm].
    spread : float
        Taste, model and body together, one standard deviation [mm].
    chosen : tuple of float
        How much longer than expected of the rider this size would still be chosen, from and
        to [mm].
    by_feel : float
        Chance that it was chosen by its feel [1].
    said : int
        -1 too short, 0 right, 1 too long.
    sat : mapping of str to float
        Each figure of `LEARNT_WINDOWS` as the likeliest body sat [°; bar height mm].
    sat_spread : mapping of str to float
        What the wanted figure spreads by, one standard deviation [same].
    effect : mapping of str to float
        What a millimetre of grips forward does to each figure [°/mm].
    height_said : int or None
        -1 grips too low, 0 right, 1 too high; `None` where nothing was said.
    """

    given: float
    wanted: float
    place: float
    apart: float
    felt: float
    spread: float
    chosen: tuple[float, float]
    by_feel: float
    said: int
    sat: Mapping[str, float]
    sat_spread: Mapping[str, float]
    effect: Mapping[str, float]
    height_said: int | None


def ride_of(
    run: Run,
    belief: BodyBelief,
    *,
    size: int,
    ridden: SoldSizes,
    said: int,
    height_said: int | None = None,
    bought: bool = False,
    asks: Mapping[str, float] | None = None,
    lean: float = 0.0,
) -> Ride:
    """Make evidence of one rider's verdict.

    Parameters
    ----------
    run : Run
        Of the builder's present chart, windows and rules.
    belief : BodyBelief
        What is believed of the rider's body.
    size : int
        Which size was ridden, from 0.
    ridden : SoldSizes
        That size with the cockpit as ridden: a single row.
    said : int
        -1 too short, 0 right, 1 too long.
    height_said : int, optional
        -1 grips too low, 0 right, 1 too high.
    bought : bool
        Whether the rider chose this size, and was not only lent it.
    asks : mapping of str to float, optional
        What the rider asked differently from the windows' middles, by figure [°].
    lean : float
        Longer than usual, by the rider's own wish; negative for shorter [mm].

    Returns
    -------
    Ride

    Raises
    ------
    InvalidInput
        A size that the run does not have.
    NoSolution
        A leg too short for the cranks of some size.

    Examples
    --------
    >>> from geometry.examples import example_cockpits, example_run
    >>> from geometry.rider import Measurement, condition
    >>> belief = condition([Measurement("stature", 1700.0), Measurement("crotch_height", 800.0)])
    >>> run, cockpits = example_run(), example_cockpits()[2]
    >>> as_sold = cockpits.rows.only([cockpits.sold])
    >>> found = ride_of(run, belief, size=2, ridden=as_sold, said=0)
    >>> round(found.given), round(found.wanted), round(found.felt, 1)
    (443, 435, 18.8)
    """
    if not 0 <= size < len(run.sizes):
        raise InvalidInput(
            "size", size, NumberBetween(lowest=0.0, highest=len(run.sizes) - 1.0, unit="")
        )
    likeliest = belief.mean_body()
    drawn = belief.draw(BODY_DRAWS, np.random.default_rng(BODY_SEED))
    sat, figures = _sat(run, likeliest, ridden), _sat(run, drawn, ridden)
    one, many = needed(run, likeliest, asks=asks), needed(run, drawn, asks=asks)
    body = float(many.length.std())
    expected = float(one.length[0]) + lean
    low, high = _choice(run, size)
    return Ride(
        given=float(run.given[size]) + _gained(run, likeliest, size, ridden),
        wanted=float(one.by_chart[0]) + lean,
        place=float(run.chart.size_for(likeliest["stature"])[0]) - 0.5 * (len(run.sizes) - 1),
        apart=float(one.apart[0]),
        felt=run.rules.within * float(run.steps.mean()),
        spread=float(np.sqrt(run.taste_spread**2 + run.model_spread**2 + body**2)),
        chosen=(low - expected, high - expected),
        by_feel=_by_feel(low, high, expected) if bought else 0.0,
        said=said,
        sat={name: float(values[0]) for name, values in sat.items()},
        sat_spread={
            name: float(np.hypot(run.rules.preference.get(name, HEIGHT_SPREAD), values.std()))
            for name, values in figures.items()
        },
        effect=run.effect,
        height_said=height_said,
    )


def _choice(run: Run, size: int) -> tuple[float, float]:
    """Between these lengths a size is the nearest one [mm]; open past the run's ends."""
    edges = [-np.inf, *(0.5 * (run.given[:-1] + run.given[1:])), np.inf]
    return float(edges[size]), float(edges[size + 1])


def _by_feel(low: float, high: float, expected: float) -> float:
    """Who buys another size than the expected one chose it by feel; for others it is not known."""
    return BY_FEEL if low <= expected <= high else 1.0


def _sat(run: Run, bodies: Bodies, ridden: SoldSizes) -> dict[str, FloatArray]:
    """How bodies sit on one bike, by figure: (n,) each."""
    found = postures(ridden, linkage(bodies), run.windows)
    figures = {name: found.figures[name][0] for name in FIGURES}
    return figures | {BAR_HEIGHT: _bar_height(ridden, found)}


def _bar_height(ridden: SoldSizes, found: Postures) -> FloatArray:
    """Grips above the saddle's top [mm]."""
    _, top = ridden.saddle(found.saddle_height)
    return np.asarray(ridden.grip_y[0] - top[0])


def _gained(run: Run, body: Bodies, size: int, ridden: SoldSizes) -> float:
    """How much longer the cockpit as ridden makes the size [mm]."""
    links = linkage(body)
    sold, now = (
        float(asked_length(postures(each, links, run.windows), run.worth)[0, 0])
        for each in (run.sold.only([size]), ridden)
    )
    return sold - now


def line_numbers(share: float) -> tuple[Learnt, ...]:
    """What is learnt of the builder's line, with the present values as prior.

    Parameters
    ----------
    share : float
        The builder's trust in posture [1].

    Returns
    -------
    tuple of Learnt
        ``offset`` [mm], ``slope`` [mm a size] and ``share`` [1].

    Examples
    --------
    >>> [(number.name, number.present) for number in line_numbers(0.5)]
    [('offset', 0.0), ('slope', 0.0), ('share', 0.5)]
    """
    return (
        Learnt("offset", 0.0, _OFFSET, low=-60.0, high=60.0, points=49),
        Learnt("slope", 0.0, _SLOPE, low=-16.0, high=16.0, points=21),
        Learnt("share", share, _SHARE, low=0.0, high=1.0, points=21),
    )


def line_verdicts(rides: Sequence[Ride]) -> Verdicts:
    """What riders' verdicts say of the builder's line.

    Parameters
    ----------
    rides : sequence of Ride
        Of one run of sizes.

    Returns
    -------
    Verdicts
        For the numbers of `line_numbers`.

    Examples
    --------
    >>> line_verdicts([]).design.shape
    (0, 3)
    """
    given, felt = _column(rides, "given"), _column(rides, "felt")
    columns = [np.ones(len(rides)), _column(rides, "place"), _column(rides, "apart")]
    return Verdicts(
        base=_column(rides, "wanted"),
        design=np.stack(columns, axis=1),
        low=given - felt,
        high=given + felt,
        spread=_column(rides, "spread"),
        chosen=np.array([ride.chosen for ride in rides]).reshape(-1, 2),
        by_feel=_column(rides, "by_feel"),
        said=np.array([ride.said for ride in rides], dtype=np.intp),
    )


def _column(rides: Sequence[Ride], name: str) -> FloatArray:
    return np.array([getattr(ride, name) for ride in rides], dtype=np.float64)


def window_number(name: str, window: Window) -> Learnt:
    """The middle of a window, to be learnt, with the present one as prior.

    Parameters
    ----------
    name : str
        Of `LEARNT_WINDOWS`.
    window : Window
        The builder's.

    Returns
    -------
    Learnt
        A middle half the window's half width away is one standard deviation off.

    Examples
    --------
    >>> window_number("trunk_angle", Window(50.0, 72.0)).prior
    5.5
    """
    prior = 0.5 * window.half
    reach = 5.0 * prior
    middle = window.middle
    return Learnt(name, middle, prior, low=middle - reach, high=middle + reach, points=121)


def window_verdicts(rides: Sequence[Ride], name: str) -> Verdicts:
    """What riders' verdicts say of the middle of one window.

    Parameters
    ----------
    rides : sequence of Ride
        Of one riding style.
    name : str
        Of `LEARNT_WINDOWS`.

    Returns
    -------
    Verdicts
        For the number of `window_number`; riders who said nothing of it are left out.

    Raises
    ------
    InvalidInput
        A window that riders do not teach.

    Examples
    --------
    >>> len(window_verdicts([], "trunk_angle"))
    0
    """
    if name not in LEARNT_WINDOWS:
        raise InvalidInput("name", name, OneOf(choices=tuple(LEARNT_WINDOWS)))
    known = [(ride, said, felt) for ride in rides for said, felt in _felt(ride, name)]
    sat = np.array([ride.sat[name] for ride, _, _ in known])
    felt = np.array([each for _, _, each in known])
    return Verdicts(
        base=np.zeros(len(known)),
        design=np.ones((len(known), 1)),
        low=sat - felt,
        high=sat + felt,
        spread=np.array([ride.sat_spread[name] for ride, _, _ in known]),
        chosen=anything(len(known)),
        by_feel=np.zeros(len(known)),
        said=np.array([said for _, said, _ in known], dtype=np.intp),
    )


def _felt(ride: Ride, name: str) -> list[tuple[int, float]]:
    """The verdict on one figure and how far off is called wrong; nothing where none was given."""
    if name == BAR_HEIGHT:
        return [] if ride.height_said is None else [(ride.height_said, HEIGHT_FELT)]
    effect = ride.effect[name]
    if effect == 0.0:
        return []
    # Too long with an angle that grows as grips come nearer: the angle was too small.
    return [(ride.said if effect > 0.0 else RIGHT - ride.said, abs(effect) * ride.felt)]
