"""Where the axle lands in its slot for a ring, a sprocket and a closed chain or belt.

*Taut* is where the loop is drawn straight. The axle is set a little forward of
that, so that a chain has its free play; as the chain wears it is drawn back::

         slot's rear end   worn      taut new              front end, position 0
            [===============|==========|=|=====================]
                            <- wear --->
            <----------- left -------->  ^ least play between new and taut
"""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypedDict

import numpy as np
from numpy.typing import NDArray

from geometry.core import (
    FloatArray,
    InvalidInput,
    Num,
    OneAtATime,
    checked,
    plain,
    whole,
)
from geometry.drive.loop import CHAIN_PITCH, Drive, centre_distance, loop_length
from geometry.drive.remedies import BeltLengthsSold
from geometry.drive.slot import Slot, centre_at, free_play_shift, position_at

WEAR_LIMIT = 0.0075
"""Lengthening at which a chain is worn out, as a share: 0.75 %, the stricter end
of the trade's 0.75 to 1 %."""


class Loop(TypedDict):
    """Drive and pitch [mm], as the functions of `geometry.drive.loop` take them."""

    drive: Drive
    pitch: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Fitting:
    """How a loop is set up: what wears, and how slack it runs.

    Parameters
    ----------
    drive : {"chain", "belt"}
        What closes the loop.
    pitch : float [mm]
        Of chain or belt.
    wear : float [share]
        Lengthening at which it is replaced; 0 for a belt.
    least_play, most_play : float [mm]
        Free play at the middle of the slack run when set well; 0 for a belt.
    mounting : float [mm]
        How far forward of its new position the axle must be able to go for the
        loop to be put on; a chain is opened instead and needs none.

    Raises
    ------
    InvalidInput
        Out of range, or less play at most than at least.

    Examples
    --------
    >>> Fitting.belt(pitch=9.0).wear
    0.0
    """

    drive: Drive = "chain"
    pitch: float = CHAIN_PITCH
    wear: float = WEAR_LIMIT
    least_play: float = 10.0
    most_play: float = 20.0
    mounting: float = 0.0

    def __post_init__(self) -> None:
        checked("pitch", self.pitch, "mm", above=0)
        checked("wear", self.wear, "of its length", least=0, most=0.05)
        checked("least_play", self.least_play, "mm", least=0)
        checked("most_play", self.most_play, "mm", least=self.least_play)
        checked("mounting", self.mounting, "mm", least=0)

    @property
    def loop(self) -> Loop:
        """Drive and pitch, as the functions of `geometry.drive.loop` take them."""
        return {"drive": self.drive, "pitch": self.pitch}

    @classmethod
    def belt(cls, *, pitch: float, mounting: float = 0.0) -> Fitting:
        """A toothed belt: it runs without play and does not lengthen."""
        return cls(
            drive="belt", pitch=pitch, wear=0.0, least_play=0.0, most_play=0.0, mounting=mounting
        )


CHAIN = Fitting()
"""A half-inch chain with 10 to 20 mm of play, replaced at 0.75 % [common practice]."""


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class AxlePositions:
    """Where the axle lands; every field is an array of one shape, or a number.

    Parameters
    ----------
    ring, sprocket, pitches : float or array
        Teeth, and the loop's count.
    taut : float or array [mm]
        Slot position at which the new loop is straight.
    new : float or array [mm]
        Slot position to set it at when new: taut, less the least play. A loop that
        closes with more play than the least has its axle at the slot's rear end.
    worn : float or array [mm]
        The same at the wear limit, within the slot where it takes up all wear.
    allowance : float or array [mm]
        How far forward of ``new`` the axle may sit before play exceeds its most.
    left : float or array [mm]
        Slot behind ``new``: the adjustment left.
    wear_room : float or array [share]
        Lengthening taken up when the axle meets the slot's rear end and play
        is at its most; negative when it does not even close new.
    chainstay : float or array [mm]
        BB centre to axle at ``new``.
    half_link : bool or array
        Whether the count is odd, so that a chain needs a half link; never for a belt.
    code : int or array
        As in `geometry.checks.outcomes.CODES`: 2 closes and takes up all wear, 1 closes
        but is used up before the wear limit, 0 does not close in this slot.
    """

    ring: Num
    sprocket: Num
    pitches: Num
    taut: Num
    new: Num
    worn: Num
    allowance: Num
    left: Num
    wear_room: Num
    chainstay: Num
    half_link: Num
    code: Num

    def rows(self, index: NDArray[np.intp] | Sequence[int]) -> AxlePositions:
        """The positions at an index, as from `ranked`."""
        fields = dataclasses.fields(self)
        return AxlePositions(**{f.name: np.asarray(getattr(self, f.name))[index] for f in fields})


