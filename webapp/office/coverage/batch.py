"""How many of each size to make, with the reasons: coverage, the shop's quotes, its sales."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from sqlmodel import Session, col, func, select

from geometry.population import (
    BatchCosts,
    BatchSplit,
    Served,
    SplitSize,
    belief_in_shares,
    split_batch,
)
from webapp.common.text.language import tr
from webapp.common.text.units import number
from webapp.office.coverage.typed import Batch
from webapp.quote.states import ORDERS, State
from webapp.quote.tables import Quote

_SOLD = frozenset(ORDERS) - {State.CANCELLED}


@dataclass(frozen=True, kw_only=True)
class Seen:
    """What the shop has seen of one size: quotes without a sale so far, and sales."""

    quotes: int
    sales: int


@dataclass(frozen=True, kw_only=True)
class SplitRow:
    """One size of the split; shares in 100."""

    size: str
    frames: int
    share: str
    coverage: str
    quotes: int
    sales: int
    unsold: str
    turned_away: str
    reason: str


@dataclass(frozen=True, kw_only=True)
class SplitWords:
    """A batch split, in words and rows."""

    verdict: str
    spread: str
    costs: str
    rows: tuple[SplitRow, ...]


def seen_of(session: Session, model: str) -> dict[str, Seen]:
    """Quotes and sales of a model by the name of their size.

    Parameters
    ----------
    session : Session
    model : str
        The model's name, as quotes have it.

    Returns
    -------
    dict of str to Seen
    """
    counted = (
        select(Quote.size, Quote.state, func.count())
        .where(Quote.model == model)
        .group_by(col(Quote.size), col(Quote.state))
    )
    quotes: Counter[str] = Counter()
    sales: Counter[str] = Counter()
    for size, state, count in session.exec(counted).all():
        (sales if state in _SOLD else quotes)[size] += count
    return {size: Seen(quotes=quotes[size], sales=sales[size]) for size in {*quotes, *sales}}


def split_words(served: Served, seen: dict[str, Seen], batch: Batch, currency: str) -> SplitWords:
    """Split a batch, and say why.

    Parameters
    ----------
    served : Served
        Whom the sizes serve.
    seen : dict of str to Seen
    batch : Batch
    currency : str
        Of the costs, ISO 4217.

    Returns
    -------
    SplitWords
    """
    none = Seen(quotes=0, sales=0)
    known = {size: seen.get(size, none) for size in served.sizes}
    prior = dict(zip(served.sizes, served.chosen[:-1].tolist(), strict=True))
    counted = {s: each.sales + batch.quote_counts * each.quotes for s, each in known.items()}
    shares = belief_in_shares(prior, counted, counts_as=batch.counts_as)
    costs = BatchCosts(unsold=batch.unsold, turned_away=batch.turned_away)
    found = split_batch(shares, frames=batch.frames, expected=batch.expected, costs=costs)
    whole = sum(prior.values())
    return SplitWords(
        verdict=_verdict(found, batch),
        spread=_spread(found),
        costs=_costs(found, batch, currency),
        rows=tuple(_row(each, known[each.size], prior[each.size] / whole) for each in found.sizes),
    )


def _verdict(found: BatchSplit, batch: Batch) -> str:
    listed = ", ".join(
        tr("{frames} {size}", frames=each.frames, size=each.size) for each in found.sizes
    )
    return tr(
        "{frames} frames: {listed}. Where {expected:g} riders are expected, {unsold:.1f} frames "
        "stay unsold and {turned:.1f} riders are turned away, on average.",
        frames=batch.frames,
        listed=listed,
        expected=batch.expected,
        unsold=found.unsold,
        turned=found.turned_away,
    )


def _spread(found: BatchSplit) -> str:
    low, high = found.unsold_range
    few, many = found.turned_away_range
    return tr(
        "In 80 of 100 cases {low:.0f} to {high:.0f} stay unsold and {few:.0f} to {many:.0f} are "
        "turned away: how many riders come and what they ask for both vary by chance.",
        low=low,
        high=high,
        few=few,
        many=many,
    )


def _costs(found: BatchSplit, batch: Batch, currency: str) -> str:
    ratio = batch.turned_away / (batch.unsold + batch.turned_away)
    return tr(
        "Unsold frames and riders turned away cost {cost:.0f} {currency} on average. One more "
        "frame pays if it is asked for in more than {least:.0f} of 100 cases, so with these "
        "costs {cheapest} frames would be the cheapest number. The costs matter for that number "
        "only: a fixed number is split the same way whatever they are.",
        cost=found.cost,
        currency=currency,
        least=100.0 * (1.0 - ratio),
        cheapest=found.cheapest,
    )


def _row(found: SplitSize, seen: Seen, prior: float) -> SplitRow:
    return SplitRow(
        size=found.size,
        frames=found.frames,
        share=tr(
            "{share:.0f} ({low:.0f} to {high:.0f})",
            share=100.0 * found.share,
            low=100.0 * found.share_low,
            high=100.0 * found.share_high,
        ),
        coverage=f"{100.0 * prior:.0f}",
        quotes=seen.quotes,
        sales=seen.sales,
        unsold=number(found.unsold),
        turned_away=number(found.turned_away),
        reason=_reason(found),
    )


def _reason(found: SplitSize) -> str:
    if found.frames == 0:
        return tr(
            "A first one would be asked for in {next_sells:.0f} of 100 cases, less than the last "
            "of every other size.",
            next_sells=100.0 * found.next_sells,
        )
    return tr(
        "The last of them is asked for in {last:.0f} of 100 cases; one more would be in "
        "{more:.0f}.",
        last=100.0 * found.last_sells,
        more=100.0 * found.next_sells,
    )
