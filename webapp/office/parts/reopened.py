"""A draft of a part as its form has it, so that it can be gone on with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from sqlmodel import Session

from webapp.catalogue.reading.prices import price_list_on
from webapp.catalogue.row_changes import COST, OFFER, PART, PRICE, RowChange, Values
from webapp.catalogue.writing.change_sets import three_ways
from webapp.common.errors import Conflict
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.office.forms.typed_money import cost_text
from webapp.office.part_changes.drafts import proposal
from webapp.office.parts.editing import Offered, PartContent


def as_drafted(session: Session, content: PartContent, number: int, *, day: date) -> PartContent:
    """A part's form as a draft would make it; what others changed since stands where both agree.

    Parameters
    ----------
    session : Session
    content : PartContent
        The part as it is; empty for one that the draft adds.
    number : int
        Of the draft.
    day : date
        Whose price list counts.

    Raises
    ------
    NotFound
        For a draft nobody knows.
    Conflict
        For what is no draft of this part's form any more.
    """
    found = proposal(session, number)
    if found.form_address != f"/office/parts/{content.kind}/{content.slug}?draft={number}":
        raise Conflict("draft", number, tr("a draft of this part that is not in force"))
    key = f"{content.kind}/{content.slug}"
    listed = price_list_on(session, day)
    name, currency = (listed.slug, listed.currency) if listed else ("", "")
    for change in found.changes:
        after = change.after
        if change.table == PART and change.key == key and after is not None:
            content = _with_part(content, change.before, after)
        elif change.table == PRICE and change.key == f"{name}/{key}":
            content = replace(content, price=_price(after, currency))
        elif change.table == COST and change.key == key:
            cost = Money(after["minor"], after["currency"]) if after else None
            content = replace(content, cost=cost_text(cost, currency))
    return replace(content, offers=_offers(content, found.changes))


def _with_part(content: PartContent, before: Values | None, after: Values) -> PartContent:
    was = before["data"] if before else {}
    data = three_ways(was, content.data, after["data"])[0] if content.data else after["data"]
    same = before is not None and before["name"] == after["name"]
    return replace(content, name=content.name if same else after["name"], data=data)


def _price(after: Values | None, currency: str) -> str:
    return Money(after["minor"], currency).typed() if after else ""


def _offers(content: PartContent, changes: Sequence[RowChange]) -> tuple[Offered, ...]:
    own = {
        change.key.partition("/")[0]: change.after
        for change in changes
        if change.table == OFFER
        and change.key.partition("/")[2] == f"{content.kind}/{content.slug}"
    }
    return tuple(_offer(each, own[each.model]) if each.model in own else each
                 for each in content.offers)  # fmt: skip


def _offer(offer: Offered, after: Values | None) -> Offered:
    if after is None:
        return replace(offer, offered=False, usual=False)
    return replace(offer, offered=True, usual=after["standard"], position=after["position"])
