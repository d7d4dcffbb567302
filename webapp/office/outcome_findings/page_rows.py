"""The findings from outcomes, as rows and sentences of the office's page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from geometry.population import ForecastBin
from webapp.builds.rider.posture_rows import POSTURE_NAMES
from webapp.catalogue.reading.views import Catalogue
from webapp.common.text.dates import day_in_words
from webapp.common.text.language import tr, trn
from webapp.common.text.sentences import capitalized
from webapp.common.text.units import number
from webapp.outcomes.findings import Findings, Number, Surprise

LENGTH_WORDS: Mapping[int, str] = {-1: tr("too short"), 0: tr("right"), 1: tr("too long")}

LINE_WORDS: Mapping[str, tuple[str, str]] = {
    "offset": (tr("Longer than the size chart, for everybody"), "mm"),
    "slope": (tr("The same for each size away from the middle"), "mm"),
    "share": (tr("Trust in posture"), ""),
}


@dataclass(frozen=True, kw_only=True)
class ForecastRow:
    """Forecasts of nearly the same probability beside what happened; shares in 100."""

    band: str
    count: int
    foretold: str
    happened: str
    words: str


@dataclass(frozen=True, kw_only=True)
class VerdictRow:
    """One verdict: how many were forecast and how many happened."""

    said: str
    foretold: str
    happened: int


@dataclass(frozen=True, kw_only=True)
class NumberRow:
    """One number: its present value, what was learnt with its doubt, and what that says."""

    name: str
    unit: str
    present: str
    learnt: str
    spread: str
    words: str


@dataclass(frozen=True, kw_only=True)
class SurpriseRow:
    """An outcome that contradicts the others."""

    words: str
    address: str


def forecast_rows(found: Findings) -> tuple[ForecastRow, ...]:
    """Chance of the size named first beside how often it was bought."""
    return tuple(_foretold(each) for each in found.sizes)


def _foretold(each: ForecastBin) -> ForecastRow:
    low, high = 100.0 * each.likely_low, 100.0 * each.likely_high
    if each.agrees:
        words = tr("agrees: {low:.0f} to {high:.0f} are likely", low=low, high=high)
    else:
        words = tr("does not agree: {low:.0f} to {high:.0f} are likely", low=low, high=high)
    return ForecastRow(
        band=tr("{low:.0f} to {high:.0f}", low=100.0 * each.low, high=100.0 * each.high),
        count=each.count,
        foretold=f"{100.0 * each.foretold:.0f}",
        happened=tr(
            "{share:.0f} ({happened} of {count})",
            share=100.0 * each.happened / each.count,
            happened=each.happened,
            count=each.count,
        ),
        words=words,
    )


def verdict_rows(found: Findings) -> tuple[VerdictRow, ...]:
    """Verdicts foretold beside those that came."""
    return tuple(
        VerdictRow(
            said=capitalized(LENGTH_WORDS[each.said]),
            foretold=number(each.foretold),
            happened=each.happened,
        )
        for each in found.verdicts
    )


def line_rows(found: Findings) -> tuple[NumberRow, ...]:
    """The line's numbers: chart and trust in posture."""
    return tuple(
        _number(each, *LINE_WORDS[each.name], places=2 if each.name == "share" else 1)
        for each in found.line
    )


def window_rows(windows: tuple[Number, ...]) -> tuple[NumberRow, ...]:
    """Middles of windows."""
    return tuple(_number(each, *POSTURE_NAMES[each.name], places=1) for each in windows)


def _number(each: Number, name: str, unit: str, *, places: int) -> NumberRow:
    if each.says_something:
        words = tr("changed by more than twice its uncertainty")
    else:
        words = tr("nothing to change: within twice its uncertainty")
    return NumberRow(
        name=name,
        unit=unit,
        present=number(each.present, places),
        learnt=number(each.learnt, places),
        spread=number(each.spread, places),
        words=words,
    )


def surprise_rows(catalogue: Catalogue, found: Findings) -> tuple[SurpriseRow, ...]:
    """Outcomes that contradict the others, the most surprising first."""
    names = {size.slug: size.name for size in catalogue.sizes}
    return tuple(_surprise(each, names) for each in found.surprises)


def _surprise(each: Surprise, names: Mapping[str, str]) -> SurpriseRow:
    kept = each.kept
    day, said = day_in_words(kept.recorded_on), LENGTH_WORDS[kept.length]
    size = names.get(kept.judged_size, kept.judged_size)
    if kept.invented:
        words = tr(
            "{day}, invented: {size} called {said}; by all other outcomes {chance:.0f} of 100 "
            "such riders would say so.",
            day=day,
            size=size,
            said=said,
            chance=100.0 * each.chance,
        )
        return SurpriseRow(words=words, address="")
    words = tr(
        "{day}, quote {number}: {size} called {said}; by all other outcomes {chance:.0f} of 100 "
        "such riders would say so.",
        day=day,
        number=kept.quote_number,
        size=size,
        said=said,
        chance=100.0 * each.chance,
    )
    which = f"bike={kept.bike}&moment={kept.moment}"
    address = f"/counter/quotes/{kept.quote_number}/outcome?{which}"
    return SurpriseRow(words=words, address=address)


def lead(found: Findings) -> str:
    """How many outcomes there are, in one sentence."""
    if not found.count:
        return tr(
            "No outcome is recorded yet. After a test ride or a sale, record one on the quote at "
            "the counter."
        )
    return trn(
        "{count} outcome, {with_body} with measurements the rider agreed to share: only these "
        "are used.",
        "{count} outcomes, {with_body} with measurements the riders agreed to share: only these "
        "are used.",
        found.count,
        with_body=found.with_body,
    )


def too_few(missing: int) -> str:
    """How many more outcomes are needed; empty where there are enough."""
    if not missing:
        return ""
    return trn(
        "{count} more outcome with measurements is needed before anything is offered.",
        "{count} more outcomes with measurements are needed before anything is offered.",
        missing,
    )
