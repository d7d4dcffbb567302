"""Open quotes that a new revision affects: what their builds would be on it.

A quote keeps the revision it was made from. It counts as affected where a customer who asks
again, or a colleague who opens the build anew, would get other figures.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from urllib.parse import parse_qs

from sqlmodel import Session, col, select

from webapp.builds.choice.build_choice import read_choice
from webapp.builds.evaluation import BuildResult, compute
from webapp.catalogue.lookup import row_id
from webapp.catalogue.reading.prices import EVERYBODY, Buyer
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import DomainError
from webapp.common.text.language import tr
from webapp.common.text.sentences import sentence
from webapp.common.text.units import signed_number
from webapp.office.effect.summary import FIGURES
from webapp.pricing.totals import signed_money
from webapp.quote.freezing.content import QuoteContent
from webapp.quote.states import State, on_day
from webapp.quote.storage.people import buyer_of_quote
from webapp.quote.tables import Quote, QuoteVersion

MOST = 60
"""Quotes whose builds are computed anew; the newest ones."""

_OPEN = (State.DRAFT, State.SENT)

_TOLD = tuple(key for key in FIGURES if key in {"head_angle", "reach", "standover"})


@dataclass(frozen=True, kw_only=True)
class TouchedQuote:
    """One open quote, and what its build would be on the new revision.

    Parameters
    ----------
    number, customer, state, size, revision
        Of the quote as it stands.
    changes : tuple of str
        Head angle, reach and standover, printed with their signs; empty when
        it cannot be built on the new revision.
    price : str
        What its list price changes by; empty for nothing.
    words : str
        Why it cannot be built there; empty when it can.
    """

    number: str
    customer: str
    state: str
    size: str
    revision: int
    changes: tuple[str, ...]
    price: str
    words: str

    @property
    def price_shown(self) -> str:
        """The change of its list price, printed."""
        return self.price or tr("same")

    @property
    def verdict(self) -> str:
        """The result of building it anew, in words."""
        return self.words or tr("can be ordered")

    @property
    def is_touched(self) -> bool:
        """Whether anything of it changes."""
        return bool(self.price or self.words) or any(c.strip("+−0.") for c in self.changes)


def touched_quotes(
    session: Session,
    before: Catalogue,
    after: Catalogue,
    *,
    today: date,
    priced_for: Callable[[Buyer], tuple[Catalogue, Catalogue]] | None = None,
) -> tuple[TouchedQuote, ...]:
    """Open quotes of a model, newest first.

    Parameters
    ----------
    session : Session
        A reading session.
    before, after : Catalogue
        The published revision, and the one that would take its place.
    today : date
        Quotes that have expired by then are not open.
    priced_for : callable, optional
        The same two with the prices of a buyer, for quotes of dealers and of other regions.

    Returns
    -------
    tuple of TouchedQuote
        At most `MOST`.
    """
    query = (
        select(Quote, QuoteVersion)
        .join(QuoteVersion, col(QuoteVersion.quote_id) == col(Quote.id))
        .where(col(Quote.state).in_(_OPEN), QuoteVersion.model == after.model.slug)
        .where(col(QuoteVersion.number) == col(Quote.current_version))
        .order_by(col(Quote.id).desc())
        .limit(MOST)
    )
    found = []
    for quote, version in session.exec(query).all():
        content = QuoteContent.model_validate(version.content)
        if on_day(quote.state, content.valid_until, today) in _OPEN and row_id(quote):
            buyer = buyer_of_quote(session, quote)
            other = priced_for is not None and buyer != EVERYBODY
            pair = priced_for(buyer) if priced_for and other else (before, after)
            found.append(_touched(quote, content, *pair))
    return tuple(found)


def _touched(
    quote: Quote, content: QuoteContent, before: Catalogue, after: Catalogue
) -> TouchedQuote:
    changes, price, words = _on_the_new(content, before, after)
    return TouchedQuote(
        number=quote.number,
        customer=quote.customer_name,
        state=quote.state,
        size=content.build.size,
        revision=content.build.revision,
        changes=changes,
        price=price,
        words=words,
    )


def _on_the_new(
    content: QuoteContent, before: Catalogue, after: Catalogue
) -> tuple[tuple[str, ...], str, str]:
    query = parse_qs(content.build.query, keep_blank_values=True)
    if content.build.size_slug not in {size.slug for size in after.sizes}:
        return (), "", tr("there is no size {size}", size=content.build.size)
    try:
        was, now = (_computed(one, query) for one in (before, after))
    except DomainError as error:
        return (), "", str(error.remedy)
    gone = _no_longer_offered(was, now)
    if gone:
        return _changes(was, now), _price(was, now), gone
    stopped = sentence(now.failed[0].reason) if now.failed and not was.failed else ""
    return _changes(was, now), _price(was, now), stopped


def _no_longer_offered(was: BuildResult, now: BuildResult) -> str:
    """A part of the build that was offered and is not any more, in words."""
    for place, part in now.assembly.parts.items():
        before = was.assembly.parts.get(place)
        if part.retired and before is not None and not before.retired:
            return tr("{part} is no longer offered", part=part.name)
    return ""


def _price(was: BuildResult, now: BuildResult) -> str:
    one, other = was.price.gross, now.price.gross
    if one.currency != other.currency or one == other:
        return ""
    return signed_money(other - one)


def _computed(catalogue: Catalogue, query: dict[str, list[str]]) -> BuildResult:
    own = {name: values for name, values in query.items() if name != "rev"}
    return compute(catalogue, read_choice(catalogue, own).choice)


def _changes(was: BuildResult, now: BuildResult) -> tuple[str, ...]:
    one, other = was.states["unloaded"].figures, now.states["unloaded"].figures
    return tuple(signed_number(other[key] - one[key], 2 if "angle" in key else 1) for key in _TOLD)
