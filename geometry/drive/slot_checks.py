"""Whether a chain or belt closes in a frame's slot, lasts, and agrees with the axle chosen."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypedDict

import numpy as np

from geometry.checks import CODES, Check, Source, judge
from geometry.core import AnyOf, Statement, checked
from geometry.drive.axle_position import CHAIN, AxlePositions, Fitting, closing_positions, ranked
from geometry.drive.slot import Slot
from geometry.drive.statements import (
    AxleSetAt,
    ChooseAnotherPair,
    HalfLink,
    NoCountCloses,
    OtherPair,
    PairCloses,
    PairNeverCloses,
    SetAxleAt,
    TensionerOrLongerSlot,
)

_TOLD = 0.05  # half of the tenth [mm] to which an axle position is stated
_LASTS = CODES.index("clear")  # as in AxlePositions.code


def agreement(position: float, axles: AxlePositions, *, tolerance: float = 0.5) -> Check[Statement]:
    """Whether the axle position chosen is one at which the loop closes.

    Parameters
    ----------
    position : float [mm]
        Chosen slot position.
    axles : AxlePositions
        What closes, as from `closing_positions`.
    tolerance : float [mm]
        How far the axle may be from where the chain has its play and still be the
        same setting on the bench, where it is moved until the play is right.

    Returns
    -------
    Check
        Code ``drive.axle_position``: the figure is how far the position is from
        the nearest at which play is right, from least to most; *clear* to the tenth
        of a millimetre that a position is told in, *tight* within the tolerance.
        The remedy names the setting and its count.

    Raises
    ------
    InvalidInput
        A position or tolerance that is no usable number.

    Examples
    --------
    >>> slot = Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=22.0)
    >>> agreement(5.0, closing_positions(slot, ring=32, sprocket=20)).remedy.pitches
    94.0
    """
    position = float(checked("slot_position", position, "mm", least=0))
    tolerance = float(checked("tolerance", tolerance, "mm", least=0))
    code = "drive.axle_position"
    new, pitches = np.atleast_1d(axles.new), np.atleast_1d(axles.pitches)
    if new.size == 0:
        return Check(
            code=code,
            outcome="no",
            reason=NoCountCloses(),
            source=Source.CLOSED_LOOP,
            remedy=ChooseAnotherPair(),
        )
    off = np.maximum(np.maximum(position - new, new - axles.allowance - position), 0.0)
    # Of several possible ones, the one with play nearest to its least is named.
    nearest = int(np.lexsort((np.abs(new - position), off))[0])
    closes_at, count = float(new[nearest]), float(pitches[nearest])
    return judge(
        code,
        figure=float(off[nearest]),
        limit=tolerance,
        unit="mm",
        reason=AxleSetAt(position=position, pitches=count, closes_at=closes_at),
        source=Source.CLOSED_LOOP,
        remedy=SetAxleAt(position=closes_at, pitches=count),
        sense="at most",
        band=max(tolerance - _TOLD, 0.0),
    )


def slot_check(
    slot: Slot,
    *,
    ring: float,
    sprocket: float,
    fitting: Fitting = CHAIN,
    half_link: bool = False,
    sold: Sequence[int] | None = None,
    rings: Sequence[float] = (),
    sprockets: Sequence[float] = (),
) -> Check[Statement]:
    """Whether ring and sprocket close in the slot, and whether the slot outlasts the chain.

    Parameters
    ----------
    slot : Slot
        One frame's.
    ring, sprocket : float
        Teeth.
    fitting : Fitting
        Chain or belt, its wear and play.
    half_link : bool
        Whether a half link is accepted.
    sold : sequence of int, optional
        Counts to be had, for a belt.
    rings, sprockets : sequence of float
        Teeth to be had instead; the remedy names the pair nearest in gear that
        closes and lasts.

    Returns
    -------
    Check
        Code ``drive.slot``: *no* when no count closes, *tight* when the slot ends
        before the chain is worn out. Figure and limit are the lengthening taken
        up and the wear limit [%].

    Raises
    ------
    InvalidInput, NoSolution
        As for `closing_positions`.

    Examples
    --------
    >>> slot = Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=8.0)
    >>> check = slot_check(slot, ring=32, sprocket=20, rings=[30, 32, 33], sprockets=[18, 20])
    >>> check.outcome, check.remedy.ways
    ('no', (OtherPair(ring=33.0, sprocket=18.0, pitches=92.0),))
    """
    terms = _Terms(fitting=fitting, half_link=half_link, sold=sold)
    own = closing_positions(slot, ring=ring, sprocket=sprocket, **terms)
    others = [(z, n) for z in rings for n in sprockets if (z, n) != (ring, sprocket)]
    if np.size(own.ring) == 0:
        return Check(
            code="drive.slot",
            outcome="no",
            unit="%",
            reason=PairNeverCloses(ring=ring, sprocket=sprocket),
            source=Source.CLOSED_LOOP,
            remedy=_other_ways(slot, (ring, sprocket), others, terms),
        )
    best = own.rows(ranked(own)[:1])
    count, new, room = (float(np.ravel(v)[0]) for v in (best.pitches, best.new, best.wear_room))
    lasts = int(np.ravel(best.code)[0]) == _LASTS
    return Check(
        code="drive.slot",
        outcome="clear" if lasts else "tight",
        figure=100.0 * room,
        limit=100.0 * fitting.wear,
        margin=100.0 * (room - fitting.wear),
        unit="%",
        reason=PairCloses(
            ring=ring, sprocket=sprocket, pitches=count, position=new, takes_up=100.0 * room
        ),
        source=Source.CLOSED_LOOP,
        remedy="" if lasts else _other_ways(slot, (ring, sprocket), others, terms),
    )


class _Terms(TypedDict):
    """Under which terms a loop may close, as `closing_positions` takes them."""

    fitting: Fitting
    half_link: bool
    sold: Sequence[int] | None


def _other_ways(
    slot: Slot, pair: tuple[float, float], others: Sequence[tuple[float, float]], terms: _Terms
) -> AnyOf:
    """A half link, or the pair nearest in gear, that closes and lasts."""
    ways: list[Statement] = []
    half = _Terms(fitting=terms["fitting"], half_link=True, sold=terms["sold"])
    if terms["fitting"].drive == "chain" and not terms["half_link"]:
        with_half = closing_positions(slot, ring=pair[0], sprocket=pair[1], **half)
        ways = [HalfLink()] if np.any(np.asarray(with_half.code) == _LASTS) else []
    rings, sprockets = np.array(others, dtype=float).reshape(-1, 2).T
    found = closing_positions(slot, ring=rings, sprocket=sprockets, **terms)
    found = found.rows(np.flatnonzero(np.asarray(found.code) == _LASTS))
    if np.size(found.ring):
        best = found.rows(ranked(found, ratio=pair[0] / pair[1])[:1])
        ring, sprocket, count = (
            float(np.ravel(v)[0]) for v in (best.ring, best.sprocket, best.pitches)
        )
        ways.append(OtherPair(ring=ring, sprocket=sprocket, pitches=count))
    return AnyOf(ways=tuple(ways or [TensionerOrLongerSlot()]))
