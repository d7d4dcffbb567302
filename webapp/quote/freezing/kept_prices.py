"""Keeps the frozen prices of unchanged lines when a quote is changed.

A line keeps its price while the quote is valid and the line is the same: the same
part in the same place, the same frame in the same size, the same work or package.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from urllib.parse import parse_qs

from webapp.builds.choice.build_choice import query_of
from webapp.builds.choice.places import PLACE_OF
from webapp.builds.evaluation import BuildResult
from webapp.builds.pricing import summed
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.quote.freezing.content import PriceBasis, QuoteContent
from webapp.quote.freezing.pricing import basis_of

FRAME, RULE = "frame", "rule-"
Known = tuple[str, ...]


def with_kept_prices(result: BuildResult, before: QuoteContent, *, on: date) -> BuildResult:
    """A changed build at the prices of the version it is changed from.

    Parameters
    ----------
    result : BuildResult
        At the prices of the day.
    before : QuoteContent
        The version that is changed.
    on : date
        Day of the change.

    Returns
    -------
    BuildResult
        At the prices of the day where the version is valid no longer, or was
        priced in another currency or with tax otherwise in or out.
    """
    basis = basis_of(before)
    now = result.price
    alike = (basis.currency, basis.tax_included) == (now.gross.currency, now.tax.included)
    if on > before.valid_until or not alike:
        return result
    query = parse_qs(query_of(replace(result.choice, rider=None)))
    frozen = _frozen(before, basis)
    frame = (result.choice.model, str(result.choice.revision), result.choice.size)
    found = [frozen.get(_known(line.key, line.item, query, frame)) for line in now.lines]
    lines = tuple(
        line if minor is None else line._replace(amount=Money(minor, basis.currency))
        for line, minor in zip(now.lines, found, strict=True)
    )
    tax = replace(now.tax, name=basis.tax_name, percent=basis.tax_percent)
    kept = summed(
        lines,
        currency=basis.currency,
        tax=tax,
        deposit_percent=basis.deposit_percent,
        price_list=_list_words(basis.price_list, now.price_list if None in found else ""),
    )
    return replace(result, price=kept)


def _list_words(kept: str, fresh: str) -> str:
    """The price list named on the quote, or both where lines are of two.

    >>> _list_words("2026", "2027"), _list_words("2026", ""), _list_words("2026", "2026")
    ('2026, what has changed from 2027', '2026', '2026')
    """
    return (
        tr("{kept}, what has changed from {fresh}", kept=kept, fresh=fresh)
        if fresh not in kept
        else kept
    )


def _frozen(before: QuoteContent, basis: PriceBasis) -> dict[Known, int]:
    """Frozen prices by the identity of their lines."""
    build = before.build
    query = parse_qs(build.query)
    frame = (build.model_slug, str(build.revision), build.size_slug)
    return {_known(line.key, line.item, query, frame): line.minor for line in basis.lines}


def _known(key: str, item: str, query: Mapping[str, list[str]], frame: Known) -> Known:
    """The identity of a line: lines with the same identity cost the same."""
    if key == FRAME:
        return (key, *frame)
    if key.startswith(RULE):  # numbered by the list of the day; known by its name
        return (RULE, item)
    if key not in PLACE_OF:
        return (key,)
    own = ("own",) if key in query.get("own", ()) else ()
    return (key, *query.get(key, ()), *own)
