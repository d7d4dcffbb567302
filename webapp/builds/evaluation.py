"""One build, computed: how it stands, whether it goes together, what it costs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from geometry.checks import Check
from geometry.core import GeometryError
from webapp.builds.choice.build_choice import POSITION_OF, BuildChoice
from webapp.builds.fitting.checks import fit_checks
from webapp.builds.pricing import PriceSheet, price_sheet
from webapp.builds.solving.figures import StateFigures, solve_states
from webapp.builds.solving.solver_inputs import Assembly, assemble
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Invalid


@dataclass(frozen=True, kw_only=True)
class BuildResult:
    """Everything the service knows of one build.

    Parameters
    ----------
    catalogue, choice, assembly
        What it was computed from.
    states : mapping of state name to StateFigures
    checks : tuple of Check
    price : PriceSheet
    """

    catalogue: Catalogue
    choice: BuildChoice
    assembly: Assembly
    states: Mapping[str, StateFigures]
    checks: tuple[Check, ...]
    price: PriceSheet

    @property
    def failed(self) -> tuple[Check, ...]:
        """Checks that say no; with any of them the build cannot be ordered."""
        return tuple(check for check in self.checks if check.outcome == "no")

    @property
    def can_be_ordered(self) -> bool:
        """Nothing fails, every part has a price, and the revision is published."""
        published = self.catalogue.revision.state == "published"
        return published and not self.failed and not self.price.unpriced

    @property
    def for_anybody(self) -> BuildChoice:
        """The same build without its rider, the saddle where it is for them."""
        height, at = float(self.assembly.seat.height), POSITION_OF["saddle_height"]
        known = self.choice.rider is not None and self.choice.rider.known
        fixed = known and at.low <= height <= at.high
        chosen = height if fixed else self.choice.saddle_height
        return replace(self.choice, rider=None, saddle_height=chosen)


def compute(catalogue: Catalogue, choice: BuildChoice) -> BuildResult:
    """Compute one build.

    Parameters
    ----------
    catalogue : Catalogue
        The revision the build is of.
    choice : BuildChoice

    Returns
    -------
    BuildResult

    Raises
    ------
    Invalid
        Parts that cannot stand together at all, or a place left empty that
        decides how the bike stands.
    """
    try:
        assembly = assemble(catalogue, choice)
        states = solve_states(assembly, standover_at=catalogue.revision.data.standover_at)
    except GeometryError as error:
        raise Invalid(error.field, error.value, error.remedy) from error
    return BuildResult(
        catalogue=catalogue,
        choice=choice,
        assembly=assembly,
        states=states,
        checks=tuple(fit_checks(catalogue, choice, assembly)),
        price=price_sheet(catalogue, choice, assembly),
    )
