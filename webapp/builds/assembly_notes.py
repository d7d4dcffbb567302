"""Assembly notes: what a mechanic must know to put this very build together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from webapp.builds.evaluation import BuildResult
from webapp.builds.fitting.calculations.axle_position import landed_of
from webapp.builds.fitting.calculations.drive import loop_of, loop_words
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.solving.solver_inputs import SAGGED
from webapp.catalogue.schema.part_kinds import ForkData, HubData, PostData, TransmissionData
from webapp.common.text.units import number

MAKERS = "as its maker states it"


@dataclass(frozen=True, kw_only=True)
class AssemblyNote:
    """One thing to set or to watch, with what explains it; ``caution`` where safety hangs on it."""

    label: str
    value: str
    note: str = ""
    caution: bool = False


def assembly_notes(result: BuildResult) -> tuple[AssemblyNote, ...]:
    """What the workshop needs beyond the build list, to set this very build up.

    Parameters
    ----------
    result : BuildResult

    Returns
    -------
    tuple of AssemblyNote
        Axle and loop, post, cockpit, fork, limits; torques are left to the parts'
        makers.
    """
    setup = Setup(catalogue=result.catalogue, choice=result.choice, assembly=result.assembly)
    return (
        *_axle(setup),
        *_loop(setup),
        *_seat(setup),
        *_cockpit(setup),
        *_fork(setup),
        *_limits(setup),
        AssemblyNote(label="Torques", value=MAKERS, note="none is stated here", caution=True),
    )


def set_mm(value: float) -> str:
    """A length as it is set on the bike [mm], a decimal only where there is one.

    Examples
    --------
    >>> set_mm(15.0), set_mm(7.5)
    ('15 mm', '7.5 mm')
    """
    return f"{number(value, 0 if value == round(value) else 1)} mm"


def _axle(setup: Setup) -> Iterator[AssemblyNote]:
    length = setup.assembly.size.data.slot_length
    if length:
        note = f"from the front end of a slot of {length:g} mm"
        yield AssemblyNote(label="Rear axle", value=set_mm(setup.choice.slot), note=note)
    axle = setup.part("axle")
    if axle is not None:
        yield AssemblyNote(
            label="Axle fastening", value=axle.name, note=f"tightened {MAKERS}", caution=True
        )


def _loop(setup: Setup) -> Iterator[AssemblyNote]:
    loop, sold = loop_of(setup), setup.data("transmission", TransmissionData)
    if loop is None or sold is None:
        return
    if loop.tensioned:
        yield AssemblyNote(
            label="Chain",
            value="largest ring to largest sprocket, and two links more",
            note="at the axle position above",
        )
        return
    here = [row for row in landed_of(setup) if row.is_at(setup.choice.slot)]
    if not here:
        return
    row = here[0]
    label = "Belt" if loop.sold is not None else "Chain"
    yield AssemblyNote(
        label=label,
        value=loop_words(loop, row.count),
        note=f"{loop.ring} × {loop.sprocket}; {set_mm(row.left)} of the slot is left behind "
        "the axle",
    )
    if loop.sold is None:
        play = f"{loop.fitting.least_play:g} to {loop.fitting.most_play:g} mm"
        note = f"up and down at its middle; worn out at {100 * loop.fitting.wear:g} % longer, "
        yield AssemblyNote(
            label="Slack of the chain",
            value=play,
            note=f"{note}the axle then at {set_mm(row.worn)}",
            caution=True,
        )
    else:
        yield AssemblyNote(label="Tension of the belt", value=MAKERS, caution=True)
    yield from _arm(setup)


def _arm(setup: Setup) -> Iterator[AssemblyNote]:
    hub = setup.data("hub", HubData)
    if hub is not None and hub.needs_reaction_arm:
        yield AssemblyNote(
            label="Reaction arm",
            value="fix to the chainstay mount",
            note="the coaster brake works only with it",
            caution=True,
        )


def _seat(setup: Setup) -> Iterator[AssemblyNote]:
    height, post = float(setup.assembly.seat.height), setup.data("post", PostData)
    yield AssemblyNote(label="Saddle height", value=set_mm(height), note="BB centre to saddle top")
    if setup.choice.rail:
        way = "forward" if setup.choice.rail > 0 else "back"
        value = f"{abs(setup.choice.rail):g} mm {way}"
        yield AssemblyNote(label="Saddle", value=value, note="on its rails")
    if post is not None:
        depth = setup.assembly.seat_range.insertion(height)
        note = f"at least {post.min_insertion:g} mm by its maker"
        yield AssemblyNote(label="Post insertion", value=set_mm(depth), note=note, caution=True)


def _cockpit(setup: Setup) -> Iterator[AssemblyNote]:
    limits, stem = setup.catalogue.revision.data.spacers, setup.assembly.cockpit.stem
    most = f"under the stem; at most {limits.most:g} mm, in steps of {limits.step:g} mm"
    yield AssemblyNote(label="Spacers", value=set_mm(setup.choice.spacers), note=most)
    rise = ", rise up" if float(stem.angle) > 0 else ""
    yield AssemblyNote(label="Stem", value=f"{float(stem.length):g} mm, as listed{rise}")


def _fork(setup: Setup) -> Iterator[AssemblyNote]:
    fork, build = setup.data("fork", ForkData), setup.assembly.build
    if fork is None:
        return
    yield AssemblyNote(
        label="Fork",
        value=f"axle-to-crown {number(float(build.fork.along))} mm along the axis",
        note=f"offset {fork.offset:g} mm; measure it before it is fitted",
    )
    if sag := setup.assembly.states.get(SAGGED):
        used, travel = float(sag.fork_compression), float(build.fork.travel)
        note = f"{100 * used / travel:.0f} % of {travel:g} mm of travel, rider on the bike"
        yield AssemblyNote(label="Fork sag", value=set_mm(used), note=note)


def _limits(setup: Setup) -> Iterator[AssemblyNote]:
    masses = setup.catalogue.revision.data.masses
    yield AssemblyNote(
        label="Permitted",
        value=f"{masses.rider_and_luggage:g} kg",
        note=f"rider and luggage; {masses.whole_bike:g} kg with the bike",
        caution=True,
    )
    for place in setup.catalogue.revision.data.luggage:
        value = f"{place.load_max:g} kg"
        yield AssemblyNote(label="Luggage", value=value, note=place.name)
