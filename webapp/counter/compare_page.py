"""Two versions of one quote beside each other, in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from webapp.accounts.people import Person
from webapp.common.text.dates import day_in_words
from webapp.common.text.language import tr
from webapp.common.timestamps import day_of
from webapp.counter.lists import address_of
from webapp.quote.lifecycle.version_differences import FigureChange, compare_versions
from webapp.quote.storage.read import QuoteView


@dataclass(frozen=True, kw_only=True)
class ComparePage:
    """What differs between two versions, and links to compare others."""

    person: Person
    number: str
    address: str
    before: str
    after: str
    sentences: tuple[str, ...]
    figures: tuple[FigureChange, ...]
    others: tuple[tuple[str, str], ...]


def compare_page(
    person: Person, before: QuoteView, after: QuoteView, *, versions: Sequence[int]
) -> ComparePage:
    """The page of two versions compared.

    Parameters
    ----------
    person : Person
    before, after : QuoteView
        In the order asked for.
    versions : sequence of int
        All that there are.

    Returns
    -------
    ComparePage
    """
    found = compare_versions(before, after)
    address = address_of(after.number)
    return ComparePage(
        person=person,
        number=after.number,
        address=address,
        before=_named(before),
        after=_named(after),
        sentences=found.sentences,
        figures=found.figures,
        others=tuple(
            (
                tr("{count} with {version}", count=n, version=after.version),
                f"{address}/compare?a={n}&b={after.version}",
            )
            for n in versions
            if n not in (before.version, after.version)
        ),
    )


def _named(view: QuoteView) -> str:
    made = day_in_words(day_of(view.created_at))
    return tr(
        "version {label}, of {made}, {created_by}",
        label=view.standing.label,
        made=made,
        created_by=view.created_by,
    )
