"""The rider of a build, as the build's page shows it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from webapp.builds.choice.build_choice import BuildChoice, address_of
from webapp.builds.choice.carried_build import carried_text
from webapp.builds.evaluation import BuildResult
from webapp.builds.rider.posture import rider_on
from webapp.builds.rider.posture_rows import PostureRow, posture_rows
from webapp.rider.rider_input import rider_pairs
from webapp.rider.summary import rider_summary

_SAID = 2
"""How many figures outside their windows are listed above the folded table."""


@dataclass(frozen=True, kw_only=True)
class RiderView:
    """The rider of a build: what was given, the fields that carry it, and the posture."""

    words: str
    style: str
    pairs: tuple[tuple[str, str], ...]
    rows: tuple[PostureRow, ...]
    fit_address: str
    reaches: bool

    @property
    def outside(self) -> tuple[PostureRow, ...]:
        """The figures that are not inside what is asked, in the order of the whole table."""
        return tuple(row for row in self.rows if row.outcome in ("tight", "no"))

    @property
    def first_outside(self) -> tuple[PostureRow, ...]:
        """Those of them listed above the folded table."""
        return self.outside[:_SAID]


def rider_view(choice: BuildChoice, result: BuildResult | None) -> RiderView | None:
    """The rider of a build, None where it has none.

    Parameters
    ----------
    choice : BuildChoice
    result : BuildResult or None
        None when the parts cannot stand together; the rider is carried along all the same.

    Returns
    -------
    RiderView or None
    """
    if choice.rider is None:
        return None
    pairs = tuple(rider_pairs(choice.rider))
    on = rider_on(result, choice.rider) if result and choice.rider.known else None
    return RiderView(
        words=rider_summary(choice.rider),
        style=on.windows.style if on else "",
        pairs=pairs,
        rows=posture_rows(on) if on else (),
        fit_address=f"/fit/{carried_text(choice)}",
        reaches=on.reaches if on else True,
    )


def shared_address(choice: BuildChoice, result: BuildResult | None) -> str:
    """Address of a build without its rider's measures, to be shown to others.

    Returns
    -------
    str
        Empty where the build has no rider.
    """
    if choice.rider is None:
        return ""
    return address_of(result.for_anybody if result else replace(choice, rider=None))
