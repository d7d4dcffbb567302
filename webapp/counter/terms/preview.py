"""What a version under other terms would come to, before it is made."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.builds.page.context import PrintedLine
from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.counter.terms.field_labels import labelled
from webapp.quote.lifecycle.version_differences import compare_versions
from webapp.quote.printing.sheet import printed_totals
from webapp.quote.storage.read import QuoteView


@dataclass(frozen=True, kw_only=True)
class TermsPreview:
    """The sums as they would be and what would differ; or ``troubles``, why it cannot be."""

    total: str
    totals: tuple[PrintedLine, ...]
    sentences: tuple[str, ...]
    troubles: tuple[str, ...] = ()


def terms_preview(view: QuoteView, proposed: QuoteView) -> TermsPreview:
    """The preview of a version.

    Parameters
    ----------
    view : QuoteView
        The version that is there.
    proposed : QuoteView
        The one that would be made of it.

    Returns
    -------
    TermsPreview
    """
    price = proposed.content.price
    return TermsPreview(
        total=tr(
            "Total {total}, deposit {deposit}",
            total=price.gross.printed,
            deposit=price.deposit.printed,
        ),
        totals=printed_totals(price),
        sentences=compare_versions(view, proposed).sentences,
    )


def terms_refused(error: Invalid) -> TermsPreview:
    """Why no version can be made of the form's texts."""
    troubles = tuple(labelled(problem) for problem in error.problems)
    return TermsPreview(total=tr("Cannot be computed"), totals=(), sentences=(), troubles=troubles)
