"""What is searched: stances × fronts × seats, and what rules some of them out.

============  ===========================================  =====
axis          one of it                                    count
============  ===========================================  =====
stance        size, fork, headset, wheels, axle position     N
front         stem, spacers, bar                             J
seat          post, saddle, place on the rails               K
============  ===========================================  =====

The grips depend on stance and front, the saddle on stance and seat, so that no
array here is of the whole product.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from geometry.bike import Frame, Standing
from geometry.core import (
    AsManyNumbers,
    ContradictoryInput,
    FloatArray,
    InvalidInput,
    SeveralNumbers,
)
from geometry.search.remedies import StancesBySeats

Axis = Literal["stance", "front", "seat"]
Masks = NDArray[np.bool_]
Rows = NDArray[np.intp]


def _columns(values: Mapping[str, FloatArray]) -> int:
    """Length of named arrays that lie along one axis.

    Raises
    ------
    InvalidInput
        A number that is not finite, or no number at all.
    ContradictoryInput
        Arrays of different lengths.
    """
    length = next(iter(values.values())).size
    for name, value in values.items():
        if value.ndim != 1 or not value.size:
            raise InvalidInput(name, f"of shape {value.shape}", SeveralNumbers())
        if value.size != length:
            raise ContradictoryInput(name, value.size, AsManyNumbers(count=length))
        if not np.isfinite(value).all():
            raise InvalidInput(name, "not finite", SeveralNumbers())
    return length


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Stances:
    """Bikes standing unloaded, without cockpit and seat; arrays of shape (N,).

    Parameters
    ----------
    reach, stack : array [mm]
        Head tube's top from the BB centre.
    head_angle : array [deg]
    lift : array [mm]
        Headset above the head tube's top, along the steering axis.
    seat_tube_angle : array [deg]
    seat_tube_offset : array [mm]
        Of the post's axis ahead of the BB.
    figures : mapping of str to array
        What may be wished between bounds, such as trail [mm].
    """

    reach: FloatArray
    stack: FloatArray
    head_angle: FloatArray
    lift: FloatArray
    seat_tube_angle: FloatArray
    seat_tube_offset: FloatArray
    figures: Mapping[str, FloatArray]

    @classmethod
    def of(
        cls,
        standings: Sequence[Standing],
        frames: Sequence[Frame],
        *,
        lift: FloatArray,
        figures: Mapping[str, FloatArray],
    ) -> Stances:
        """Stances of bikes that were solved one by one, with the frame of each."""
        named = ("reach", "stack", "head_angle", "seat_tube_angle")
        own = {n: np.array([float(getattr(one, n)) for one in standings]) for n in named}
        offset = np.array([float(frame.seat_tube_offset) for frame in frames])
        return cls(**own, seat_tube_offset=offset, lift=lift, figures=figures)

    def __post_init__(self) -> None:
        own = {name: getattr(self, name) for name in self.__slots__ if name != "figures"}
        _columns({**own, **self.figures})

    @property
    def count(self) -> int:
        """How many, N."""
        return self.reach.size

    def only(self, rows: Rows) -> Stances:
        """Some of them."""
        own = {name: getattr(self, name)[rows] for name in self.__slots__ if name != "figures"}
        return Stances(**own, figures={name: row[rows] for name, row in self.figures.items()})


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Fronts:
    """Grips from the top of the headset; arrays of shape (J,).

    Parameters
    ----------
    up, forward : array [mm]
        Up the steering axis, and square ahead of it.
    """

    up: FloatArray
    forward: FloatArray

    def __post_init__(self) -> None:
        _columns({"up": self.up, "forward": self.forward})

    @property
    def count(self) -> int:
        """How many, J."""
        return self.up.size


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Seats:
    """Posts with saddles on their rails.

    Parameters
    ----------
    setback, rail, saddle_stack : array (K,) [mm]
        As in `geometry.bike.Seat`.
    lowest, highest : array (N, K) [mm]
        Saddle heights to be had on each stance; set on whole millimetres.
    """

    setback: FloatArray
    rail: FloatArray
    saddle_stack: FloatArray
    lowest: FloatArray
    highest: FloatArray

    def __post_init__(self) -> None:
        names = ("setback", "rail", "saddle_stack")
        count = _columns({name: getattr(self, name) for name in names})
        for name in ("lowest", "highest"):
            shape = getattr(self, name).shape
            if len(shape) != 2 or shape[1] != count:  # noqa: PLR2004  # stances × seats
                remedy = StancesBySeats(seats=count)
                raise ContradictoryInput(name, f"of shape {shape}", remedy)

    @property
    def count(self) -> int:
        """How many, K."""
        return self.setback.size

    def only(self, rows: Rows, seats: Rows) -> Seats:
        """Some of them, on some stances."""
        own = {name: getattr(self, name)[seats] for name in ("setback", "rail", "saddle_stack")}
        both = np.ix_(rows, seats)
        return Seats(**own, lowest=self.lowest[both], highest=self.highest[both])


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Refusal:
    """A check that some combinations fail.

    Parameters
    ----------
    code : str
        Which.
    along : "stance", "front" or "seat"
        What it depends on beside the stance.
    fails : array (G, M) of bool
        By group of stances and place along the axis; M is 1 for ``"stance"``.
    group : array (N,) of int
        The group of each stance.
    """

    code: str
    along: Axis
    fails: Masks
    group: Rows

    def only(self, rows: Rows, fronts: Rows, seats: Rows) -> Refusal:
        """The same of some stances, fronts and seats."""
        kept = {"stance": np.zeros(1, dtype=np.intp), "front": fronts, "seat": seats}[self.along]
        fails = self.fails[:, kept]
        return Refusal(code=self.code, along=self.along, fails=fails, group=self.group[rows])


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Package:
    """What is added, or taken off, where parts of more than one axis come together.

    Parameters
    ----------
    amount : float
        In the unit of its sum; a package price is negative.
    stances, fronts, seats : array (N,), (J,), (K,) of bool
        Which of each have their part of it; all of an axis it does not look at.
    """

    amount: float
    stances: Masks
    fronts: Masks
    seats: Masks


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Sum:
    """What adds up over the parts of a build: price, mass, parts swapped.

    Parameters
    ----------
    stances, fronts, seats : array (N,), (J,), (K,)
        Each one's share, all in one unit.
    packages : tuple of Package
        What comes on top of the shares.
    """

    stances: FloatArray
    fronts: FloatArray
    seats: FloatArray
    packages: tuple[Package, ...] = ()

    def only(self, stances: Rows, fronts: Rows, seats: Rows) -> Sum:
        """The same of some stances, fronts and seats."""
        return Sum(
            stances=self.stances[stances],
            fronts=self.fronts[fronts],
            seats=self.seats[seats],
            packages=tuple(
                Package(
                    amount=each.amount,
                    stances=each.stances[stances],
                    fronts=each.fronts[fronts],
                    seats=each.seats[seats],
                )
                for each in self.packages
            ),
        )

    def of(self, stance: int, front: int, seat: int) -> float:
        """What it comes to for one build.

        >>> one, first = np.array([True]), np.array([True, False])
        >>> off = Package(amount=-5.0, stances=one, fronts=first, seats=one)
        >>> costs = Sum(stances=np.array([90.0]), fronts=np.array([20.0, 20.0]),
        ...             seats=np.array([10.0]), packages=(off,))
        >>> costs.of(0, 0, 0), costs.of(0, 1, 0)
        (115.0, 120.0)
        """
        added = self.stances[stance] + self.fronts[front] + self.seats[seat]
        for each in self.packages:
            if each.stances[stance] and each.fronts[front] and each.seats[seat]:
                added += each.amount
        return float(added)

    def outer(self, stance: int, fronts: Rows, seats: Rows) -> FloatArray:
        """What it comes to for some fronts with some seats on a stance: (fronts, seats)."""
        added = self.stances[stance] + self.fronts[fronts, None] + self.seats[seats]
        for each in self.packages:
            if each.stances[stance]:
                together = each.fronts[fronts, None] & each.seats[seats]
                added = added + each.amount * together
        return np.asarray(added)

    def floor(self) -> FloatArray:
        """Lower bound on each stance over all fronts and seats: (N,)."""
        added = self.stances + self.fronts.min() + self.seats.min()
        for each in self.packages:
            added = added + min(each.amount, 0.0) * each.stances
        return np.asarray(added)

    def ends(self, stance: int, axis: Literal["front", "seat"]) -> tuple[FloatArray, FloatArray]:
        """Lower and upper bound on one stance, for every front or every seat."""
        own, other = self.fronts, self.seats
        if axis == "seat":
            own, other = other, own
        least = self.stances[stance] + own + other.min()
        most = self.stances[stance] + own + other.max()
        for each in self.packages:
            if each.stances[stance]:
                mine = each.fronts if axis == "front" else each.seats
                least = least + min(each.amount, 0.0) * mine
                most = most + max(each.amount, 0.0) * mine
        return np.asarray(least), np.asarray(most)
