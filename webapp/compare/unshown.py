"""The builds of an address that are not shown: those that wait, and those that cannot be."""

from __future__ import annotations

from collections.abc import Sequence

from webapp.builds.choice.field_words import problem_words
from webapp.common.text.language import tr
from webapp.compare.address import compare_address
from webapp.compare.load_builds import Comparison, Refused
from webapp.compare.page_values import RefusedField, WaitingBuild


def waiting_builds(comparison: Comparison) -> tuple[WaitingBuild, ...]:
    """Those for which the bike ridden now leaves no place."""
    texts, first = list(comparison.texts), len(comparison.entries)
    return tuple(
        WaitingBuild(
            sentence=tr(
                "{name} waits: the bike you ride now has the fourth place. Remove one of those "
                "shown, and it comes in.",
                name=each.compared.name,
            ),
            remove_address=compare_address(texts[:at] + texts[at + 1 :], comparison.view),
        )
        for at, each in enumerate(comparison.waiting, start=first)
    )


def refused_fields(comparison: Comparison) -> tuple[RefusedField, ...]:
    """Those that cannot be shown, each with why, in its field."""
    texts, first = list(comparison.texts), len(comparison.entries) + len(comparison.waiting)
    return tuple(
        RefusedField(
            name=f"build-{at}",
            text=refused.text,
            error=_problem_words(refused),
            remove_address=compare_address(texts[:at] + texts[at + 1 :], comparison.view),
            open_address=refused.page_address,
        )
        for at, refused in enumerate(comparison.refused, start=first)
    )


def _problem_words(refused: Refused) -> str:
    """Why a build cannot be shown; the field below holds the whole text."""
    said = [
        problem.remedy if problem.field == "build" else problem_words(problem)
        for problem in refused.problems
    ]
    return "; ".join(said)


def errors_of(
    comparison: Comparison, refused: Sequence[RefusedField]
) -> tuple[tuple[str, str], ...]:
    """Fields of the page with what is wrong there."""
    outside = [
        (problem.field if problem.field in {"align", "state"} else "build", problem_words(problem))
        for problem in comparison.problems
    ]
    return (*outside, *((field.name, field.error) for field in refused))
