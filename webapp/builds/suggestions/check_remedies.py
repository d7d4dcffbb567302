"""What would make a check clear, as other builds: one change each, with its address."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from webapp.builds.choice.build_choice import BuildChoice
from webapp.builds.choice.places import PLACE_OF
from webapp.builds.evaluation import BuildResult
from webapp.builds.fitting.calculations.axle_position import axle_for, axle_positions_of, nearest_to
from webapp.builds.fitting.calculations.drive import loop_of, loop_words
from webapp.builds.fitting.calculations.drive_tables import pairs_closing
from webapp.builds.fitting.calculations.feet import feet_checks
from webapp.builds.fitting.calculations.loads import carriers_of, luggage_checks
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.calculations.topics import topics_of
from webapp.builds.fitting.calculations.tyres import clear_positions
from webapp.builds.fitting.checks import places_of
from webapp.builds.fitting.options import OptionJudge
from webapp.builds.fitting.roles import width_on_rim
from webapp.builds.fitting.sentences import WordedCheck
from webapp.builds.suggestions.work import FEET, JUDGE, PARTS, STANDING, Work
from webapp.catalogue.reading.views import AnyPart, PartView
from webapp.catalogue.schema.part_kinds import (
    ExtraData,
    PostData,
    RimData,
    TransmissionData,
    TyreData,
)
from webapp.common.text.language import tr
from webapp.common.text.units import number

MOST = 4
_FEET = "feet."
_LOOP_PLACES = frozenset({"hub", "ring", "sprocket", "transmission"})


@dataclass(frozen=True, kw_only=True)
class Remedy:
    """One change that makes a check clear: in words, and the build with it."""

    words: str
    choice: BuildChoice


def remedies_of(result: BuildResult, work: Work | None = None) -> Mapping[str, tuple[Remedy, ...]]:
    """For every check that is not clear, the single changes that make it so.

    Parameters
    ----------
    result : BuildResult
    work : Work, optional
        How much may be computed; what is done is counted there.

    Returns
    -------
    mapping of check code to tuple of Remedy
        At most `MOST` each, the likeliest first; each found by judging the build
        with the change made. Empty where no single change does, or the work is over.
    """
    setup = result.setup
    allowed = work or Work()
    found = {
        check.code: tuple(_remedies(setup, check, allowed))[:MOST]
        for check in result.checks
        if check.outcome != "clear"
    }
    return MappingProxyType({code: remedies for code, remedies in found.items() if remedies})


def _remedies(setup: Setup, check: WordedCheck, work: Work) -> Iterator[Remedy]:
    if work.is_over:
        return
    if check.code == "drive.axle_position":
        yield from _axle(setup)
    elif check.code == "drive.slot":
        work.spend(PARTS)
        yield from _half_link(setup)
        yield from _pairs(setup)
    elif check.code == "load.luggage":
        yield from _racks(setup)
    elif check.code.startswith(("extra.", "offered.extra.")):
        yield from _left_out(setup, check)
    if check.code.startswith("tyre.rear"):
        work.spend(PARTS)
        yield from _slid(setup)
    if check.outcome is not None:
        yield from _by_parts(setup, check, work)


def _axle(setup: Setup) -> Iterator[Remedy]:
    """Every position at which the build's own chain or belt closes, the nearest first."""
    loop = loop_of(setup)
    if loop is None:
        return
    for row in nearest_to(setup.choice.slot, axle_positions_of(setup)):
        yield _axle_at(setup, loop_words(loop, row.count), row.position(setup))


def _axle_at(setup: Setup, loop: str, position: float) -> Remedy:
    return Remedy(
        words=tr("set the axle at {position} mm, {loop}", position=number(position), loop=loop),
        choice=setup.at(position),
    )


def _half_link(setup: Setup) -> Iterator[Remedy]:
    """The half link, where one is sold for the chain and closes a loop that lasts."""
    chain = setup.data("transmission", TransmissionData)
    if chain is None or not chain.half_link_sold:
        return
    for part in setup.catalogue.offered(ExtraData):
        if part.data.use == "half-link" and part.data.fits == chain.fits:
            longer = _carrying(setup, part)
            for row in nearest_to(setup.choice.slot, axle_positions_of(longer)):
                if row.lasts and row.count % 2:
                    position = row.position(longer)
                    words = tr(
                        "add: {name}, axle at {position} mm",
                        name=part.name,
                        position=number(position),
                    )
                    yield Remedy(words=words, choice=longer.at(position))
                    return


