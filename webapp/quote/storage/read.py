"""Reading quotes, by link or number, as frozen values."""

from __future__ import annotations

import secrets
from dataclasses import dataclass, replace
from datetime import date, datetime

from sqlmodel import Session, col, select

from webapp.catalogue.lookup import row_id
from webapp.common.errors import NotFound
from webapp.common.security.tokens import token_hash
from webapp.common.text.language import tr
from webapp.common.timestamps import utc
from webapp.quote.customer import CUSTOMER_DATA, Customer
from webapp.quote.freezing.bikes import bikes_of
from webapp.quote.freezing.content import QuoteContent
from webapp.quote.frozen_check import FrozenCheck
from webapp.quote.states import State
from webapp.quote.storage.current_version import Standing, accepted_of
from webapp.quote.tables import Quote, QuoteEvent, QuoteVersion


@dataclass(frozen=True, kw_only=True)
class QuoteView:
    """One version of a quote, as found.

    ``state`` is the quote's as last set; `state_on` says how this version stands on a day.
    """

    number: str
    token: str
    state: str
    version: int
    current_version: int
    sent_version: int | None
    accepted_version: int | None
    created_at: datetime
    created_by: str
    customer: Customer
    content: QuoteContent

    @property
    def bikes(self) -> tuple[QuoteView, ...]:
        """Each bike of the version, as a version of one bike with its own rider."""
        return tuple(
            replace(self, content=bike, customer=self.customer.riding(number))
            for number, bike in enumerate(bikes_of(self.content), start=1)
        )

    def bike(self, number: int) -> QuoteView:
        """One of its bikes, the first being 1.

        Raises
        ------
        NotFound
            For a bike the version does not have.
        """
        bikes = self.bikes
        if not 1 <= number <= len(bikes):
            raise NotFound("bike", number, tr("one from 1 to {count}", count=len(bikes)))
        return bikes[number - 1]

    @property
    def checks(self) -> tuple[FrozenCheck, ...]:
        """Every check of the version: of every build, and of every rider."""
        if not self.content.further:
            return (*self.content.checks, *self.customer.checks)
        return tuple(check for bike in self.bikes for check in bike.checks)

    def outcomes(self, *named: str) -> tuple[FrozenCheck, ...]:
        """Checks of these outcomes, in their order."""
        return tuple(check for check in self.checks if check.outcome in named)

    @property
    def standing(self) -> Standing:
        """The role of this version among the others."""
        return Standing(
            version=self.version,
            state=self.state,
            sent=self.sent_version,
            accepted=self.accepted_version,
            valid_until=self.content.valid_until,
        )

    def state_on(self, day: date) -> State:
        """The state of this version on a day: not answered in time, it is expired."""
        return self.standing.on(day)


def quote_of_link(session: Session, token: str, *, locked: bool = False) -> Quote:
    """The quote a link opens, as a row.

    Parameters
    ----------
    session : Session
    token : str
        From the link, whatever it holds.
    locked : bool
        Whether others who would change it have to wait; for writing sessions.

    Returns
    -------
    Quote

    Raises
    ------
    NotFound
        For any token that opens nothing, or a quote not sent yet; it does not say why.
    """
    query = select(Quote).where(Quote.token_hash == token_hash(token))
    if locked:
        query = query.with_for_update().execution_options(populate_existing=True)
    found = session.exec(query).first()
    given = token.encode("utf-8", "replace")
    right = found is not None and secrets.compare_digest(found.token.encode(), given)
    if found is None or not right or found.sent_version is None:
        raise NotFound("link", None, tr("check that the whole link was copied, or ask the shop"))
    return found


def quote_by_token(session: Session, token: str) -> QuoteView:
    """The quote a link opens, in the version the shop has sent last.

    Parameters
    ----------
    session : Session
        A reading session.
    token : str
        From the link, whatever it holds.

    Returns
    -------
    QuoteView

    Raises
    ------
    NotFound
        As `quote_of_link`.
    """
    found = quote_of_link(session, token)
    return view_of(session, found, found.sent_version)


def quote_by_number(session: Session, number: str, *, locked: bool = False) -> Quote:
    """The quote of a number.

    Parameters
    ----------
    session : Session
    number : str
    locked : bool
        Whether others who would change it have to wait; for writing sessions.

    Returns
    -------
    Quote

    Raises
    ------
    NotFound
        When there is none.
    """
    query = select(Quote).where(Quote.number == number)
    if locked:
        query = query.with_for_update().execution_options(populate_existing=True)
    found = session.exec(query).first()
    if found is None:
        raise NotFound("quote", number[:40], tr("a number such as 2026-0001"))
    return found


def latest_number(session: Session) -> str:
    """Number of the quote made last; empty while there is none."""
    return session.exec(select(Quote.number).order_by(col(Quote.id).desc()).limit(1)).first() or ""


def versions_of(session: Session, quote: Quote) -> tuple[int, ...]:
    """Numbers of the versions there are, the oldest first; some may have been thrown away."""
    numbers = select(QuoteVersion.number).where(QuoteVersion.quote_id == row_id(quote))
    return tuple(session.exec(numbers.order_by(col(QuoteVersion.number))).all())


def next_version(session: Session, quote: Quote) -> int:
    """The number of a version made next: never one that was given before, thrown away or not."""
    given = select(QuoteEvent.version).where(QuoteEvent.quote_id == row_id(quote))
    noted = (number for number in session.exec(given).all() if number is not None)
    return max((quote.current_version, *noted)) + 1


def version_of(session: Session, quote: Quote, number: int) -> QuoteVersion:
    """The row of one version.

    Raises
    ------
    NotFound
        For a version the quote does not have.
    """
    wanted = select(QuoteVersion).where(
        QuoteVersion.quote_id == row_id(quote), QuoteVersion.number == number
    )
    row = session.exec(wanted).first()
    if row is None:
        raise NotFound(
            "version",
            number,
            tr("one from 1 to {current_version}", current_version=quote.current_version),
        )
    return row


def view_of(session: Session, quote: Quote, version: int | None = None) -> QuoteView:
    """One version of a quote as a value; the current one when none is named.

    Raises
    ------
    NotFound
        For a version the quote does not have.
    """
    number = quote.current_version if version is None else version
    row = version_of(session, quote, number)
    return QuoteView(
        number=quote.number,
        token=quote.token,
        state=quote.state,
        version=row.number,
        current_version=quote.current_version,
        sent_version=quote.sent_version,
        accepted_version=accepted_of(quote),
        created_at=utc(row.created_at),
        created_by=row.created_by,
        customer=CUSTOMER_DATA.validate_python(row.customer),
        content=QuoteContent.model_validate(row.content),
    )
