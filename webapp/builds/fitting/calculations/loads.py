"""What is carried: rider, luggage on its mounts, the whole bike, and the riding it is for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from geometry.checks import USAGE_CLASSES, Check, usage_check, usage_class
from geometry.loads import permissible_check
from webapp.builds.choice.places import PLACE_OF
from webapp.builds.fitting.calculations.front_share import front_share_checks
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.sentences import CHECK_SENTENCES, WordedCheck, not_known, worded
from webapp.catalogue.reading.views import AnyPart, SizeView
from webapp.catalogue.schema.frame_limits import LuggageMount
from webapp.common.text.language import tr
from webapp.common.text.statements import all_of

PERSONAL = ("load.rider", "load.bike", "load.front_share")
"""Codes of checks that tell of the rider's weight, which is kept apart from the build."""

WEIGHT_REMEDY = tr("give the rider's measurements and weight")
_CARRIERS = ("rack", "bag")
MASSLESS = frozenset({"finish"})
"""Places whose part weighs nothing of its own."""


def load_checks(setup: Setup) -> Iterator[WordedCheck]:
    """What one build has to carry.

    Parameters
    ----------
    setup : Setup
        Its choice says who rides, with how much luggage, and on what ground.

    Yields
    ------
    WordedCheck
        ``load.rider``, ``load.bike``, with luggage ``load.luggage``,
        ``load.front_share`` and ``load.usage``. What needs a weight nobody gave
        is unknown and says so.
    """
    limits, luggage = setup.catalogue.revision.data.masses, setup.choice.luggage or 0.0
    rider, bike = rider_weight(setup), bike_mass(setup)
    if rider is None:
        yield _no_weight(
            "load.rider",
            tr(
                "{rider_and_luggage:g} kg for rider and luggage",
                rider_and_luggage=limits.rider_and_luggage,
            ),
        )
        yield _no_weight(
            "load.bike", tr("{whole_bike:g} kg with the bike", whole_bike=limits.whole_bike)
        )
    else:
        yield _rider_carried(setup, rider)
        yield _whole(bike, rider + luggage, limits.whole_bike, luggage)
    yield from luggage_checks(setup)
    yield from front_share_checks(setup, rider=rider, bike=bike.masses, luggage=luggage)
    yield from usage_checks(setup)


def frame_load_checks(setup: Setup) -> Iterator[WordedCheck]:
    """What a frame sold without its wheels has to carry, whatever is built on it.

    Yields
    ------
    WordedCheck
        ``load.rider`` where a weight was told; the whole bike is not the shop's.
    """
    rider = rider_weight(setup)
    if rider is not None:
        yield _rider_carried(setup, rider)


def _rider_carried(setup: Setup, rider: float) -> WordedCheck:
    luggage = setup.choice.luggage or 0.0
    check = permissible_check(
        "load.rider",
        what=_listed(tr("Rider"), luggage),
        mass=round(rider + luggage, 1),
        limit=setup.catalogue.revision.data.masses.rider_and_luggage,
    )
    return worded(check)


def rider_weight(setup: Setup) -> float | None:
    """Weight of the rider the build is for [kg]; None when nobody told."""
    rider = setup.choice.rider
    return rider.weight if rider is not None else None


def _no_weight(code: str, permitted: str) -> WordedCheck:
    return not_known(
        code,
        missing=tr("the rider's weight; the builder permits {permitted}", permitted=permitted),
        source=tr("builder's permissible masses"),
        remedy=WEIGHT_REMEDY,
        safety=True,
    )


def _listed(first: str, luggage: float) -> str:
    return tr("{first} and luggage", first=first) if luggage else first


@dataclass(frozen=True, kw_only=True)
class BikeMass:
    """What the bike weighs by its parts.

    Parameters
    ----------
    masses : mapping of place to float [kg]
        Every part whose mass is known, ``frame`` and ``extras`` among them.
    missing : tuple of str
        Names of the parts whose mass is not known.
    """

    masses: dict[str, float]
    missing: tuple[str, ...]

    @property
    def total(self) -> float:
        """Sum of what is known [kg]."""
        return sum(self.masses.values())


def bike_mass(setup: Setup) -> BikeMass:
    """Mass of a build, part by part."""
    assembly = setup.assembly
    return mass_of(assembly.size, assembly.parts, assembly.extras)


def mass_of(size: SizeView, parts: Mapping[str, AnyPart], extras: Iterable[AnyPart]) -> BikeMass:
    """Mass of a frame with parts in their places and extras, part by part."""
    each: list[tuple[str, str, float | None]] = [("frame", size.name, size.data.mass)]
    each += [
        # masses of rims, tyres and hubs are of one piece; of rings, pedals and brakes, as fitted
        (place, part.name, part.data.mass)
        for place, part in parts.items()
        if place not in MASSLESS
    ]
    each += [("extras", part.name, part.data.mass) for part in extras]
    found: dict[str, float] = {}
    for place, _, mass in each:
        found[place] = found.get(place, 0.0) + (mass or 0.0)
    missing = tuple(_piece_words(place, name) for place, name, mass in each if mass is None)
    return BikeMass(masses=found, missing=missing)


