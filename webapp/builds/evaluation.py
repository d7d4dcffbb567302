"""One build, computed: how it stands, whether it goes together, what it costs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from geometry.core import GeometryError
from webapp.builds.choice.build_choice import POSITION_OF, BuildChoice
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.checks import fit_checks
from webapp.builds.fitting.sentences import WordedCheck
from webapp.builds.pricing import PriceSheet, price_sheet
from webapp.builds.solving.figures import StateFigures, solve_states
from webapp.builds.solving.solver_inputs import Assembly
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import (
    Invalid,
    Problem,
)


@dataclass(frozen=True, kw_only=True)
class BuildResult:
    """Everything the service knows of one build.

    Parameters
    ----------
    setup : Setup
        What it was computed from: catalogue, choice and assembly.
    states : mapping of state name to StateFigures
    checks : tuple of WordedCheck
    price : PriceSheet
    """

    setup: Setup
    states: Mapping[str, StateFigures]
    checks: tuple[WordedCheck, ...]
    price: PriceSheet

    @property
    def catalogue(self) -> Catalogue:
        """The revision the build is of."""
        return self.setup.catalogue

    @property
    def choice(self) -> BuildChoice:
        """What was chosen."""
        return self.setup.choice

    @property
    def assembly(self) -> Assembly:
        """The chosen parts as the solver takes them."""
        return self.setup.assembly

    @property
    def failed(self) -> tuple[WordedCheck, ...]:
        """Checks that say no; with any of them the build cannot be ordered."""
        return tuple(check for check in self.checks if check.outcome == "no")

    @property
    def can_be_ordered(self) -> bool:
        """Nothing fails, all has a price, the revision is published and the model still made."""
        published = self.catalogue.revision.state == "published"
        made = published and not self.catalogue.model.retired
        return made and self.can_be_sold

    @property
    def can_be_sold(self) -> bool:
        """Nothing fails and all has a price, whether or not the revision is published yet."""
        return not self.failed and not self.price.unpriced

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
        setup = Setup.of(catalogue, choice)
        states = solve_states(setup.assembly, standover_at=catalogue.revision.data.standover_at)
    except GeometryError as error:
        raise Invalid.of([Problem.of(error)]) from error
    return BuildResult(
        setup=setup,
        states=states,
        checks=tuple(fit_checks(setup)),
        price=price_sheet(setup),
    )
