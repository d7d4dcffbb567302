"""Checks of a build as they are printed, each with the builds that would make it clear."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from webapp.builds.choice.build_choice import address_of
from webapp.builds.evaluation import BuildResult
from webapp.builds.fitting.checks import is_of_a_rule, label_of
from webapp.builds.fitting.sentences import WordedCheck
from webapp.builds.suggestions.check_remedies import Remedy, remedies_of
from webapp.builds.suggestions.work import Work
from webapp.common.text.sentences import ended, sentence
from webapp.common.text.units import number, with_unit

_FINE = frozenset({"", "%"})  # units of ratios and shares, which need two decimals
_WORST_FIRST = ("no", "tight")


@dataclass(frozen=True, kw_only=True)
class RemedyLink:
    """One change that would help: what it is, and the address of the build with it."""

    words: str
    address: str


@dataclass(frozen=True, kw_only=True)
class CheckLine:
    """One check, printed; its numbers in ``unit`` too, None where nothing is printed."""

    key: str
    outcome: str
    name: str
    figure: str
    limit: str
    margin: str
    reason: str
    remedy: str
    source: str
    unit: str
    figure_number: float | None
    limit_number: float | None
    margin_number: float | None
    ways: tuple[RemedyLink, ...] = ()

    @property
    def other_ways(self) -> tuple[RemedyLink, ...]:
        """What would help too, beside the least change."""
        return self.ways[1:]


@dataclass(frozen=True, kw_only=True)
class CheckLists:
    """The checks of a build by outcome.

    Parameters
    ----------
    failing : tuple of CheckLine
        Those that say no, then those that are tight.
    open : tuple of CheckLine
        Those that cannot be answered yet.
    passing : tuple of CheckLine
    """

    failing: tuple[CheckLine, ...] = ()
    open: tuple[CheckLine, ...] = ()
    passing: tuple[CheckLine, ...] = ()

    @property
    def others(self) -> tuple[CheckLine, ...]:
        """Those that neither fail nor are tight."""
        return (*self.open, *self.passing)

    def moved(self, link: Callable[[str], str]) -> CheckLists:
        """The same lists with every address put through ``link``."""
        return CheckLists(
            failing=_moved(self.failing, link),
            open=_moved(self.open, link),
            passing=self.passing,
        )


def _moved(lines: Iterable[CheckLine], link: Callable[[str], str]) -> tuple[CheckLine, ...]:
    return tuple(
        replace(
            line,
            ways=tuple(RemedyLink(words=way.words, address=link(way.address)) for way in line.ways),
        )
        for line in lines
    )


def check_lists(result: BuildResult, work: Work | None = None) -> CheckLists:
    """The checks of a build, printed, with what would make each clear.

    Parameters
    ----------
    result : BuildResult
    work : Work, optional
        How much may be computed; what is done is counted there.

    Returns
    -------
    CheckLists
    """
    remedies = remedies_of(result, work)
    by_outcome: dict[str | None, list[CheckLine]] = {}
    for check in result.checks:
        found = remedies.get(check.code, ())
        line = check_line(check, found) if found else _line(result, check)
        by_outcome.setdefault(check.outcome, []).append(line)
    return CheckLists(
        failing=tuple(line for outcome in _WORST_FIRST for line in by_outcome.get(outcome, ())),
        open=tuple(by_outcome.get(None, ())),
        passing=tuple(by_outcome.get("clear", ())),
    )


def _line(result: BuildResult, check: WordedCheck) -> CheckLine:
    """One check without remedies; those of a rule between two parts recur, and tell of nobody."""
    if not is_of_a_rule(check.code):
        return check_line(check)
    return result.catalogue.memory.of_very("line of a check", (check,), lambda: check_line(check))


def check_line(check: WordedCheck, remedies: Sequence[Remedy] = ()) -> CheckLine:
    """One check, printed.

    Parameters
    ----------
    check : WordedCheck
    remedies : sequence of Remedy
        Builds in which it is clear.

    Returns
    -------
    CheckLine
    """
    label = label_of(check.code)
    return CheckLine(
        key=key_of(check.code),
        outcome=check.outcome or "unknown",
        name=label[0].upper() + label[1:],
        figure=_shown(check.figure, check.unit),
        limit=_shown(check.limit, check.unit),
        margin=_shown(check.margin, check.unit),
        reason=sentence(check.reason),
        remedy=ended(check.remedy),
        source=check.source,
        unit=check.unit,
        figure_number=_finite(check.figure),
        limit_number=_finite(check.limit),
        margin_number=_finite(check.margin),
        ways=tuple(
            RemedyLink(
                words=each.words[0].upper() + each.words[1:], address=address_of(each.choice)
            )
            for each in remedies
        ),
    )


def key_of(code: str) -> str:
    """A check's code as pages name it.

    >>> key_of("tyre.rim.front")
    'tyre-rim-front'
    """
    return code.replace(".", "-")


def with_ways(lists: CheckLists, key: str, ways: Iterable[RemedyLink]) -> CheckLists:
    """The same lists, with repairs added to one failing line that has no remedies of its own."""
    found = tuple(ways)
    failing = tuple(
        replace(line, ways=found) if line.key == key and not line.ways else line
        for line in lists.failing
    )
    return replace(lists, failing=failing)


def _finite(value: float | None) -> float | None:
    """A number that JSON can hold; None for what is not known or has no end."""
    return float(value) if value is not None and math.isfinite(value) else None


def _shown(value: float | None, unit: str) -> str:
    """A figure with its unit; nothing for what is not known or has no end."""
    if value is None or not math.isfinite(value):
        return ""
    places = 0 if value == round(value) else 2 if unit in _FINE else 1
    return with_unit(number(value, places), unit)