def axle_positions(
    slot: Slot, *, ring: Num, sprocket: Num, pitches: Num, fitting: Fitting = CHAIN
) -> AxlePositions:
    """Where the axle lands for given counts, inside the slot or not.

    Parameters
    ----------
    slot : Slot
        The frame's; its fields broadcast with the rest.
    ring, sprocket : int or array
        Teeth.
    pitches : int or array
        Links of the chain, or teeth of the belt.
    fitting : Fitting
        Chain or belt, its wear and play.

    Returns
    -------
    AxlePositions

    Raises
    ------
    InvalidInput
        Teeth or counts that are not whole.
    NoSolution
        Too few pitches to go round both wheels.

    Notes
    -----
    A chain of L links worn by w is ``L (1 + w)`` pitches long. The axle may sit
    anywhere between ``new − allowance`` and ``new``; a fixed axle (slot length
    0) thus closes when position 0 lies there.

    Examples
    --------
    >>> slot = Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=22.0)
    >>> axles = axle_positions(slot, ring=32, sprocket=20, pitches=94)
    >>> round(axles.new, 1), round(axles.worn, 1), axles.code
    (11.2, 15.7, 2)
    """
    count = whole("pitches", pitches, "pitches", least=1)
    loop = fitting.loop
    straight = centre_distance(count, ring=ring, sprocket=sprocket, **loop)
    longest = count * (1.0 + fitting.wear)
    lengthened = centre_distance(longest, ring=ring, sprocket=sprocket, **loop)
    taut = position_at(slot, straight)
    shift = free_play_shift(fitting.least_play, centre=straight)
    allowance = free_play_shift(fitting.most_play, centre=straight) - shift
    new, worn = taut - shift, position_at(slot, lengthened) - shift
    furthest = centre_at(slot, slot.slot_length + shift + allowance)
    longest_taken = loop_length(furthest, ring=ring, sprocket=sprocket, **loop)
    closes = (new >= fitting.mounting) & (new - allowance <= slot.slot_length)
    code = np.where(closes, 1 + (worn - allowance <= slot.slot_length), 0)
    # What lies behind the slot's end is set at its end, with that much less room forward.
    set_new = np.where(code > 0, np.minimum(new, slot.slot_length), new)
    set_worn = np.where(code > 1, np.minimum(worn, slot.slot_length), worn)
    allowance = allowance - (new - set_new)
    new, worn = set_new, set_worn
    return _axle_positions(
        ring=ring,
        sprocket=sprocket,
        pitches=count,
        taut=taut,
        new=new,
        worn=worn,
        allowance=allowance,
        left=slot.slot_length - new,
        wear_room=longest_taken / count - 1.0,
        chainstay=centre_at(slot, new),
        half_link=(np.asarray(count) % 2 == 1) & (fitting.drive == "chain"),
        code=code,
    )


def _axle_positions(**fields: Num) -> AxlePositions:
    """Axle positions with every field of one shape; the code stays whole."""
    names, values = list(fields), np.broadcast_arrays(*fields.values())
    spread = dict(zip(names, values, strict=True))
    code, half = spread.pop("code"), spread.pop("half_link")
    numbers = {name: plain(value.astype(float)) for name, value in spread.items()}
    return AxlePositions(
        **numbers,
        half_link=bool(half) if half.ndim == 0 else half,
        code=int(code) if code.ndim == 0 else code,
    )


