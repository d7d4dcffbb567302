"""The bar at the foot of a quote's page: its checks and its total, always in view."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.builds.page.verdict import Verdict
from webapp.common.text.language import tr, trn
from webapp.quote.storage.read import QuoteView


@dataclass(frozen=True, kw_only=True)
class QuoteBar:
    """What a version comes to, in a line."""

    verdict: Verdict
    total: str


def quote_bar(view: QuoteView) -> QuoteBar:
    """The bar of one version.

    Parameters
    ----------
    view : QuoteView

    Returns
    -------
    QuoteBar
    """
    price = view.content.price
    total = tr(
        "Version {version}: {total}, deposit {deposit}",
        version=view.version,
        total=price.gross.printed,
        deposit=price.deposit.printed,
    )
    return QuoteBar(verdict=_verdict(view), total=total)


def _verdict(view: QuoteView) -> Verdict:
    if failed := len(view.outcomes("no")):
        words = trn("{count} thing does not fit", "{count} things do not fit", failed)
        return Verdict(outcome="no", words=words, address="#h-checks")
    if tight := len(view.outcomes("tight")):
        words = trn("Fits, {count} tight", "Fits, {count} tight", tight)
        return Verdict(outcome="tight", words=words, address="#h-checks")
    return Verdict(outcome="clear", words=tr("Fits together"), address="#h-checks")
