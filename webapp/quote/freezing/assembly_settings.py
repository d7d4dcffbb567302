"""What a build is set to, and what the mechanic who assembles it must know."""

from __future__ import annotations

from collections.abc import Iterator

from webapp.builds.assembly_notes import assembly_notes, rail_words, set_mm
from webapp.builds.choice.places import PLACE_OF, places_sold
from webapp.builds.evaluation import BuildResult
from webapp.builds.solving.solver_inputs import SAGGED
from webapp.common.text.language import tr
from webapp.quote.freezing.content import Setting

ASSUMED = tr("assumed by the figures, not sold with it")
FIRST_RIDE = (
    tr("All torques as the part makers state them"),
    tr("Post insertion"),
    tr("Brake reaction arm, where there is one"),
    tr("Axle nuts or through-axle"),
    tr("Tension of chain or belt"),
    tr("Room around both tyres, axle where it will be ridden"),
)
"""What the workshop checks on the built bike, whatever the build."""


def settings_of(result: BuildResult) -> tuple[Setting, ...]:
    """What the build is set to, as the customer reads it.

    Parameters
    ----------
    result : BuildResult

    Returns
    -------
    tuple of Setting
        Only what this build can be set to: no axle position without a slot, no
        sag without travel. Of a frame or frameset nothing that is not sold; instead
        the parts that its figures assume.
    """
    return (*_axle(result), *_position(result), *_sag(result), *_assumed(result))


def _set(label: str, length: float, note: str) -> Setting:
    """A length that is set [mm]."""
    return Setting(label=label, value=set_mm(length), note=note, number=length, unit="mm")


def _axle(result: BuildResult) -> Iterator[Setting]:
    choice, assembly = result.choice, result.assembly
    slot_length = assembly.size.data.slot_length
    if slot_length:
        note = tr("from the front end of a slot of {slot_length:g} mm", slot_length=slot_length)
        yield _set(tr("Rear axle"), choice.slot, note)


def _position(result: BuildResult) -> Iterator[Setting]:
    """Cockpit and saddle, which are set where they are sold."""
    choice, assembly = result.choice, result.assembly
    if choice.scope != "bike":
        return
    yield _set(tr("Spacers"), choice.spacers, tr("under the stem"))
    height = float(assembly.seat.height)
    yield _set(tr("Saddle height"), height, tr("BB centre to saddle top"))
    if choice.rail:
        yield Setting(
            label=tr("Saddle"),
            value=rail_words(choice.rail),
            note=tr("on its rails"),
            number=choice.rail,
            unit="mm",
        )


def _sag(result: BuildResult) -> Iterator[Setting]:
    assembly = result.assembly
    if result.choice.scope == "frame":
        return
    if travel := float(assembly.build.fork.travel):
        used = float(assembly.states[SAGGED].fork_compression)
        note = tr(
            "{percent:.0f} % of {travel:g} mm of travel, rider on the bike",
            percent=100 * used / travel,
            travel=travel,
        )
        yield _set(tr("Fork sag"), used, note)


def _assumed(result: BuildResult) -> Iterator[Setting]:
    """The parts that decide how a frame stands and are not sold with it."""
    sold = {place.name for place in places_sold(result.choice.scope)}
    for name in ("fork", "headset", "rim_front", "tyre_front", "rim_rear", "tyre_rear"):
        part = result.assembly.parts.get(name)
        if part is not None and (part.assumed or name not in sold):
            label = PLACE_OF[name].label
            yield Setting(label=label, value=part.name, note=ASSUMED, number=None)


def assembly_of(result: BuildResult) -> tuple[Setting, ...]:
    """What the workshop needs beyond the build list, to set this very build up.

    Parameters
    ----------
    result : BuildResult

    Returns
    -------
    tuple of Setting
    """
    notes = tuple(
        Setting(
            label=note.label,
            value=note.value,
            note=note.note,
            number=note.number,
            unit=note.unit,
        )
        for note in assembly_notes(result)
    )
    return (*notes, *_assumed(result))


def first_ride(scope: str) -> tuple[str, ...]:
    """What the workshop checks before the first ride; nothing of what is sold unbuilt."""
    return FIRST_RIDE if scope == "bike" else ()
