"""Changes of rows as people read them: parts by their names, prices as money."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sqlmodel import Session, select

from webapp.catalogue.reading.prices import Buyer, whom
from webapp.catalogue.row_changes import COST, FRAME, OFFER, PART, PRICE, RowChange, Values
from webapp.catalogue.tables import FrameModel, Part, PriceList
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.common.text.units import minus
from webapp.office.history.edit_history import changes_between


@dataclass(frozen=True, kw_only=True)
class ShownChange:
    """One thing that changes: which, what of it, before and after."""

    what: str
    field: str
    before: str
    after: str


def shown_changes(session: Session, changes: Sequence[RowChange]) -> tuple[ShownChange, ...]:
    """Every change, row by row and field by field."""
    names = _Names(session, changes)
    return tuple(row for change in changes for row in names.rows(change))


class _Names:
    """Names of things, including those that a change adds."""

    def __init__(self, session: Session, changes: Sequence[RowChange]) -> None:
        self.parts = {f"{p.kind}/{p.slug}": p.name for p in session.exec(select(Part)).all()}
        self.parts |= {
            c.key: (c.after or c.before or {})["name"] for c in changes if c.table == PART
        }
        self.models = {m.slug: m.name for m in session.exec(select(FrameModel)).all()}
        self.session = session
        self.lists = {each.slug: each for each in session.exec(select(PriceList)).all()}

    def rows(self, change: RowChange) -> Iterator[ShownChange]:
        if change.table == PART:
            yield from self._part(change)
        elif change.table == OFFER:
            model, _, key = change.key.partition("/")
            field = tr("offered for the {model}", model=self.models.get(model, model))
            was, now = _offered(change.before), _offered(change.after)
            yield ShownChange(what=self._thing(key), field=field, before=was, after=now)
        elif change.table == PRICE:
            slug, _, key = change.key.partition("/")
            listed = self.lists[slug]
            buyer = Buyer(group=listed.customer_group, region=listed.region)
            called = whom(self.session, buyer)
            field = (
                tr("price in {name}, for {whom}", name=listed.name, whom=called)
                if called
                else tr("price in {name}", name=listed.name)
            )
            yield self._money(key, field, change, listed.currency)
        elif change.table == COST:
            yield self._money(change.key, tr("cost to the shop"), change, "")

    def _part(self, change: RowChange) -> Iterator[ShownChange]:
        what, was, now = self._thing(change.key), change.before, change.after
        if was is None or now is None:
            words = tr("added") if was is None else tr("taken away")
            yield ShownChange(what=what, field=words, before="", after="")
            return
        for field, before, after in changes_between(was, now):
            yield ShownChange(what=what, field=field, before=minus(before), after=minus(after))

    def _money(self, key: str, field: str, change: RowChange, currency: str) -> ShownChange:
        was, now = (_amount(each, currency) for each in (change.before, change.after))
        return ShownChange(what=self._thing(key), field=field, before=was, after=now)

    def _thing(self, key: str) -> str:
        kind, _, rest = key.partition("/")
        if kind != FRAME:
            return self.parts.get(key, key)
        model, _, size = rest.partition("/")
        name = self.models.get(model, model)
        if not size:
            return tr("{name} frame", name=name)
        return tr("{model}, {size}: surcharge", model=name, size=size.upper())


def _offered(values: Values | None) -> str:
    if values is None:
        return tr("no")
    place = values["position"]
    if values["standard"]:
        return tr("the usual choice, at place {place}", place=place)
    return tr("at place {place}", place=place)


def _amount(values: Values | None, currency: str) -> str:
    return (
        "" if values is None else Money(values["minor"], values.get("currency", currency)).format()
    )
