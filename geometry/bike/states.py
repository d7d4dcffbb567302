"""States of a build: how far fork and tyres are pressed in.

Unloaded, sagged and bottomed are three of many: a `Loading` says which shares
of the fork's sag, the fork's travel and the tyres' deflection are used.
"""

from __future__ import annotations

from dataclasses import dataclass

from geometry.bike.parts import Fork, State
from geometry.bike.remedies import SagOnce, WithinTravel
from geometry.core import Checked, ContradictoryInput, Num, checked, number, refuse


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Loading(Checked):
    """One state, said for forks and tyres of any travel.

    Parameters
    ----------
    name : str
        ``"sagged"``, say.
    sag_share, travel_share : float [of the fork's sag and of its travel, 0 to 1]
        The fork is pressed in by ``sag_share × sag + travel_share × travel``.
    tyre_share : float [of the tyres' deflection, 0 to 1]
        Both tyres are pressed in by ``tyre_share × deflection``.

    Examples
    --------
    >>> SAGGED.state(Fork(axle_to_crown=530.0, offset=48.0, travel=125.0), sag=35.0)
    State(fork_compression=35.0, front_deflection=0.0, rear_deflection=0.0)
    """

    name: str
    sag_share: float = number("of sag", least=0, most=1, default=0.0)
    travel_share: float = number("of travel", least=0, most=1, default=0.0)
    tyre_share: float = number("of deflection", least=0, most=1, default=0.0)

    def state(
        self,
        fork: Fork,
        *,
        sag: Num = 0.0,
        front_deflection: Num = 0.0,
        rear_deflection: Num = 0.0,
    ) -> State:
        """The state of a build whose fork sags and whose tyres give so much.

        Parameters
        ----------
        fork : Fork
            For its travel.
        sag : float or array [mm]
            Travel used by rider and bike at rest.
        front_deflection, rear_deflection : float or array [mm]
            Free minus loaded tyre radius.

        Returns
        -------
        State

        Raises
        ------
        InvalidInput
            A number that is not finite or negative.
        ContradictoryInput
            A sag beyond the fork's travel.
        """
        used = sag_of(fork, sag=sag)
        front = checked("front_deflection", front_deflection, "mm", least=0)
        rear = checked("rear_deflection", rear_deflection, "mm", least=0)
        return State(
            fork_compression=self.compression(used, fork.travel),
            front_deflection=self.tyre_share * front,
            rear_deflection=self.tyre_share * rear,
        )

    def compression(self, sag: Num, travel: Num) -> Num:
        """Travel used [mm] by a fork of this sag and travel [mm]."""
        return self.sag_share * sag + self.travel_share * travel


UNLOADED = Loading(name="unloaded")
"""Nothing pressed in."""

SAGGED = Loading(name="sagged", sag_share=1.0, tyre_share=1.0)
"""Fork at its sag, tyres loaded."""

BOTTOMED = Loading(name="bottomed", travel_share=1.0, tyre_share=1.0)
"""All of the fork's travel used, tyres loaded."""

LOADINGS = (UNLOADED, SAGGED, BOTTOMED)
"""The three states every build is shown in."""


def sag_of(fork: Fork, *, sag: Num | None = None, fraction: Num | None = None) -> Num:
    """Sag of a fork in millimetres, from millimetres or from a share of its travel.

    Parameters
    ----------
    fork : Fork
        For its travel.
    sag : float or array [mm], optional
        Travel used at rest.
    fraction : float or array [of travel, 0 to 1], optional
        The same as a share; exactly one of the two is given.

    Returns
    -------
    float or array [mm]

    Raises
    ------
    InvalidInput
        A number that is not finite or out of range.
    ContradictoryInput
        Both or neither given, or a sag beyond the travel.

    Notes
    -----
    ``fraction × travel``; both along the steering axis, by definition.

    Examples
    --------
    >>> fork = Fork(axle_to_crown=530.0, offset=48.0, travel=125.0)
    >>> sag_of(fork, fraction=0.25), sag_of(fork, sag=30.0)
    (31.25, 30.0)
    """
    if fraction is not None and sag is None:
        return checked("sag_fraction", fraction, "of travel", least=0, most=1) * fork.travel
    if sag is None or fraction is not None:
        raise ContradictoryInput("sag", sag, SagOnce())
    length = checked("sag", sag, "mm", least=0)
    refuse(length > fork.travel, ContradictoryInput, "sag", length, WithinTravel())
    return length
