"""The build summed up: whether it goes together, what it weighs, what it costs."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.builds.evaluation import BuildResult
from webapp.builds.fitting.calculations.loads import BikeMass
from webapp.builds.page.check_view import CheckLists
from webapp.common.text.language import tr, trn
from webapp.common.text.reader import said_bike_mass


@dataclass(frozen=True, kw_only=True)
class Verdict:
    """Whether a build can be ordered: an outcome, the same in words, and where the reasons are."""

    outcome: str
    words: str
    address: str = ""


NOT_COMPUTED = Verdict(outcome="no", words=tr("Cannot be built"), address="#errors")


def verdict_of(result: BuildResult | None, checks: CheckLists) -> Verdict:
    """The verdict on a build.

    Parameters
    ----------
    result : BuildResult or None
        None when the parts cannot stand together.
    checks : CheckLists
        Of the same build.

    Returns
    -------
    Verdict
    """
    if result is None:
        return NOT_COMPUTED
    failed = sum(line.outcome == "no" for line in checks.failing)
    if failed:
        words = trn("{count} thing does not fit", "{count} things do not fit", failed)
        return Verdict(outcome="no", words=words, address="#h-failing")
    if result.price.unpriced:
        return Verdict(outcome="unknown", words=tr("No price yet"), address="#h-price")
    if not result.can_be_ordered:
        return Verdict(outcome="no", words=tr("No longer offered"))
    if checks.failing:
        words = trn("Fits, {count} tight", "Fits, {count} tight", len(checks.failing))
        return Verdict(outcome="tight", words=words, address="#h-failing")
    return Verdict(outcome="clear", words=tr("Fits together"), address="#passing")


def weight_of(mass: BikeMass) -> str:
    """Mass of what is sold, printed; empty while it is not known of every part."""
    return "" if mass.missing else said_bike_mass(mass.total)


def weight_note(mass: BikeMass) -> str:
    """What the weight is made of, or why none is given."""
    if mass.missing:
        return tr("Weight not known: the mass of {join}.", join=", ".join(mass.missing))
    return tr("By the listed masses of its parts.")
