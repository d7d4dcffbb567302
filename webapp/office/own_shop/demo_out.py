"""Removing the demo from the shop: what would be deleted, what prevents it, and doing it.

The demo is recognised by the log of edits, where its loading has a name of its own. Everything
but people is deleted: accounts stay, so that staff can still work.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sqlalchemy import text
from sqlmodel import Session, col, delete, select

from webapp.accounts.tables import Account
from webapp.catalogue.demo import WHO as DEMO
from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.starting import FIRST_MAIL, begin_shop
from webapp.catalogue.tables import Edit, FrameModel, Part, PriceList, RidingStyle
from webapp.common.errors import Conflict
from webapp.common.text.language import tr
from webapp.migrations.models import metadata
from webapp.quote.states import OPEN_ORDERS, State
from webapp.quote.tables import Quote

MOST_NAMED = 20
_STAYS = ("account", "limited")  # how the names of tables begin that keep people


@dataclass(frozen=True, kw_only=True)
class LiveQuote:
    """A quote somebody may still count on."""

    number: str
    customer: str
    why: str


@dataclass(frozen=True, kw_only=True)
class DemoStanding:
    """The demo's content in this shop.

    Parameters
    ----------
    models : tuple of str
        Names of its models.
    parts, quotes : int
        How many there are, whoever made them.
    live : tuple of LiveQuote
        These prevent it.
    own : tuple of str
        What was added to the demo and would go with it.
    """

    models: tuple[str, ...]
    parts: int
    quotes: int
    live: tuple[LiveQuote, ...]
    own: tuple[str, ...]

    @property
    def model_names(self) -> str:
        """Its models in a row."""
        return ", ".join(self.models)

    @property
    def own_names(self) -> str:
        """What was added to it in a row."""
        return ", ".join(self.own)

    @property
    def shown(self) -> tuple[LiveQuote, ...]:
        """The newest of the quotes that are open; the others follow when these are settled."""
        return self.live[:MOST_NAMED]


def demo_standing(session: Session, *, on: date) -> DemoStanding | None:
    """The demo as it stands in this shop; None where it is not."""
    if session.exec(select(Edit.id).where(Edit.who == DEMO).limit(1)).first() is None:
        return None
    models = session.exec(select(FrameModel.name).order_by(col(FrameModel.position))).all()
    return DemoStanding(
        models=tuple(models),
        parts=len(session.exec(select(Part.id)).all()),
        quotes=len(session.exec(select(Quote.id)).all()),
        live=live_quotes(session, on=on),
        own=_own_things(session),
    )


def live_quotes(session: Session, *, on: date) -> tuple[LiveQuote, ...]:
    """Quotes that are drafted, offered, ordered, or wait for the shop; newest first."""
    found = []
    for quote in session.exec(select(Quote).order_by(col(Quote.id).desc())).all():
        if why := _alive(quote, on):
            found.append(LiveQuote(number=quote.number, customer=quote.customer_name, why=why))
    return tuple(found)


def _alive(quote: Quote, on: date) -> str:
    if quote.state in (*OPEN_ORDERS, State.HANDED_OVER):
        return tr("it is ordered")
    if quote.waiting_since is not None:
        return tr("the customer waits for an answer")
    if quote.state == State.DRAFT:
        return tr("it is a draft")
    over = quote.valid_until is not None and quote.valid_until < on
    return tr("it is offered") if quote.state == State.SENT and not over else ""


def _own_things(session: Session) -> tuple[str, ...]:
    """Models, parts, styles and price lists that were added beside the demo's."""
    tables = {str(t.__tablename__): t for t in (FrameModel, Part, RidingStyle, PriceList)}
    first = select(Edit.row_table, Edit.after).where(
        col(Edit.before).is_(None), Edit.who != DEMO, col(Edit.row_table).in_(tables)
    )
    names = [str((after or {}).get("name", table)) for table, after in session.exec(first).all()]
    return tuple(dict.fromkeys(names))


def take_out(
    session: Session, *, who: str, on: date, quotes_too: bool = False, own_too: bool = False
) -> None:
    """Remove the demo completely, and leave an empty shop.

    Parameters
    ----------
    session : Session
        A writing session; all of it happens or nothing.
    who : str
    on : date
    quotes_too : bool
        Somebody has looked at the live quotes and says that they were trials.
    own_too : bool
        The same of what was added to the demo.

    Raises
    ------
    Conflict
        While quotes are live, or own things stand beside the demo, and nobody has said
        that they may go; or where there is no demo.
    """
    standing = demo_standing(session, on=on)
    if standing is None:
        raise Conflict("demo", None, tr("a shop that still has the demo in it"))
    if standing.live and not quotes_too:
        raise Conflict("quotes_too", None, _quotes_first(standing.live))
    if standing.own and not own_too:
        names = ", ".join(standing.own[:MOST_NAMED])
        remedy = tr("say that what was added may go too: {names}", names=names)
        raise Conflict("own_too", None, remedy)
    mail = settings_data(session).letterhead.email
    _empty(session)
    begin_shop(session, who=who)
    for account in session.exec(select(Account).where(Account.mail == mail)).all():
        account.mail = FIRST_MAIL
        session.add(account)
    session.flush()


def _quotes_first(live: tuple[LiveQuote, ...]) -> str:
    told = "; ".join(
        tr("{number}, {customer}: {why}", number=q.number, customer=q.customer, why=q.why)
        for q in live[:MOST_NAMED]
    )
    return tr("settle these quotes first, or say that they were trials: {told}", told=told)


def _empty(session: Session) -> None:
    for table in reversed(metadata.sorted_tables):
        if not table.name.startswith(_STAYS):
            session.execute(delete(table))
    session.execute(text("DELETE FROM quote_words"))
    session.expire_all()
