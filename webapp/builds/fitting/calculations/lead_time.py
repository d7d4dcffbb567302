"""How long a build takes from its deposit: the shop's lead time and what the finish adds."""

from __future__ import annotations

from webapp.builds.fitting.calculations.setup import Setup
from webapp.catalogue.schema.part_kinds import FinishData
from webapp.common.text.language import tr


def extra_weeks(setup: Setup) -> float:
    """What the finish adds to the shop's lead time [weeks]."""
    finish = setup.data("finish", FinishData)
    return finish.extra_weeks if finish else 0.0


def lead_weeks(setup: Setup) -> float:
    """The shop's lead time with what the finish adds [weeks]."""
    return setup.catalogue.settings.lead_time_weeks + extra_weeks(setup)


def weeks_in_words(weeks: float) -> str:
    """A lead time as it is printed.

    Examples
    --------
    >>> weeks_in_words(14.0)
    '14 weeks'
    """
    return tr("{lead_time_weeks:g} weeks", lead_time_weeks=weeks)
