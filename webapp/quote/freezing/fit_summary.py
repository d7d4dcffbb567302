"""A rider's fit in a few sentences, as a quote's sheet carries it."""

from __future__ import annotations

from collections.abc import Iterable

from webapp.builds.choice.build_choice import BuildChoice
from webapp.catalogue.reading.views import Catalogue
from webapp.common.text.language import tr
from webapp.common.text.sentences import sentence
from webapp.fit.advice import fit
from webapp.fit.answer import FitAnswer
from webapp.fit.words.advice_text import fits_words, headline, which
from webapp.quote.frozen_check import FrozenCheck
from webapp.rider.summary import rider_summary


def fit_words(
    catalogue: Catalogue, choice: BuildChoice, checks: Iterable[FrozenCheck]
) -> tuple[str, ...]:
    """The fit of a build's rider in sentences, for the size that is quoted.

    Parameters
    ----------
    catalogue : Catalogue
    choice : BuildChoice
    checks : iterable of FrozenCheck
        What the builder permits, held against a weight that was told.

    Returns
    -------
    tuple of str
        Empty where no rider is known; without height and inseam only what the weight says.
    """
    if choice.rider is None:
        return ()
    carried = tuple(sentence(check.reason) for check in checks if check.outcome != "unknown")
    if not choice.rider.known:
        return (
            *carried,
            tr(
                "Reckoned from {measures}.",
                measures=rider_summary(choice.rider),
            ),
        )
    answer = fit(catalogue, choice.rider, choice)
    return (
        " ".join((headline(answer), *which(answer))),
        *_size_quoted(answer, choice.size),
        *carried,
        _reckoned_from(answer),
    )


def _size_quoted(answer: FitAnswer, slug: str) -> tuple[str, ...]:
    """What the answer holds of the size quoted, with the cockpit it is sold with."""
    found = next((size for size in answer.sizes if size.slug == slug), None)
    if found is None:
        return ()
    return (
        tr(
            "{name} is the size quoted. {fits_words}", name=found.name, fits_words=fits_words(found)
        ),
    )


def _reckoned_from(answer: FitAnswer) -> str:
    return tr(
        "Reckoned from {measures}; riding style {name}.",
        measures=rider_summary(answer.rider),
        name=answer.style.name,
    )
