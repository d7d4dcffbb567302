"""What a build is set to, and what the mechanic who assembles it must know."""

from __future__ import annotations

from collections.abc import Iterator

from webapp.builds.assembly_notes import assembly_notes, set_mm
from webapp.builds.evaluation import BuildResult
from webapp.builds.solving.solver_inputs import SAGGED
from webapp.common.text.language import tr
from webapp.quote.freezing.content import Setting

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
        sag without travel.
    """
    return tuple(_settings(result))


def _settings(result: BuildResult) -> Iterator[Setting]:
    choice, assembly = result.choice, result.assembly
    slot_length = assembly.size.data.slot_length
    if slot_length:
        note = tr("from the front end of a slot of {slot_length:g} mm", slot_length=slot_length)
        yield Setting(label=tr("Rear axle"), value=set_mm(choice.slot), note=note)
    yield Setting(label=tr("Spacers"), value=set_mm(choice.spacers), note=tr("under the stem"))
    height = float(assembly.seat.height)
    yield Setting(
        label=tr("Saddle height"), value=set_mm(height), note=tr("BB centre to saddle top")
    )
    if choice.rail:
        way = "forward" if choice.rail > 0 else "back"
        yield Setting(
            label=tr("Saddle"),
            value=tr("{abs:g} mm {way}", abs=abs(choice.rail), way=way),
            note=tr("on its rails"),
        )
    if sag := assembly.states.get(SAGGED):
        used, travel = float(sag.fork_compression), float(assembly.build.fork.travel)
        note = tr(
            "{value:.0f} % of {travel:g} mm of travel, rider on the bike",
            value=100 * used / travel,
            travel=travel,
        )
        yield Setting(label=tr("Fork sag"), value=set_mm(used), note=note)


def assembly_of(result: BuildResult) -> tuple[Setting, ...]:
    """What the workshop needs beyond the build list, to set this very build up.

    Parameters
    ----------
    result : BuildResult

    Returns
    -------
    tuple of Setting
    """
    return tuple(
        Setting(label=note.label, value=note.value, note=note.note)
        for note in assembly_notes(result)
    )