def _carrying(setup: Setup, part: PartView[ExtraData]) -> Setup:
    """The build with one more extra, in the catalogue's order."""
    wanted = {*setup.choice.extras, part.slug}
    extras = tuple(each for each in setup.catalogue.parts.get("extra", ()) if each.slug in wanted)
    return replace(
        setup,
        choice=replace(setup.choice, extras=tuple(each.slug for each in extras)),
        assembly=setup.assembly.with_extras(tuple(each.of(ExtraData) for each in extras)),
    )


def _pairs(setup: Setup) -> Iterator[Remedy]:
    """Rings and sprockets nearest in gear that close and last, with the axle set."""
    for pair in pairs_closing(setup, nearest_gear=True)[:2]:
        if pair.lasts:
            yield Remedy(
                words=tr(
                    "{pair}, axle at {position} mm", pair=pair.words, position=number(pair.new)
                ),
                choice=pair.choice,
            )


def _racks(setup: Setup) -> Iterator[Remedy]:
    """Racks on the builder's mounts with which the luggage can be carried."""
    wanted = {carrier.mount.mount for carrier in carriers_of(setup)}
    for part in setup.catalogue.offered(ExtraData):
        if part.data.use == "rack" and wanted & set(part.data.mounts):
            laden = _carrying(setup, part)
            if all(check.outcome == "clear" for check in luggage_checks(laden)):
                yield Remedy(words=tr("add: {name}", name=part.name), choice=laden.choice)


def _left_out(setup: Setup, check: WordedCheck) -> Iterator[Remedy]:
    slug = check.code.rpartition(".")[2]
    extras = tuple(each for each in setup.choice.extras if each != slug)
    if extras != setup.choice.extras:
        name = setup.catalogue.part("extra", slug).name
        yield Remedy(
            words=tr("leave out: {name}", name=name), choice=replace(setup.choice, extras=extras)
        )


def _slid(setup: Setup) -> Iterator[Remedy]:
    """Axle further back, where the rear tyre is clear and the drive lets the axle be."""
    loop = loop_of(setup)
    free = clear_positions(setup)
    if loop is None or free is None:
        return
    if loop.tensioned:
        if free > setup.choice.slot:
            yield Remedy(
                words=tr("set the axle at {free} mm", free=number(free)), choice=setup.at(free)
            )
        return
    for row in sorted(axle_positions_of(setup), key=lambda row: row.new):
        if row.position(setup) >= free and not row.is_at(setup.choice.slot):
            yield _axle_at(setup, loop_words(loop, row.count), row.position(setup))
            return


def _by_parts(setup: Setup, check: WordedCheck, work: Work) -> Iterator[Remedy]:
    """The best other part in each place that takes part in the question."""
    work.spend(JUDGE)
    judge = OptionJudge(setup)
    for place in places_of(check.code):
        parts = [
            part
            for part in setup.catalogue.offered(PLACE_OF[place].kind)
            if part.slug != setup.choice.parts[place]
        ]
        for part in sorted(parts, key=lambda part: _rank(setup, place, part)):
            if work.is_over:
                return
            work.spend(STANDING + PARTS)
            changed = judge.accepted(place, part)
            if changed is not None:
                work.spend(FEET if check.code.startswith(_FEET) else PARTS)
                changed = _settled(changed, place)
                if _clears(changed, check.code):
                    label = PLACE_OF[place].label.lower()
                    yield Remedy(words=f"{label}: {part.name}", choice=changed.choice)
                    break


def _settled(setup: Setup, place: str) -> Setup:
    """The axle set where the loop closes, when the change was one of the loop."""
    axle = axle_for(setup) if place in _LOOP_PLACES else None
    return setup if axle is None else replace(setup, choice=setup.at(axle))


def _clears(setup: Setup, code: str) -> bool:
    if code.startswith(_FEET):
        found = feet_checks([setup])[0]
    else:
        found = [check for topic in topics_of(code) for check in topic.judge(setup)]
    return any(check.code == code and check.outcome == "clear" for check in found)


def _rank(setup: Setup, place: str, part: AnyPart) -> tuple[float, float]:
    """The order in which parts are tried: the widest tyre, the longest dropper, else the
    nearest listed.
    """
    data = part.data
    if isinstance(data, TyreData):
        return -width_on_rim(data, setup.data(place.replace("tyre", "rim"), RimData)), 0.0
    if isinstance(data, PostData):
        return -data.travel, 0.0
    listed = [each.slug for each in setup.catalogue.parts[PLACE_OF[place].kind]]
    here = setup.choice.parts[place]
    start = listed.index(here) if here in listed else 0
    return abs(listed.index(part.slug) - start), 0.0
