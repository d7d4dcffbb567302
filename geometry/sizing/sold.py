"""Sizes as sold and as ridden: everything that sizing needs to know about a bicycle.

A size is one frame with its usual cockpit, crank and post, standing on the fork,
wheels and axle position chosen, sunk in by its rider. Beside it stands the
builder's size chart: the statures that each size was drawn for.

Origin at the BB centre, x forward, y up [mm]. Grips are where they are ridden; the saddle
is set on the unloaded bike and turns with it. Sizes run from small to large.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from geometry.core import (
    ContradictoryInput,
    FloatArray,
    InvalidInput,
    SeveralNumbers,
    cos,
    refuse,
    rotate,
    sin,
)
from geometry.rider import PostAxis
from geometry.sizing.remedies import MoreThanShortest, OneNumberEach, RisingStatures


@dataclass(frozen=True, eq=False)
class SoldSizes:
    """Sizes with their cockpits as sold; every array has shape (S,).

    Parameters
    ----------
    sizes : tuple of str, length S
        Names.
    grip_x, grip_y : array
        Centre of the grips [mm].
    grip_half_width : array
        Grip from the mid-plane [mm].
    post_x, post_y, post_angle : array
        A point of the line the seat rises along [mm] and its angle from the level [°],
        unloaded, as the saddle is set.
    sunk : array
        How far the bike turns under its rider; positive lifts the front [°].
    saddle_lowest, saddle_highest : array
        Saddle heights that the posts sold with the size allow [mm].
    any_lowest, any_highest : array
        The same of every post offered [mm].
    standover : array
        Floor to top tube where the rider straddles it, unloaded [mm].
    crank_length : array
        [mm].
    toe_room : array
        Pedal's end to the front wheel turned towards it, with the crank as sold; infinite
        where they never meet or the pedals are not known [mm].
    toe_least, toe_enough : array
        Below the first it is too little, below the second not much [mm].

    Raises
    ------
    ContradictoryInput
        Shapes that do not belong together.
    InvalidInput
        Numbers that are not finite.

    Examples
    --------
    >>> from geometry.examples import example_sizes
    >>> example_sizes().sizes
    ('XS', 'S', 'M', 'L', 'XL')
    """

    sizes: tuple[str, ...]
    grip_x: FloatArray
    grip_y: FloatArray
    grip_half_width: FloatArray
    post_x: FloatArray
    post_y: FloatArray
    post_angle: FloatArray
    sunk: FloatArray
    saddle_lowest: FloatArray
    saddle_highest: FloatArray
    any_lowest: FloatArray
    any_highest: FloatArray
    standover: FloatArray
    crank_length: FloatArray
    toe_room: FloatArray
    toe_least: FloatArray
    toe_enough: FloatArray

    def __post_init__(self) -> None:
        shape = (len(self.sizes),)
        for field in fields(self)[1:]:
            value = getattr(self, field.name)
            if np.shape(value) != shape:
                remedy = OneNumberEach(count=len(self.sizes))
                raise ContradictoryInput(field.name, np.shape(value), remedy)
            given = np.isfinite(value) | ((value == np.inf) & (field.name == "toe_room"))
            refuse(~given, InvalidInput, field.name, value, SeveralNumbers())

    def only(self, places: Sequence[int] | NDArray[np.intp]) -> SoldSizes:
        """Some of the sizes, by their places from 0."""
        kept = np.asarray(places, dtype=np.intp)
        columns = {each.name: getattr(self, each.name)[kept] for each in fields(self)[1:]}
        return SoldSizes(sizes=tuple(self.sizes[i] for i in kept), **columns)

    @classmethod
    def together(cls, several: Sequence[SoldSizes]) -> SoldSizes:
        """All the sizes of several, one after another.

        >>> from geometry.examples import example_sizes
        >>> SoldSizes.together([example_sizes().only([0]), example_sizes().only([2, 3])]).sizes
        ('XS', 'M', 'L')
        """
        names = tuple(name for each in several for name in each.sizes)
        columns = {
            each.name: np.concatenate([getattr(one, each.name) for one in several])
            for each in fields(cls)[1:]
        }
        return cls(sizes=names, **columns)

    def post_axis(self) -> PostAxis:
        """Lines the seats rise along, unloaded, shape (S, 1) each."""
        columns = (self.post_x, self.post_y, self.post_angle)
        x, y, angle = (column[:, np.newaxis] for column in columns)
        return PostAxis(x=x, y=y, angle=angle)

    def saddle(self, saddle_height: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Saddle tops at saddle heights (S, n), as ridden: x, y [mm]."""
        x, y = self.post_axis().saddle(saddle_height)
        sunk = self.sunk[:, np.newaxis]
        ahead, up = rotate(x, y, cosine=cos(sunk), sine=sin(sunk))
        return np.asarray(ahead), np.asarray(up)


@dataclass(frozen=True, eq=False)
class SizeChart:
    """The builder's size chart: for each size the statures it was drawn for.

    Parameters
    ----------
    shortest, tallest : array, shape (S,)
        Barefoot [mm].

    Raises
    ------
    ContradictoryInput
        A range upside down, or middles that do not rise from size to size.

    Examples
    --------
    >>> chart = SizeChart(np.array([1500.0, 1600.0]), np.array([1620.0, 1720.0]))
    >>> chart.middles.tolist()
    [1560.0, 1660.0]
    """

    shortest: FloatArray
    tallest: FloatArray

    def __post_init__(self) -> None:
        if np.shape(self.shortest) != np.shape(self.tallest):
            remedy = OneNumberEach(count=np.size(self.shortest))
            raise ContradictoryInput("tallest", np.shape(self.tallest), remedy)
        refuse(
            self.tallest <= self.shortest,
            ContradictoryInput, "tallest", self.tallest, MoreThanShortest(),
        )  # fmt: skip
        refuse(
            np.diff(self.middles, prepend=-np.inf) <= 0.0,
            ContradictoryInput, "shortest", self.shortest, RisingStatures(),
        )  # fmt: skip

    @property
    def middles(self) -> FloatArray:
        """Middle of each range, (S,) [mm]."""
        middle: FloatArray = 0.5 * (self.shortest + self.tallest)
        return middle

    def size_for(self, stature: FloatArray) -> FloatArray:
        """Place of a stature on the run of the sizes, 0 the smallest, S − 1 the largest [1].

        Between the middles of two ranges it goes evenly from one size to the next;
        beyond the first and the last it goes on with the slope next to it.

        Parameters
        ----------
        stature : array, shape (n,)
            [mm].

        Returns
        -------
        array, shape (n,)

        Examples
        --------
        >>> chart = SizeChart(np.array([1500.0, 1600.0]), np.array([1620.0, 1720.0]))
        >>> chart.size_for(np.array([1560.0, 1610.0, 1510.0])).tolist()
        [0.0, 0.5, -0.5]
        """
        marks = self.middles
        if len(marks) == 1:
            return np.asarray((stature - marks[0]) / LONE_STEP)
        inside = np.interp(stature, marks, np.arange(len(marks), dtype=np.float64))
        below = np.minimum(stature - marks[0], 0.0) / (marks[1] - marks[0])
        above = np.maximum(stature - marks[-1], 0.0) / (marks[-1] - marks[-2])
        found: FloatArray = np.asarray(inside + below + above)
        return found


LONE_STEP = 100.0
"""What counts as a step of stature where a model has a single size [mm], common practice."""
