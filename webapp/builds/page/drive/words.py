"""Where the drive puts the axle and what that means, in sentences."""

from __future__ import annotations

from webapp.builds.fitting.calculations.axle_position import axle_positions_of
from webapp.builds.fitting.calculations.drive import largest_ring_of, loop_of, loop_words
from webapp.builds.fitting.calculations.drive_tables import (
    chainstay_here,
    tyre_gap_at,
)
from webapp.builds.fitting.calculations.setup import Setup
from webapp.catalogue.schema.part_kinds import HubData, RingData
from webapp.common.text.language import tr
from webapp.common.text.units import number


def _mm(value: float) -> str:
    return tr("{length} mm", length=number(value))


def drive_words(setup: Setup) -> list[str]:
    loop, ring = loop_of(setup), setup.data("ring", RingData)
    if loop is None or ring is None:
        return [tr("Ring, sprocket and chain or belt are not of one kind yet.")]
    found = [_place_words(setup)]
    most = largest_ring_of(setup, ring)
    if most is not None:
        found.append(tr("The stays leave room for a ring of up to {most:g} teeth here.", most=most))
    hub = setup.data("hub", HubData)
    if hub is not None and hub.smallest_ratio is not None:
        ratio = loop.ring / loop.sprocket
        found.append(
            tr(
                "This hub allows a ratio of {smallest} and more; {ring} × {sprocket} is {ratio}.",
                smallest=number(hub.smallest_ratio, 2),
                ring=loop.ring,
                sprocket=loop.sprocket,
                ratio=number(ratio, 2),
            )
        )
    return found


def _place_words(setup: Setup) -> str:
    """Where the axle is and what that means, in one sentence."""
    loop = loop_of(setup)
    if loop is None:
        return ""
    here = _stay_and_room(setup)
    if loop.tensioned:
        return tr(
            "The derailleur takes up the chain wherever the axle is; now {chainstay}.",
            chainstay=here,
        )
    closing = [row for row in axle_positions_of(setup) if row.is_at(setup.choice.slot)]
    if not closing:
        return tr(
            ("{ring} × {sprocket} does not close with the axle at {position}."),
            ring=loop.ring,
            sprocket=loop.sprocket,
            position=_mm(setup.choice.slot),
        )
    row = closing[0]
    closes = tr(
        "{ring} × {sprocket} closes with {links}, the axle at {position}: {chainstay}, "
        "{left} of adjustment left.",
        ring=loop.ring,
        sprocket=loop.sprocket,
        links=loop_words(loop, row.count),
        position=_mm(row.new),
        chainstay=here,
        left=_mm(row.left),
    )
    if row.worn <= row.new:
        return closes
    return tr(
        "{closes} As it wears the axle is drawn back to {position}.",
        closes=closes,
        position=_mm(row.worn),
    )


def _stay_and_room(setup: Setup) -> str:
    """The chainstay where the axle is, and the room around the tyre where it is known."""
    length = _mm(chainstay_here(setup))
    gap = tyre_gap_at(setup, setup.choice.slot)
    if gap is None:
        return tr("chainstay {length}", length=length)
    return tr("chainstay {length}, {gap} of room around the rear tyre", length=length, gap=_mm(gap))