def closing_positions(
    slot: Slot,
    *,
    ring: Num,
    sprocket: Num,
    fitting: Fitting = CHAIN,
    half_link: bool = False,
    sold: Sequence[int] | None = None,
) -> AxlePositions:
    """Every count that closes with the axle inside one frame's slot.

    Parameters
    ----------
    slot : Slot
        One frame's.
    ring, sprocket : int or array
        Teeth, broadcast against each other: ``ring[:, None]`` and ``sprocket``
        give all pairs.
    fitting : Fitting
        Chain or belt, its wear and play.
    half_link : bool
        Also odd counts, which need one half link.
    sold : sequence of int, optional
        The counts to be had, for a belt its catalogue lengths; without it, a
        chain may have any even count.

    Returns
    -------
    AxlePositions
        One-dimensional arrays, in order of pairs, then counts; empty when none closes.

    Raises
    ------
    InvalidInput
        Teeth that are not whole, arrays of slots, or a belt without the lengths sold.
    NoSolution
        Wheels so large that they overlap at the slot's front end.

    Examples
    --------
    >>> slot = Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=22.0)
    >>> closing_positions(slot, ring=32, sprocket=20).pitches.tolist()
    [94.0]
    >>> closing_positions(slot, ring=32, sprocket=20, half_link=True).pitches.tolist()
    [93.0, 94.0, 95.0]
    """
    if np.ndim(slot.slot_length + slot.chainstay_length + slot.bb_drop + slot.slot_angle):
        raise InvalidInput("slot", "an array", OneAtATime())
    if fitting.drive == "belt" and sold is None:
        raise InvalidInput("sold", None, BeltLengthsSold())
    rings, sprockets = (np.ravel(a) for a in np.broadcast_arrays(ring, sprocket))
    ends = [
        loop_length(centre, ring=rings, sprocket=sprockets, **fitting.loop)
        for centre in (slot.chainstay_length, _furthest(slot, fitting))
    ]
    pair, count = _counts(np.asarray(ends), 1 if half_link else 2, sold)
    axles = axle_positions(
        slot, ring=rings[pair], sprocket=sprockets[pair], pitches=count, fitting=fitting
    )
    return axles.rows(np.flatnonzero(np.asarray(axles.code) > 0))


def _furthest(slot: Slot, fitting: Fitting) -> Num:
    """Centre distance that no loop closing in the slot exceeds, a millimetre to spare."""
    rear = centre_at(slot, slot.slot_length)
    return rear + 1.0 + free_play_shift(fitting.most_play, centre=rear)


def _counts(
    ends: FloatArray, step: int, sold: Sequence[int] | None
) -> tuple[NDArray[np.intp], FloatArray]:
    """Pairs' indices and counts that lie between their two ends."""
    if sold is None:
        first = np.ceil(ends[0] / step) * step
        most = int(np.max((ends[1] - first) // step, initial=-1.0)) + 1
        counts = first[:, None] + step * np.arange(max(most, 0))
    else:
        counts = np.broadcast_to(np.sort(np.asarray(sold, float)), (ends.shape[1], len(sold)))
    inside = (counts >= ends[0][:, None]) & (counts <= ends[1][:, None])
    return np.nonzero(inside)[0], counts[inside]


def ranked(
    axles: AxlePositions,
    *,
    chainstay: float | None = None,
    ratio: float | None = None,
    chainstay_step: float = 10.0,
    ratio_step: float = 0.1,
) -> NDArray[np.intp]:
    """Order of positions, best first.

    Parameters
    ----------
    axles : AxlePositions
        As from `closing_positions`, one-dimensional.
    chainstay : float, optional [mm]
        Wished chainstay length.
    ratio : float, optional
        Wished ring ÷ sprocket.
    chainstay_step, ratio_step : float [mm], [share of the ratio]
        Misses that count alike.

    Returns
    -------
    array of int, shape (n,)
        Those that take up all wear before those that do not; within each,
        nearest to what is wished; among equals, those that need no half link
        first, then most adjustment left.

    Raises
    ------
    InvalidInput
        A wish or step that is not above 0.

    Examples
    --------
    >>> slot = Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=22.0)
    >>> rings, sprockets = np.array([[30.0], [32.0]]), np.array([18.0, 20.0])
    >>> pairs = closing_positions(slot, ring=rings, sprocket=sprockets)
    >>> best = pairs.rows(ranked(pairs, ratio=1.6))
    >>> int(best.ring[0]), int(best.sprocket[0]), int(best.pitches[0])
    (32, 20, 94)
    """
    miss = np.zeros(np.shape(axles.code))
    if chainstay is not None:
        checked("chainstay", chainstay, "mm", above=0)
        step = checked("chainstay_step", chainstay_step, "mm", above=0)
        miss = miss + np.abs(axles.chainstay - chainstay) / step
    if ratio is not None:
        checked("ratio", ratio, "turns", above=0)
        step = checked("ratio_step", ratio_step, "of the ratio", above=0)
        miss = miss + np.abs(axles.ring / axles.sprocket / ratio - 1.0) / step
    half = np.asarray(axles.half_link)
    return np.lexsort((-np.asarray(axles.left), half, miss, -np.asarray(axles.code)))
