"""The posture a builder wants for a rider, as windows given as data.

The numbers are the builder's practice and live in a catalogue, one set a riding
style; nothing here has a default posture.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

from geometry.core import (
    AnyNumber,
    AtLeast,
    ContradictoryInput,
    InvalidInput,
)
from geometry.rider.remedies import AtLeastLeastRoom, MoreThanLowEdge


@dataclass(frozen=True)
class Window:
    """A range a figure should lie in, with its weight among the others.

    The distance of a figure from a window is counted in half-widths from its
    middle: 0 in the middle, 1 at either edge.

    Parameters
    ----------
    low, high : float
        Edges, in the unit of the figure.
    weight : float
        Share in the total [1]; 0 shows the figure without judging by it.

    Raises
    ------
    InvalidInput
        An edge that is not finite, or a negative weight.
    ContradictoryInput
        The high edge not above the low one.

    Examples
    --------
    >>> window = Window(40.0, 60.0)
    >>> window.middle, window.half
    (50.0, 10.0)
    """

    low: float
    high: float
    weight: float = 1.0

    def __post_init__(self) -> None:
        for name in ("low", "high", "weight"):
            if not math.isfinite(getattr(self, name)):
                raise InvalidInput(name, getattr(self, name), AnyNumber())
        if self.weight < 0.0:
            raise InvalidInput("weight", self.weight, AtLeast(bound=0.0, unit=""))
        if self.high <= self.low:
            raise ContradictoryInput("high", self.high, MoreThanLowEdge(low=self.low))

    @property
    def middle(self) -> float:
        """Middle of the window, in the unit of the figure."""
        return 0.5 * (self.low + self.high)

    @property
    def half(self) -> float:
        """Half the width of the window, in the unit of the figure."""
        return 0.5 * (self.high - self.low)


@dataclass(frozen=True)
class PostureWindows:
    """The builder's wishes for one riding style.

    Parameters
    ----------
    style : str
        What the builder calls it, such as ``"trail"``.
    trunk_angle : Window
        Seated, hip to shoulder against the level [°]; 90 is upright.
    elbow_flexion : Window
        Seated, 0 is a straight arm [°].
    shoulder_angle : Window
        Seated, between trunk and upper arm [°].
    bar_above_saddle : Window
        Height of the grips above the saddle top [mm].
    standing_trunk_angle, standing_elbow_flexion : Window
        The same, standing on level pedals [°].
    grips_to_rear_axle : Window
        Level distance from rear axle to grips [mm].
    stem_departure : Window
        Stem length minus the one the frame was drawn for [mm].
    straddle_room_least, straddle_room_clear : float
        Room over the top tube, shod: below the first it is refused, from the
        second on it is clear [mm].
    knee_flexion : float
        Wanted at the lowest pedal, standing still [°].
    saddle_tolerance : float
        How far the post may miss the rider's saddle height [mm].
    standing_hip_behind : float
        Hips behind the BB centre when standing, level [mm].
    standing_knee_flexion : float
        Knees when standing [°].

    Raises
    ------
    InvalidInput
        A number that is not finite.
    ContradictoryInput
        Clear room smaller than the least.
    """

    style: str
    trunk_angle: Window
    elbow_flexion: Window
    shoulder_angle: Window
    bar_above_saddle: Window
    standing_trunk_angle: Window
    standing_elbow_flexion: Window
    grips_to_rear_axle: Window
    stem_departure: Window
    straddle_room_least: float
    straddle_room_clear: float
    knee_flexion: float
    saddle_tolerance: float
    standing_hip_behind: float
    standing_knee_flexion: float

    def __post_init__(self) -> None:
        for field in fields(self):
            value = getattr(self, field.name)
            if isinstance(value, float) and not math.isfinite(value):
                raise InvalidInput(field.name, value, AnyNumber())
        if self.straddle_room_clear < self.straddle_room_least:
            remedy = AtLeastLeastRoom(least=self.straddle_room_least)
            raise ContradictoryInput("straddle_room_clear", self.straddle_room_clear, remedy)
