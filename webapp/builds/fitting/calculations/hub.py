"""What a hub asks of ring, sprocket and frame."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Literal

from geometry.checks import Source
from geometry.core import Statement
from geometry.drive import KeepHubRatio, hub_ratio_check, reaction_arm_check
from webapp.builds.fitting.calculations.drive import Loop, loop_of, pairs_sold
from webapp.builds.fitting.calculations.remembered import remembered
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.sentences import CHECK_SENTENCES, WordedCheck
from webapp.catalogue.schema.part_kinds import HubData
from webapp.common.text.language import tr


@remembered
def hub_checks(setup: Setup, *, failing: bool = False) -> Iterator[WordedCheck]:
    """What a hub asks of ring, sprocket and frame.

    Parameters
    ----------
    setup : Setup
    failing : bool
        Whether only what fails is wanted.

    Yields
    ------
    WordedCheck
        ``drive.hub_ratio`` and ``drive.reaction_arm``, with a hub that asks for it.
    """
    hub = setup.data("hub", HubData)
    if hub is not None:
        yield from _hub(setup, hub, loop_of(setup), failing)


def _hub(setup: Setup, hub: HubData, loop: Loop | None, failing: bool) -> Iterator[WordedCheck]:
    if hub.smallest_ratio is not None and loop is not None:
        ratio = hub_ratio_check(
            ring=loop.ring,
            sprocket=loop.sprocket,
            least_ratio=hub.smallest_ratio,
            source=tr("hub maker's smallest allowed ratio"),
        )
        for told in setup.told(ratio, "hub", "ring", "sprocket", failing=failing):
            yield replace(told, remedy=_ratio_remedy(setup, ratio.remedy))
    fixing = tr("its mount on the stay") if setup.catalogue.revision.data.reaction_arm_mount else ""
    arm = reaction_arm_check(fixing=fixing, needed=hub.needs_reaction_arm, source=Source.BUILDER)
    if arm is not None:
        yield from setup.told(arm, "hub", "frame", failing=failing)


def _ratio_remedy(setup: Setup, needed: Statement | Literal[""]) -> str:
    """What keeps the hub's smallest ratio, of the rings and sprockets that can be had."""
    if not isinstance(needed, KeepHubRatio):
        return CHECK_SENTENCES.say(needed) if needed else ""
    rings, sprockets = pairs_sold(setup)
    ring = any(each.data.teeth >= needed.ring for each in rings)
    sprocket = any(each.data.teeth[0] <= needed.sprocket for each in sprockets)
    if ring and sprocket:
        return CHECK_SENTENCES.say(needed)
    if ring:
        return tr("a ring of at least {teeth:g} teeth", teeth=needed.ring)
    if sprocket:
        return tr("a sprocket of at most {teeth:g} teeth", teeth=needed.sprocket)
    return tr("another hub, or other ring and sprocket together")
