"""Changing a quote at the counter: a new version, or both changes shown to be merged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime

from sqlalchemy import Engine
from sqlmodel import Session

from webapp.builds.evaluation import BuildResult
from webapp.catalogue.reading.prices import EVERYBODY, Buyer
from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.schema.shop import ShopSettings
from webapp.common.errors import Conflict, Gathering
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.common.timestamps import day_of
from webapp.common.two_edits import Merged, merge
from webapp.counter.builds import BUILDS, bases_with, builds_of, computed_bikes, rider_of
from webapp.quote.agreed_terms.deal import OFF, Deal
from webapp.quote.agreed_terms.deal_form import read_deal
from webapp.quote.customer import Customer, with_riders
from webapp.quote.freezing.bikes import one_basis, together
from webapp.quote.freezing.content import PriceBasis, Pricing, QuoteContent
from webapp.quote.freezing.freeze_build import agreed, destination_of
from webapp.quote.freezing.kept_prices import with_kept_prices
from webapp.quote.freezing.pricing import basis_of, dealt_price, refuse_other_total
from webapp.quote.lifecycle.action_checks import Stale, done_before
from webapp.quote.lifecycle.new_versions import (
    add_version,
    content_of_terms,
    customer_of_terms,
    form_hash_of,
    terms_of,
)
from webapp.quote.lifecycle.permissions import read_again
from webapp.quote.lifecycle.request import with_rider
from webapp.quote.lifecycle.version_differences import compare_versions
from webapp.quote.quoted_rider import build_with_kept_rider
from webapp.quote.storage.people import buyer_of_quote
from webapp.quote.storage.read import QuoteView, quote_by_number, view_of


@dataclass(frozen=True, kw_only=True)
class Change:
    """A change that may be written: what the new version says, and for whom."""

    content: QuoteContent
    customer: Customer


class Collision(Conflict):
    """Somebody else has made a version meanwhile; carries both, merged as far as can be."""

    def __init__(self, base: QuoteView, theirs: QuoteView, mine: Mapping[str, str]) -> None:
        super().__init__(
            "version",
            theirs.version,
            tr(
                "{created_by} has made version {version}",
                created_by=theirs.created_by,
                version=theirs.version,
            ),
        )
        self.theirs = theirs
        self.merged: Merged = merge(fields_of_version(base), fields_of_version(theirs), mine)
        self.said = compare_versions(base, theirs).sentences


def fields_of_version(view: QuoteView) -> dict[str, str]:
    """Everything of a version that can be changed, as fields."""
    return builds_of(view) | terms_of(view)


def fields_to_change(view: QuoteView, *, on: date) -> dict[str, str]:
    """The same as a new version begins with: a last day that has passed is left empty."""
    fields = fields_of_version(view)
    until = view.content.deal.valid_until
    return fields | {"valid_until": ""} if until and until < on else fields


def proposed_version(
    session: Session, view: QuoteView, typed: Mapping[str, str], *, on: date
) -> QuoteView:
    """The version that would be made of what was typed, or the present one; nothing is written.

    Raises
    ------
    Invalid
        With every field that cannot be used.
    """
    mine = fields_to_change(view, on=on) | _known(typed, view)
    if _nothing_new(view, mine, on=on):
        return view
    buyer = buyer_of_quote(session, quote_by_number(session, view.number))
    change = prepare(session, view, mine, on=on, buyer=buyer)
    return replace(
        view,
        version=view.current_version + 1,
        content=change.content,
        customer=change.customer,
    )


def change_quote(
    engine: Engine,
    number: str,
    *,
    seen: int,
    typed: Mapping[str, str],
    who: str,
    at: datetime,
    form_key: str = "",
    prices_today: bool = False,
    total_shown: str = "",
) -> int:
    """Make a new version of a quote from what was typed.

    Parameters
    ----------
    engine : Engine
    number : str
        The quote's.
    seen : int
        The version the form was made from.
    typed : mapping of str to str
        Fields as `fields_of_version` names them; those left out stay as they were.
    who : str
    at : datetime
    form_key : str
    prices_today : bool
        Whether lines that stay are priced anew too.
    total_shown : str
        What the page said it comes to, as printed.

    Returns
    -------
    int
        The version that now holds the change; the present one if there was none. A
        version whose last day is over is made anew without any, to be valid again.

    Raises
    ------
    Invalid
        With every field that cannot be used.
    Collision
        When somebody else has made a version since ``seen``; nothing is written
        and nothing typed is lost.
    """
    form_hash = form_hash_of(form_key, "change", number)
    with reading(engine) as session:
        quote = quote_by_number(session, number)
        current = view_of(session, quote)
        if done_before(session, form_hash):
            return current.version
        base = current if seen == current.version else view_of(session, quote, seen)
        mine = fields_to_change(base, on=day_of(at)) | _known(typed, base)
        if base is not current:
            raise Collision(base, current, mine)
        if _nothing_new(base, mine, on=day_of(at)) and not prices_today:
            return current.version
        buyer = buyer_of_quote(session, quote)
        on = day_of(at)
        change = prepare(session, current, mine, on=on, prices_today=prices_today, buyer=buyer)
        refuse_other_total(change.content.price, total_shown)
    try:
        with writing(engine) as session:
            return add_version(
                session,
                quote_by_number(session, number, locked=True),
                change.content,
                change.customer,
                seen=seen,
                who=who,
                at=at,
                form_hash=form_hash,
            )
    except Stale:
        with reading(engine) as session:
            theirs = view_of(session, quote_by_number(session, number))
        raise Collision(base, theirs, mine) from None


def _nothing_new(view: QuoteView, mine: Mapping[str, str], *, on: date) -> bool:
    """Whether fields say what a version says, and it is still valid."""
    same = _filled(mine) == _filled(fields_of_version(view))
    return same and view.content.valid_until >= on


def _filled(fields: Mapping[str, str]) -> dict[str, str]:
    """Without empty fields, which mean the same as missing ones."""
    return {name: value for name, value in fields.items() if value}


def _known(typed: Mapping[str, str], base: QuoteView) -> dict[str, str]:
    """What was typed into fields there are; line ends as the database has them.

    A build that comes without its rider gets back the one whom the quote is for.
    """
    names = fields_of_version(base).keys()
    known = {
        name: value.replace("\r\n", "\n").strip()
        for name, value in typed.items()
        if name in names or name.startswith(OFF)
    }
    kept = builds_of(base).values()
    for bike, field in enumerate(BUILDS, start=1):
        if known.get(field) and known[field] not in kept:
            known[field] = build_with_kept_rider(known[field], rider_of(base, bike))
    return known


def prepare(
    session: Session,
    view: QuoteView,
    fields: Mapping[str, str],
    *,
    on: date,
    prices_today: bool = False,
    buyer: Buyer = EVERYBODY,
) -> Change:
    """What a version with these fields would say.

    The same build keeps its figures and list prices. Another is computed anew; what
    of it stays the same keeps its price while the quote is valid, unless everything is priced anew.

    Raises
    ------
    Invalid
        With every field that cannot be used.
    """
    gathering = Gathering()
    customer = gathering.take(lambda: customer_of_terms(view.customer, fields))
    shop = settings_data(session)
    if _same_builds(fields, view) and not prices_today:
        content = gathering.take(lambda: content_of_terms(view.content, fields, shop, on=on))
        gathering.finish()
        judged = _judged(session, view, customer or view.customer)
        return Change(content=content or view.content, customer=judged)
    known = customer or view.customer
    rebuilt = gathering.take(
        lambda: _rebuilt(
            session, view, fields, known, shop, on=on, prices_today=prices_today, buyer=buyer
        )
    )
    gathering.finish()
    return rebuilt or Change(content=view.content, customer=view.customer)


def _same_builds(fields: Mapping[str, str], view: QuoteView) -> bool:
    return all(fields.get(name, "") == build for name, build in builds_of(view).items())


def _judged(session: Session, view: QuoteView, customer: Customer) -> Customer:
    """The customer of the same builds; one of an older version is judged as one is today."""
    return with_riders(
        [
            _judged_one(session, bike, customer.riding(number))
            for number, bike in enumerate(view.bikes, start=1)
        ]
    )


def _judged_one(session: Session, view: QuoteView, customer: Customer) -> Customer:
    if customer.checks or not customer.rider:
        return customer
    catalogue, read = read_again(session, view)
    return with_rider(catalogue, read.choice, customer)


def priced_for_quote(
    session: Session,
    view: QuoteView,
    result: BuildResult,
    *,
    on: date,
    prices_today: bool,
    bike: int = 1,
) -> tuple[BuildResult, Pricing]:
    """A changed or added bike as the quote would price it, and what it all would come to.

    Raises
    ------
    Invalid
        For a part without a price, or terms that cannot be.
    """
    bikes = view.bikes
    kept = result
    if not prices_today and bike <= len(bikes):
        kept = with_kept_prices(result, bikes[bike - 1].content, on=on)
    bases = bases_with(session, view, kept, bike, prices_today=prices_today)
    basis = one_basis(bases)
    shop = settings_data(session)
    deal = _deal(fields_to_change(view, on=on), basis, shop, on=on)
    return kept, dealt_price(basis, deal, destination_of(shop, deal.destination))


def _deal(fields: Mapping[str, str], basis: PriceBasis, shop: ShopSettings, *, on: date) -> Deal:
    return read_deal(
        fields,
        currency=basis.currency,
        lines=tuple(line.key for line in basis.lines),
        places=shop.destinations,
        today=on,
    )


def _rebuilt(
    session: Session,
    view: QuoteView,
    fields: Mapping[str, str],
    customer: Customer,
    shop: ShopSettings,
    *,
    on: date,
    prices_today: bool,
    buyer: Buyer,
) -> Change:
    bikes, riding = computed_bikes(
        session, view, fields, customer, on=on, prices_today=prices_today, buyer=buyer
    )
    content = together(bikes)
    deal = _deal(fields, basis_of(content), shop, on=on)
    return Change(content=agreed(content, deal, shop, on=on), customer=with_riders(riding))


def copied(session: Session, view: QuoteView, *, on: date, buyer: Buyer) -> Change:
    """What a new quote of the same bikes under the same terms says, at the prices of a day.

    Raises
    ------
    Invalid
        For a build that cannot be made any more.
    """
    bikes, riding = computed_bikes(
        session,
        view,
        fields_of_version(view),
        view.customer,
        on=on,
        prices_today=True,
        buyer=buyer,
    )
    deal = view.content.deal.model_copy(update={"valid_until": None})
    content = agreed(together(bikes), deal, settings_data(session), on=on)
    return Change(content=content, customer=with_riders(riding))
