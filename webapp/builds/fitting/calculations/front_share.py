"""How much of bike and rider the front wheel carries, the rider sitting rearmost."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from weakref import WeakKeyDictionary

from geometry.bike import Standing, hands
from geometry.loads import Loading, front_share_check, loading, mass_centre, rider_mass_centre
from geometry.rider import rider_points, seated_hip
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.sentences import WordedCheck, not_known, worded
from webapp.builds.solving.solver_inputs import UNLOADED
from webapp.catalogue.schema.part_kinds import SaddleData
from webapp.common.text.language import tr
from webapp.rider.body import expected_links
from webapp.rider.plain_points import plain_point
from webapp.rider.rider_input import Rider
from webapp.rider.saddle_line import saddle_line
from webapp.rider.windows import windows_in

CODE = "load.front_share"
_SOURCE = tr("ISO 4210-2, cl. 4.7.5, from an excerpt of a national adoption")
Point = tuple[float, float]

# Where the mass of what sits in a place is taken to be; the rest is at the BB.
_REAR = ("rim_rear", "tyre_rear", "hub", "axle", "sprocket", "derailleur")
_FRONT = ("rim_front", "tyre_front", "front_hub")
_STEERED = ("fork", "headset")
_HELD = ("stem", "handlebar")
_SAT_ON = ("post", "saddle")
_BOTH_ENDS = ("frame", "brake", "extras")


def front_share_checks(
    setup: Setup, *, rider: float | None, bike: Mapping[str, float], luggage: float
) -> Iterator[WordedCheck]:
    """The front wheel's share of one build.

    Parameters
    ----------
    setup : Setup
    rider : float or None [kg]
    bike : mapping of place to float [kg]
        What is known of its parts' masses.
    luggage : float [kg]
        Stated beside the share; taken over the rear axle, where it counts most.

    Yields
    ------
    WordedCheck
        ``load.front_share``; unknown without the rider's body and weight.
    """
    who = setup.choice.rider
    if who is None or not who.known or rider is None:
        missing = (
            tr("the rider's weight")
            if who is not None and who.known
            else tr("the rider's measurements")
        )
        remedy = tr("give the rider's measurements and weight")
        yield not_known(CODE, missing=missing, source=_SOURCE, remedy=remedy, safety=True)
        return
    seat = _sitting(setup, who)
    wheelbase = float(seat.standing.wheelbase)
    masses = [rider, *bike.values()]
    points = [seat.rider, *(seat.of_place(place) for place in bike)]
    share, total = _share(seat.standing, masses, points)
    check = _in_percent(
        worded(front_share_check(share, wheelbase=wheelbase, total=total, rider=rider))
    )
    if luggage:
        rear, _ = _share(seat.standing, [*masses, luggage], [*points, seat.rear])
        reason = tr(
            "{reason}; {rear:.0f} % with {luggage:g} kg over the rear",
            reason=check.reason,
            rear=100 * rear,
            luggage=luggage,
        )
        check = replace(check, reason=reason)
    yield check


def _in_percent(check: WordedCheck) -> WordedCheck:
    """The same check with its three numbers in per cent."""
    figure, limit, margin = (
        None if value is None else round(100 * value, 1)
        for value in (check.figure, check.limit, check.margin)
    )
    return replace(check, unit="%", figure=figure, limit=limit, margin=margin)


def loading_of(
    setup: Setup, *, rider: float | None, bike: Mapping[str, float], luggage: float
) -> Loading | None:
    """When a wheel of one build lifts, the rider rearmost and the luggage over the rear axle.

    Parameters
    ----------
    setup : Setup
    rider : float or None [kg]
    bike : mapping of place to float [kg]
        What is known of its parts' masses.
    luggage : float [kg]

    Returns
    -------
    Loading or None
        None without the rider's body and weight.
    """
    who = setup.choice.rider
    if who is None or not who.known or rider is None:
        return None
    seat = _sitting(setup, who)
    points = [seat.rider, *(seat.of_place(place) for place in bike), seat.rear]
    return _loading(seat.standing, [rider, *bike.values(), luggage], points)[0]


def _share(standing: Standing, masses: list[float], points: list[Point]) -> tuple[float, float]:
    """Share on the front wheel, and the total mass [kg]."""
    found, total = _loading(standing, masses, points)
    return float(found.front_share), total


def _loading(standing: Standing, masses: list[float], points: list[Point]) -> tuple[Loading, float]:
    total, x, y = mass_centre(masses, points)
    found = loading(
        ahead=float(x) - float(standing.rear_axle[0]),
        height=float(y) + float(standing.bb_height),
        wheelbase=float(standing.wheelbase),
    )
    return found, float(total)


@dataclass(frozen=True, kw_only=True, eq=False)
class _Sitting:
    """A rider rearmost on a standing build, and where the bike's own masses are [mm]."""

    standing: Standing
    rider: Point
    grips: Point
    saddle: Point

    @property
    def rear(self) -> Point:
        return plain_point(self.standing.rear_axle)

    @property
    def front(self) -> Point:
        return plain_point(self.standing.front_axle)

    def of_place(self, place: str) -> Point:
        """Where the mass of a place's part is taken to be."""
        if place in _REAR:
            return self.rear
        if place in _FRONT:
            return self.front
        if place in _STEERED:
            return _between(plain_point(self.standing.head_tube_top), self.front)
        if place in _HELD:
            return self.grips
        if place in _SAT_ON:
            return self.saddle
        return _between(self.rear, self.front) if place in _BOTH_ENDS else (0.0, 0.0)


# Kept only while a build is checked, for one request.
_sittings: WeakKeyDictionary[Setup, _Sitting] = WeakKeyDictionary()


def _sitting(setup: Setup, who: Rider) -> _Sitting:
    """The rider of a build rearmost, worked out once."""
    found = _sittings.get(setup)
    if found is None:
        found = _sittings[setup] = _rearmost(setup, who)
    return found


def _rearmost(setup: Setup, who: Rider) -> _Sitting:
    """The rider on the saddle slid right back, hands on the grips, pedals level."""
    assembly = setup.assembly
    standing, saddle = assembly.standing(UNLOADED), setup.data("saddle", SaddleData)
    back = -saddle.rail_back if saddle else 0.0
    line = saddle_line(standing, assembly.build, replace(assembly.seat, rail_position=back))
    seat = float(line.rider.x), float(line.rider.y)
    held = hands(standing, assembly.cockpit)
    links = expected_links(who)
    found = rider_points(
        links,
        hip=seated_hip(links, seat),
        grip=plain_point(held.grips),
        grip_half_width=float(held.grip_out),
        crank_length=assembly.crank_length,
        crank_angle=0.0,
        windows=windows_in(setup.catalogue, who.style),
        standing=False,
    )
    return _Sitting(
        standing=standing,
        rider=plain_point(rider_mass_centre(found.joints)),
        grips=plain_point(held.grips),
        saddle=seat,
    )


def _between(one: Point, other: Point) -> Point:
    return (one[0] + other[0]) / 2.0, (one[1] + other[1]) / 2.0