def _piece_words(place: str, name: str) -> str:
    """A piece whose mass is not known."""
    if place == "frame":
        return tr("frame, size {name}", name=name)
    return name if place == "extras" else f"{PLACE_OF[place].label.lower()}: {name}"


def _whole(bike: BikeMass, on_it: float, limit: float, luggage: float) -> WordedCheck:
    code, source = "load.bike", tr("builder")
    if bike.missing:
        return not_known(
            code,
            missing=tr("the mass of {join}", join=", ".join(bike.missing)),
            source=source,
            remedy=tr("weigh the built bike"),
            safety=True,
        )
    check = worded(
        permissible_check(
            code,
            what=_listed(tr("Bike, rider"), luggage),
            mass=round(bike.total + on_it, 1),
            limit=limit,
            source=source,
        )
    )
    counted = tr(
        "{reason}; the bike by its listed parts {total:.1f} kg",
        reason=check.reason,
        total=bike.total,
    )
    return replace(check, reason=counted)


@dataclass(frozen=True, kw_only=True)
class Carrier:
    """One place for luggage on a build.

    Parameters
    ----------
    mount : LuggageMount
    with_it : str
        Name of the rack or bag chosen for it; empty without one.
    permitted : float [kg]
        The less of what mount and rack carry.
    """

    mount: LuggageMount
    with_it: str
    permitted: float


def carriers_of(setup: Setup) -> list[Carrier]:
    """Every named place for luggage, with the rack or bag chosen for it."""
    chosen = [(part.name, part.data) for use in _CARRIERS for part in setup.extras(use)]
    found = []
    for mount in setup.catalogue.revision.data.luggage:
        fitting = [(name, data) for name, data in chosen if mount.mount in data.mounts]
        limits = [data.load_max for _, data in fitting if data.load_max is not None]
        found.append(
            Carrier(
                mount=mount,
                with_it=fitting[0][0] if fitting else "",
                permitted=min([mount.load_max, *limits]),
            )
        )
    return found


def luggage_checks(setup: Setup) -> Iterator[WordedCheck]:
    """The luggage against racks, bags and the mounts they are on.

    Yields
    ------
    WordedCheck
        With luggage ``load.luggage``; unknown without anything to carry it.
    """
    luggage = setup.choice.luggage or 0.0
    if not luggage:
        return
    places = carriers_of(setup)
    used = [carrier for carrier in places if carrier.with_it]
    if not used:
        listed = ", ".join(
            tr("{name} {load_max:g} kg", name=c.mount.name, load_max=c.mount.load_max)
            for c in places
        )
        yield not_known(
            "load.luggage",
            missing=tr("what carries the luggage"),
            source=tr("builder's permitted loads"),
            remedy=tr("choose a rack; the builder permits: {value}", value=listed or tr("none")),
            safety=True,
        )
        return
    words = all_of(
        [tr("{name} {permitted:g} kg", name=c.mount.name, permitted=c.permitted) for c in used]
    )
    check = worded(
        permissible_check(
            "load.luggage",
            what=tr("Luggage"),
            mass=luggage,
            limit=sum(carrier.permitted for carrier in used),
            source=tr("builder and the rack's maker"),
        )
    )
    reason = tr("{reason} ({words})", reason=check.reason, words=words)
    yield replace(check, reason=reason)


def usage_checks(setup: Setup, *, failing: bool = False) -> Iterator[WordedCheck]:
    """The riding wished against what frame and parts are built for.

    Parameters
    ----------
    setup : Setup
    failing : bool
        Whether only what fails is wanted.

    Yields
    ------
    WordedCheck
        With a riding wished, one ``load.usage.<place>`` for the frame and each part
        that states a class; without one, ``load.usage`` with what all are built for.
    """
    stated = [("frame", tr("{name} frame", name=setup.catalogue.model.name),
               setup.catalogue.revision.data.usage_class)]  # fmt: skip
    for place, part in setup.assembly.parts.items():
        if part.data.usage_class is not None:
            stated.append((place, part.name, part.data.usage_class))
    wished = setup.choice.usage
    if wished is None:
        yield _built_for(stated)
        return
    for place, name, number in stated:
        answer = usage_check(wished=int(wished), part=name, stated=number)
        for check in setup.told(answer, failing=failing):
            yield replace(check, code=f"load.usage.{place}")


def _built_for(stated: list[tuple[str, str, int]]) -> WordedCheck:
    """What a build is for, when no riding is wished: the class that all cover."""
    common = frozenset.intersection(*(usage_class(number).covers for _, _, number in stated))
    number = max(common)
    row = USAGE_CLASSES[number]
    drop = tr(", drops up to {value:g} cm", value=row.drop / 10) if row.drop else ""
    names = ", ".join(f"{name} {at}" for _, name, at in stated)
    return Check(
        code="load.usage",
        outcome="clear",
        figure=float(number),
        reason=tr(
            "Built for class {number}: {ground}{drop}. Stated: {names}",
            number=number,
            ground=CHECK_SENTENCES.word(row.ground),
            drop=drop,
            names=names,
        ),
        source=tr(
            "EN 17406, classes as stated by the makers; a part that states none is not counted"
        ),
        safety=True,
    )
