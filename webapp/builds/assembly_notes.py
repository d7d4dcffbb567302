"""Assembly notes: what a mechanic must know to put this very build together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from webapp.builds.evaluation import BuildResult
from webapp.builds.fitting.calculations.axle_position import axle_positions_of
from webapp.builds.fitting.calculations.drive import loop_of, loop_words
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.solving.solver_inputs import SAGGED
from webapp.catalogue.schema.part_kinds import ForkData, HubData, PostData, TransmissionData
from webapp.common.text.language import tr
from webapp.common.text.units import number

MAKERS = tr("as its maker states it")


@dataclass(frozen=True, kw_only=True)
class AssemblyNote:
    """One thing to set or to watch, with what explains it; ``caution`` where safety depends on it.

    ``number`` is the value in ``unit`` where it is one number, None where it is words.
    """

    label: str
    value: str
    note: str = ""
    caution: bool = False
    number: float | None = None
    unit: str = ""


def assembly_notes(result: BuildResult) -> tuple[AssemblyNote, ...]:
    """What the workshop needs beyond the build list, to set this very build up.

    Parameters
    ----------
    result : BuildResult

    Returns
    -------
    tuple of AssemblyNote
        Axle and loop, post, cockpit, fork, limits, each where it is sold; torques are
        left to the parts' makers.
    """
    setup = result.setup
    whole = result.choice.scope == "bike"
    return (
        *_axle(setup),
        *(_loop(setup) if whole else ()),
        *(_seat(setup) if whole else ()),
        *(_cockpit(setup) if whole else ()),
        *(_fork(setup) if result.choice.scope != "frame" else ()),
        *_limits(setup),
        AssemblyNote(
            label=tr("Torques"), value=MAKERS, note=tr("none is stated here"), caution=True
        ),
    )


def set_mm(value: float) -> str:
    """A length as it is set on the bike [mm], a decimal only where there is one.

    Examples
    --------
    >>> set_mm(15.0), set_mm(7.5)
    ('15 mm', '7.5 mm')
    """
    return tr("{length} mm", length=number(value, 0 if value == round(value) else 1))


def _set(label: str, length: float, note: str = "") -> AssemblyNote:
    """A length to set [mm]."""
    return AssemblyNote(label=label, value=set_mm(length), note=note, number=length, unit="mm")


def _axle(setup: Setup) -> Iterator[AssemblyNote]:
    length = setup.assembly.size.data.slot_length
    if length:
        note = tr("from the front end of a slot of {length:g} mm", length=length)
        yield _set(tr("Rear axle"), setup.choice.slot, note)
    axle = setup.part("axle")
    if axle is not None:
        yield AssemblyNote(
            label=tr("Axle fastening"),
            value=axle.name,
            note=tr("tightened {makers}", makers=MAKERS),
            caution=True,
        )


def _loop(setup: Setup) -> Iterator[AssemblyNote]:
    loop, sold = loop_of(setup), setup.data("transmission", TransmissionData)
    if loop is None or sold is None:
        return
    if loop.tensioned:
        yield AssemblyNote(
            label=tr("Chain"),
            value=tr("largest ring to largest sprocket, and two links more"),
            note=tr("at the axle position above"),
        )
        return
    here = [row for row in axle_positions_of(setup) if row.is_at(setup.choice.slot)]
    if not here:
        return
    row = here[0]
    label = tr("Belt") if loop.sold is not None else tr("Chain")
    yield AssemblyNote(
        label=label,
        value=loop_words(loop, row.count),
        note=tr(
            "{ring} × {sprocket}; {set_mm} of the slot is left behind the axle",
            ring=loop.ring,
            sprocket=loop.sprocket,
            set_mm=set_mm(row.left),
        ),
    )
    if loop.sold is None:
        play = tr(
            "{least_play:g} to {most_play:g} mm",
            least_play=loop.fitting.least_play,
            most_play=loop.fitting.most_play,
        )
        worn = (
            tr("worn out at {percent:g} % longer, the axle then at {set_mm}",
               percent=100 * loop.fitting.wear, set_mm=set_mm(row.worn))
            if row.lasts
            else tr("the slot ends before it is worn out, {percent:g} % longer",
                    percent=100 * loop.fitting.wear)
        )  # fmt: skip
        yield AssemblyNote(
            label=tr("Slack of the chain"),
            value=play,
            note=tr(
                "up and down at its middle, with the axle from {slack} to {taut} mm; {worn}",
                worn=worn,
                slack=number(row.new - row.allowance),
                taut=number(row.new),
            ),
            caution=True,
        )
    else:
        yield AssemblyNote(label=tr("Tension of the belt"), value=MAKERS, caution=True)
    yield from _arm(setup)


def _arm(setup: Setup) -> Iterator[AssemblyNote]:
    hub = setup.data("hub", HubData)
    if hub is not None and hub.needs_reaction_arm:
        yield AssemblyNote(
            label=tr("Reaction arm"),
            value=tr("fix to the chainstay mount"),
            note=tr("the coaster brake works only with it"),
            caution=True,
        )


def rail_words(rail: float) -> str:
    """Where a saddle is clamped on its rails [mm from their middle, forward positive].

    >>> rail_words(5.0), rail_words(-2.5)
    ('5 mm forward', '2.5 mm back')
    """
    if rail > 0:
        return tr("{distance:g} mm forward", distance=rail)
    return tr("{distance:g} mm back", distance=-rail)


def _seat(setup: Setup) -> Iterator[AssemblyNote]:
    height, post = float(setup.assembly.seat.height), setup.data("post", PostData)
    yield _set(tr("Saddle height"), height, tr("BB centre to saddle top"))
    if rail := setup.choice.rail:
        yield AssemblyNote(
            label=tr("Saddle"),
            value=rail_words(rail),
            note=tr("on its rails"),
            number=rail,
            unit="mm",
        )
    if post is not None:
        reach = setup.assembly.seat_range
        label = tr("Post insertion")
        note = tr("at least {min_insertion:g} mm by its maker", min_insertion=post.min_insertion)
        if reach.lowest <= height <= reach.highest:
            yield replace(_set(label, reach.insertion(height), note), caution=True)
        else:
            words = tr("cannot be set: this post does not reach that saddle height")
            yield AssemblyNote(label=label, value=words, note=note, caution=True)


def _cockpit(setup: Setup) -> Iterator[AssemblyNote]:
    limits, stem = setup.catalogue.revision.data.spacers, setup.assembly.cockpit.stem
    most = tr(
        "under the stem; at most {most:g} mm, in steps of {step:g} mm",
        most=limits.most,
        step=limits.step,
    )
    yield _set(tr("Spacers"), setup.choice.spacers, most)
    length = float(stem.length)
    yield AssemblyNote(
        label=tr("Stem"),
        value=tr("{length:g} mm, as listed, rise up", length=length)
        if float(stem.angle) > 0
        else tr("{length:g} mm, as listed", length=length),
        number=length,
        unit="mm",
    )


def _fork(setup: Setup) -> Iterator[AssemblyNote]:
    fork, build = setup.data("fork", ForkData), setup.assembly.build
    if fork is None:
        return
    yield AssemblyNote(
        label=tr("Fork"),
        value=tr(
            "axle-to-crown {length} mm along the axis", length=number(float(build.fork.along))
        ),
        note=tr("offset {offset:g} mm; measure it before it is fitted", offset=fork.offset),
        number=float(build.fork.along),
        unit="mm",
    )
    if travel := float(build.fork.travel):
        used = float(setup.assembly.states[SAGGED].fork_compression)
        note = tr(
            "{percent:.0f} % of {travel:g} mm of travel, rider on the bike",
            percent=100 * used / travel,
            travel=travel,
        )
        yield _set(tr("Fork sag"), used, note)


def _limits(setup: Setup) -> Iterator[AssemblyNote]:
    masses = setup.catalogue.revision.data.masses
    yield AssemblyNote(
        label=tr("Permitted"),
        value=tr("{rider_and_luggage:g} kg", rider_and_luggage=masses.rider_and_luggage),
        note=tr("rider and luggage; {whole_bike:g} kg with the bike", whole_bike=masses.whole_bike),
        caution=True,
        number=masses.rider_and_luggage,
        unit="kg",
    )
    for place in setup.catalogue.revision.data.luggage:
        value = tr("{load_max:g} kg", load_max=place.load_max)
        yield AssemblyNote(
            label=tr("Luggage"), value=value, note=place.name, number=place.load_max, unit="kg"
        )
