"""Which version of a quote counts: the one accepted, else the one sent, else the only draft.

Once a customer has accepted a version it is *the* version: what is built, counted
and listed. A later version is a draft until it is sent, a change offered once it
is, and takes the accepted one's place only when it is accepted itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from webapp.common.text.language import tr
from webapp.quote.states import OPEN_ORDERS, ORDERS, State, on_day
from webapp.quote.tables import Quote


def accepted_of(quote: Quote) -> int | None:
    """The version the customer has accepted last; None when there is none."""
    if quote.accepted_version is None and quote.state == State.ACCEPTED:
        return quote.sent_version
    return quote.accepted_version


def standing_version(quote: Quote) -> int:
    """The version that lists, totals and tables are about."""
    return accepted_of(quote) or quote.sent_version or quote.current_version


def change_offered(quote: Quote) -> bool:
    """Whether an accepted quote has a later version before the customer."""
    return quote.state in OPEN_ORDERS and quote.sent_version != accepted_of(quote)


@dataclass(frozen=True, kw_only=True)
class Standing:
    """The role of one version among the others of its quote.

    Parameters
    ----------
    version : int
    state : str
        Of the quote, as last set.
    sent, accepted : int or None
        The version the customer's link shows, and the one accepted last.
    valid_until : date
        Of this version.
    """

    version: int
    state: str
    sent: int | None
    accepted: int | None
    valid_until: date

    @property
    def draft(self) -> bool:
        """Whether it was made later than anything the customer has."""
        return self.version > (self.sent or 0)

    @property
    def opened_by_link(self) -> bool:
        """Whether the customer's link shows this very version."""
        return self.version == self.sent

    def on(self, day: date) -> State:
        """The state of this version on a day.

        >>> last = date(2026, 3, 1)
        >>> first = Standing(version=1, state="accepted", sent=2, accepted=1, valid_until=last)
        >>> change = Standing(version=2, state="accepted", sent=2, accepted=1, valid_until=last)
        >>> draft = Standing(version=3, state="accepted", sent=2, accepted=1, valid_until=last)
        >>> [each.on(date(2026, 2, 1)).value for each in (first, change, draft)]
        ['accepted', 'sent', 'draft']
        >>> [each.on(date(2027, 1, 1)).value for each in (first, change)]
        ['accepted', 'expired']
        """
        if self.version == self.accepted:
            return State.CANCELLED if self.state == State.CANCELLED else State.ACCEPTED
        if self.draft:
            unseen = self.state == State.WITHDRAWN and self.sent is None
            return State.WITHDRAWN if unseen else State.DRAFT
        if not self.opened_by_link:
            return State.REPLACED
        state = State.SENT if self.state in ORDERS else self.state
        return on_day(state, self.valid_until, day)

    def mark(self) -> str:
        """The mark at the head of every print of it; empty for the version the customer has.

        It does not depend on the day, so that a print is the same every day.
        """
        state = self.on(self.valid_until)
        words = {
            State.DRAFT: f"Draft: version {self.version} is not sent and cannot be ordered.",
            State.REPLACED: f"Replaced: this is version {self.version}.",
            State.WITHDRAWN: "The shop has withdrawn this quote.",
            State.DECLINED: "This quote was declined.",
            State.CANCELLED: tr("This order is cancelled."),
        }.get(state, "")
        if state == State.SENT and self.accepted:
            words = tr(
                "A change to the order: version {version} is not accepted.", version=self.version
            )
        return " ".join(filter(None, (words, self._instead(state))))

    def _instead(self, state: str) -> str:
        """Which version counts instead of this one."""
        if self.accepted and self.version != self.accepted:
            return tr(
                "Version {accepted} is accepted and is the one that counts.", accepted=self.accepted
            )
        if state in (State.DRAFT, State.REPLACED) and self.sent:
            return tr("The customer has version {sent}.", sent=self.sent)
        return ""

    def words(self, day: date) -> str:
        """The notice about it at the head of a page, on a day."""
        state = self.on(day)
        if state == State.EXPIRED and self.accepted:
            return tr("This change is no longer offered. {instead}", instead=self._instead(state))
        said = {
            State.ACCEPTED: tr("This quote is accepted."),
            State.EXPIRED: tr(
                "This quote is no longer valid. Open its build and ask for a new one."
            ),
        }
        return said.get(state, "") or self.mark()

    @property
    def label(self) -> str:
        """The version as the title block of a sheet names it.

        >>> Standing(
        ...     version=2, state="sent", sent=1, accepted=None, valid_until=date(2026, 3, 1)
        ... ).label
        '2, draft'
        """
        state = self.on(self.valid_until)
        if state == State.SENT and self.accepted:
            return tr("{version}, a change", version=self.version)
        told = state in (State.DRAFT, State.REPLACED)
        return f"{self.version}, {state}" if told else str(self.version)
