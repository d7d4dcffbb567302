"""A rider asks for a quote: refused with reasons, or frozen and numbered."""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import replace
from datetime import datetime

from sqlmodel import Session

from webapp.builds.choice.build_choice import BuildChoice, address_of
from webapp.builds.evaluation import BuildResult, compute
from webapp.builds.fitting.checks import places_of
from webapp.builds.fitting.sentences import WordedCheck
from webapp.builds.pricing import PriceSheet
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Gathering, Invalid
from webapp.common.security.tokens import new_key
from webapp.common.text.language import tr
from webapp.common.text.sentences import reason_and_remedy
from webapp.common.timestamps import day_of, now
from webapp.quote.customer import Customer
from webapp.quote.freezing.fit_summary import fit_words
from webapp.quote.freezing.freeze_build import freeze
from webapp.quote.freezing.pricing import refuse_other_total
from webapp.quote.lifecycle.permissions import personal_checks
from webapp.quote.storage.read import QuoteView, view_of
from webapp.quote.storage.write import put_quote, quote_asked_with
from webapp.rider.rider_input import UNKEPT, rider_pairs

_FORM_KEY = re.compile(r"[A-Za-z0-9_-]{16,64}")


def ask_for_quote(
    session: Session,
    catalogue: Catalogue,
    choice: BuildChoice,
    customer: Customer,
    *,
    form_key: str = "",
    total_shown: str = "",
    question: bool = False,
    at: datetime | None = None,
) -> QuoteView:
    """Make a quote of a build for a customer, once for each form.

    Parameters
    ----------
    session : Session
        A writing session.
    catalogue : Catalogue
        The revision the build is of.
    choice : BuildChoice
        The build.
    customer : Customer
        As read by `webapp.quote.customer.read_customer`.
    form_key : str
        Key of the form. Sent again with the same build and customer it gives the
        same quote; with anything changed it is another request.
    total_shown : str
        What the form's page said it comes to, as printed; the quote comes to the same.
    question : bool
        Whether the shop is asked about a build that fails checks. What it makes of it can
        be ordered only once they hold: a version that fails any is neither sent nor accepted.
    at : datetime, optional
        Moment of the quote in UTC; now when not given.

    Returns
    -------
    QuoteView
        The quote with its first version.

    Raises
    ------
    Invalid
        For a build that cannot be ordered: a check that says no, a revision that
        is not offered, a part without a price, or parts that cannot stand
        together. One problem for each.
    """
    moment = at or now()
    # Slow work comes first: from its first query on, the session keeps other writers out.
    asked = askable if question else orderable
    content = freeze(asked(catalogue, choice), on=day_of(moment))
    known = with_rider(catalogue, choice, customer)
    form_hash = hash_of_form(form_key, choice, customer)
    quote = quote_asked_with(session, form_hash) if form_hash else None
    if quote is None:
        refuse_other_total(content.price, total_shown)
        quote = put_quote(
            session,
            content,
            known,
            at=moment,
            form_hash=form_hash,
            unapproved=catalogue.settings.confirm_before_order,
        )
    return view_of(session, quote)


def with_rider(catalogue: Catalogue, choice: BuildChoice, customer: Customer) -> Customer:
    """The customer together with what the build's address tells of the rider."""
    if choice.rider is None:
        return customer
    told = tuple(pair for pair in rider_pairs(choice.rider) if pair[0] not in UNKEPT)
    checks = personal_checks(catalogue, choice)
    return replace(customer, rider=told, fit=fit_words(catalogue, choice, checks), checks=checks)


def hash_of_form(key: str, choice: BuildChoice, customer: Customer) -> str | None:
    """A hash of a form's key and content, by which a repeated form is recognised.

    Returns
    -------
    str or None
        None for a key that was not made by this service; each sending then counts.
    """
    if not _FORM_KEY.fullmatch(key):
        return None
    asked = [key, address_of(choice), customer.name, customer.mail, customer.note]
    return hashlib.sha256(json.dumps(asked).encode()).hexdigest()


def asking_key(kept: str) -> str:
    """The key for a form: the one this browser had before, or a fresh one.

    >>> asking_key("k" * 24), len(asking_key("no key of ours")) > 15
    ('kkkkkkkkkkkkkkkkkkkkkkkk', True)
    """
    return kept if _FORM_KEY.fullmatch(kept) else new_key()


def orderable(catalogue: Catalogue, choice: BuildChoice) -> BuildResult:
    """Compute a build that may be ordered.

    Parameters
    ----------
    catalogue : Catalogue
    choice : BuildChoice

    Returns
    -------
    BuildResult

    Raises
    ------
    Invalid
        With every reason why it may not be ordered.
    """
    result, gathering = _priced_build(catalogue, choice)
    for check in result.failed:
        place = _field_of(check)
        part = result.assembly.parts.get(place)
        gathering.add(
            place, part.name if part else None, reason_and_remedy(check.reason, check.remedy)
        )
    gathering.finish()
    return result


def askable(catalogue: Catalogue, choice: BuildChoice) -> BuildResult:
    """Compute a build that the shop can be asked about, whether or not its checks hold.

    Raises
    ------
    Invalid
        For a revision that is not offered, or a part without a price.
    """
    result, gathering = _priced_build(catalogue, choice)
    gathering.finish()
    return result


def _priced_build(catalogue: Catalogue, choice: BuildChoice) -> tuple[BuildResult, Gathering]:
    """A build, and the problems that prevent pricing it."""
    result, gathering = compute(catalogue, choice), Gathering()
    gathering.take(lambda: _offered(catalogue))
    _priced(gathering, result.price)
    return result, gathering


def _offered(catalogue: Catalogue) -> None:
    revision = catalogue.revision
    if revision.state == "withdrawn":
        why = revision.withdrawn_reason.rstrip(".")
        remedy = tr(
            "this revision is withdrawn ({why}); open the build in the revision now offered",
            why=why,
        )
        raise Invalid("rev", revision.number, remedy)
    if revision.state != "published":
        raise Invalid("rev", revision.number, tr("a published revision; this one is a draft"))


def _field_of(check: WordedCheck) -> str:
    """The place to change for a failed check, or the build as a whole."""
    places = places_of(check.code)
    return places[0] if places else "build"


def _priced(gathering: Gathering, price: PriceSheet) -> None:
    for line in price.lines:
        if line.amount is None:
            remedy = tr("this has no price yet; choose another, or ask the shop for a price")
            gathering.add(line.key, line.item, remedy)
