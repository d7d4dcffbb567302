"""What a matrix of builds is made of: its sizes with rider, forks, wheels, positions.

Each axis is one input whose numbers are scalars or one-dimensional; scalars
hold for the whole axis.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from geometry.bike import (
    Cockpit,
    Fork,
    Frame,
    LessThanWheelRadius,
    MoreThanSeatOffset,
    TopTubeDrawn,
    WithinTravel,
)
from geometry.core import (
    Checked,
    ContradictoryInput,
    FloatArray,
    InvalidInput,
    Num,
    OneOf,
    SeveralNumbers,
    check_shapes,
    checked,
    number,
    refuse,
)
from geometry.matrix.remedies import BothCoordinates, ShareOfSlot


def along_axis_of(values: dict[str, Num]) -> int:
    """Length of one axis from its named numbers; scalars count as one.

    Parameters
    ----------
    values : dict of str to float or array
        Numbers of any unit that lie along the axis.

    Returns
    -------
    int

    Raises
    ------
    InvalidInput
        Numbers of more than one dimension, an empty axis, or lengths that differ.

    Examples
    --------
    >>> along_axis_of({"front_radius": np.array([370.0, 380.0]), "rear_radius": 370.0})
    2
    """
    for name, value in values.items():
        if not isinstance(value, np.ndarray):
            continue
        if value.ndim > 1:
            raise InvalidInput(name, f"of shape {value.shape}", SeveralNumbers())
        if value.size == 0:
            raise InvalidInput(name, "empty", SeveralNumbers())
    shape = check_shapes(values)
    return shape[0] if shape else 1


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Forks(Checked):
    """The forks of a matrix, each with its headset and sag.

    Parameters
    ----------
    fork : Fork
        Its numbers are scalars or of shape (F,).
    lower_headset_stack, sag : float or array (F,) [mm]
        Headset below the head tube; travel used at rest.

    Raises
    ------
    ContradictoryInput
        A sag beyond the travel.

    Examples
    --------
    >>> fork = Fork(axle_to_crown=np.array([500.0, 520.0]), offset=48.0)
    >>> Forks(fork=fork, lower_headset_stack=12.0).count
    2
    """

    fork: Fork
    lower_headset_stack: Num = number("mm", least=0)
    sag: Num = number("mm", least=0, default=0.0)

    def __post_init__(self) -> None:
        Checked.__post_init__(self)
        along_axis_of(self._numbers())
        refuse(self.sag > self.fork.travel, ContradictoryInput, "sag", self.sag, WithinTravel())

    def _numbers(self) -> dict[str, Num]:
        fork = self.fork
        return {
            "fork.axle_to_crown": fork.axle_to_crown,
            "fork.offset": fork.offset,
            "fork.travel": fork.travel,
            "lower_headset_stack": self.lower_headset_stack,
            "sag": self.sag,
        }

    @property
    def count(self) -> int:
        """How many forks, F."""
        return along_axis_of(self._numbers())

    @classmethod
    def of(
        cls, forks: Sequence[Fork], *, lower_headset_stack: Num, sag_fraction: Num = 0.0
    ) -> Forks:
        """Single forks side by side, also of both axle-to-crown conventions.

        Parameters
        ----------
        forks : sequence of Fork
            Each with plain numbers.
        lower_headset_stack : float or array (F,) [mm]
            Of the headset each is fitted with.
        sag_fraction : float or array (F,) [of travel]
            Sag of each.

        Returns
        -------
        Forks

        Raises
        ------
        InvalidInput
            A fraction outside 0 to 1, or as many headsets as there are not forks.

        Examples
        --------
        >>> rigid = Fork(axle_to_crown=505.0, offset=48.0)
        >>> Forks.of([rigid, rigid], lower_headset_stack=12.0).count
        2
        """
        travel = np.array([fork.travel for fork in forks])
        share = checked("sag_fraction", sag_fraction, "of travel", least=0, most=1)
        together = Fork(
            axle_to_crown=np.array([fork.along for fork in forks]),
            offset=np.array([fork.offset for fork in forks]),
            travel=travel,
        )
        return cls(fork=together, lower_headset_stack=lower_headset_stack, sag=share * travel)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class WheelPairs(Checked):
    """The pairs of wheels of a matrix.

    Parameters
    ----------
    front_radius, rear_radius : float or array (W,) [mm]
        Free, over the tyre.
    front_deflection, rear_deflection : float or array (W,) [mm]
        Free minus loaded radius under the rider.

    Raises
    ------
    ContradictoryInput
        A tyre pressed flat to the axle.

    Examples
    --------
    >>> WheelPairs(front_radius=np.array([375.0, 370.0]), rear_radius=375.0).count
    2
    """

    front_radius: Num = number("mm", above=0)
    rear_radius: Num = number("mm", above=0)
    front_deflection: Num = number("mm", least=0, default=0.0)
    rear_deflection: Num = number("mm", least=0, default=0.0)

    def __post_init__(self) -> None:
        Checked.__post_init__(self)
        along_axis_of(self._numbers())
        for end in ("front", "rear"):
            deflection = getattr(self, f"{end}_deflection")
            wrong = np.asarray(deflection) >= getattr(self, f"{end}_radius")
            remedy = LessThanWheelRadius()
            refuse(wrong, ContradictoryInput, f"{end}_deflection", deflection, remedy)

    def _numbers(self) -> dict[str, Num]:
        return {name: getattr(self, name) for name in self.__slots__}

    @property
    def count(self) -> int:
        """How many pairs, W."""
        return along_axis_of(self._numbers())


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class AxlePositions(Checked):
    """Where in its slot the rear axle sits.

    Parameters
    ----------
    at : float or array (P,)
        Positions, in millimetres from the slot's front end or as shares of the
        slot's length.
    measured_in : {"mm", "slots"}
        Which of the two; ``"slots"`` is 0 at the front end and 1 at the rear,
        whatever each size's slot measures.

    Raises
    ------
    InvalidInput
        A negative position, or a share above 1.

    Examples
    --------
    >>> places = AxlePositions(at=np.array([0.0, 0.5, 1.0]), measured_in="slots")
    >>> places.of_sizes(np.array([20.0, 18.0]))
    array([[ 0., 10., 20.],
           [ 0.,  9., 18.]])
    """

    at: Num = number("mm or slot lengths", least=0, default=0.0)
    measured_in: Literal["mm", "slots"] = "mm"

    def __post_init__(self) -> None:
        Checked.__post_init__(self)
        along_axis_of({"at": self.at})
        if self.measured_in not in ("mm", "slots"):
            raise InvalidInput("measured_in", self.measured_in, OneOf(choices=("mm", "slots")))
        if self.measured_in == "slots":
            refuse(np.asarray(self.at) > 1, InvalidInput, "at", self.at, ShareOfSlot())

    @property
    def count(self) -> int:
        """How many positions, P."""
        return along_axis_of({"at": self.at})

    def of_sizes(self, slot_length: FloatArray) -> FloatArray:
        """Positions [mm] of shape (S, P) for slots of these lengths, shape (S,)."""
        at = np.atleast_1d(np.asarray(self.at))
        if self.measured_in == "mm":
            return np.broadcast_to(at, (slot_length.size, at.size))
        shares: FloatArray = np.multiply.outer(slot_length, at)
        return shares


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Sizes:
    """The sizes of a matrix, each with what is known of its rider.

    Parameters
    ----------
    frame : Frame
        Its numbers are scalars or of shape (S,).
    saddle_height : float or array (S,) [mm], optional
        BB centre to saddle top; gives the effective seat angle.
    cockpit : Cockpit, optional
        Scalars or shape (S,); gives the grips.
    standover_ahead : float or array (S,) [mm], optional
        Level distance ahead of the BB where standover is measured; needs the
        frame's top tube.
    mass_centre_x, mass_centre_y : float or array (S,) [mm], optional
        Mass centre of bike and rider from the BB in the drawn attitude, turning
        with the frame; gives the front wheel's share of the load.

    Raises
    ------
    InvalidInput
        A number that is not finite, or a standover without its top tube.
    ContradictoryInput
        A saddle height that the seat tube's axis never comes down to, or half a
        mass centre.
    """

    frame: Frame
    saddle_height: Num | None = None
    cockpit: Cockpit | None = None
    standover_ahead: Num | None = None
    mass_centre_x: Num | None = None
    mass_centre_y: Num | None = None

    def __post_init__(self) -> None:
        for name in ("saddle_height", "standover_ahead", "mass_centre_x", "mass_centre_y"):
            value = getattr(self, name)
            if value is not None:
                object.__setattr__(self, name, checked(name, value, "mm"))
        self._check_saddle()
        if self.standover_ahead is not None and self.frame.top_tube is None:
            raise InvalidInput("frame.top_tube", None, TopTubeDrawn())
        if (self.mass_centre_x is None) != (self.mass_centre_y is None):
            raise ContradictoryInput("mass_centre_x", self.mass_centre_x, BothCoordinates())
        along_axis_of(self._numbers())

    def _check_saddle(self) -> None:
        if self.saddle_height is not None:
            offset = np.abs(self.frame.seat_tube_offset)
            remedy = MoreThanSeatOffset()
            wrong = self.saddle_height <= offset
            refuse(wrong, ContradictoryInput, "saddle_height", self.saddle_height, remedy)

    def _numbers(self) -> dict[str, Num]:
        frame, bar, stem = self.frame, None, None
        if self.cockpit is not None:
            bar, stem = self.cockpit.handlebar, self.cockpit.stem
        owners = {
            "frame": frame,
            "frame.top_tube": frame.top_tube,
            "cockpit": self.cockpit,
            "cockpit.handlebar": bar,
            "cockpit.stem": stem,
            "": self,
        }
        return {
            f"{prefix}.{name}".lstrip("."): value
            for prefix, owner in owners.items()
            if owner is not None
            for name in owner.__slots__
            if isinstance(value := getattr(owner, name), (float, np.ndarray))
        }

    @property
    def count(self) -> int:
        """How many sizes, S."""
        return along_axis_of(self._numbers())
