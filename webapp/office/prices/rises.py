"""Prices that rise or fall by a percentage, rounded: previewed, then saved as one change."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from fractions import Fraction

from sqlmodel import Session

from webapp.catalogue.lookup import price_list_row
from webapp.catalogue.reading.prices import FRAMES, prices_in
from webapp.catalogue.row_changes import PRICE, RowChange
from webapp.catalogue.schema.part_kinds import PART_KINDS
from webapp.catalogue.writing.parts import DEAREST
from webapp.common.errors import Gathering, Invalid
from webapp.common.text.language import tr
from webapp.common.text.money import EXPONENTS, Money
from webapp.office.prices.price_lists import price_lines

ALL = "all"
_MOST, _LEAST = Decimal(500), Decimal(-90)
_STEPS = (1, 5, 10, 50, 100, 500, 1000, 10000)


@dataclass(frozen=True, kw_only=True)
class Rise:
    """A rise as read: by how much, rounded to what, and for which kind of thing.

    Parameters
    ----------
    percent : Decimal
        Negative for prices that fall.
    step : int
        Prices become multiples of it [minor units].
    kind : str
        A kind of part, ``frame``, or ``all``.
    """

    percent: Decimal
    step: int
    kind: str


@dataclass(frozen=True, kw_only=True)
class RiseLine:
    """One price before and after [minor units]."""

    key: str
    label: str
    before: int
    after: int


def risen(minor: int, percent: Decimal, step: int) -> int:
    """A price after a rise, rounded half up to a multiple of the step [minor units].

    >>> risen(6900, Decimal(4), 50), risen(6900, Decimal("-2.5"), 1), risen(0, Decimal(4), 50)
    (7200, 6728, 0)
    """
    exact = Fraction(minor) * (100 + Fraction(percent)) / 100
    return int((exact / step + Fraction(1, 2)) // 1) * step


def steps_of(currency: str) -> tuple[int, ...]:
    """What prices of a currency can be rounded to [minor units]."""
    least = 10 ** max(0, EXPONENTS[currency] - 2)
    return tuple(step * least for step in _STEPS)


def read_rise(percent: str, step: str, kind: str, *, currency: str) -> Rise:
    """A rise as typed.

    Raises
    ------
    Invalid
        For what cannot be used, all at once.
    """
    gathering = Gathering()
    found = gathering.take(lambda: _percent(percent))
    steps = {str(each): each for each in steps_of(currency)}
    if step not in steps:
        gathering.add("step", step[:20], tr("one of those in the list"))
    if kind not in (ALL, FRAMES, *PART_KINDS):
        gathering.add("kind", kind[:40], tr("one of those in the list"))
    gathering.finish()
    assert found is not None  # noqa: S101  # refused above
    return Rise(percent=found, step=steps[step], kind=kind)


def _percent(text: str) -> Decimal:
    plain = text.strip().removesuffix("%").strip().replace(",", ".").replace("\N{MINUS SIGN}", "-")
    try:
        found = Decimal(plain)
    except InvalidOperation:
        found = Decimal("NaN")
    if not found.is_finite() or not _LEAST <= found <= _MOST or found == 0:
        remedy = tr("a percentage from −90 to 500 such as {example:g}, and not 0", example=3.5)
        raise Invalid("percent", text[:20], remedy)
    return found


def rise_lines(session: Session, slug: str, rise: Rise) -> tuple[RiseLine, ...]:
    """The prices of a list that change, before and after.

    Raises
    ------
    NotFound
        For a list nobody knows.
    Invalid
        Where a price would leave all reason.
    """
    listed = price_list_row(session, slug)
    own = prices_in(session, listed)
    kinds = (FRAMES, *PART_KINDS) if rise.kind == ALL else (rise.kind,)
    found = tuple(line for kind in kinds for line in _lines(session, slug, kind, own, rise))
    dearest = max((line.after for line in found), default=0)
    if dearest > DEAREST:
        highest = Money(DEAREST, listed.currency).format()
        raise Invalid("percent", str(rise.percent), tr("no price above {highest}", highest=highest))
    return found


def _lines(
    session: Session, slug: str, kind: str, own: dict[str, int], rise: Rise
) -> Iterator[RiseLine]:
    for line in price_lines(session, slug, kind):
        key = line.key
        if key in own and (after := risen(own[key], rise.percent, rise.step)) != own[key]:
            yield RiseLine(key=key, label=line.label, before=own[key], after=after)


def as_changes(slug: str, lines: Sequence[RiseLine]) -> tuple[RowChange, ...]:
    """The rise as changes of rows."""
    return tuple(
        RowChange(
            table=PRICE,
            key=f"{slug}/{line.key}",
            before={"minor": line.before},
            after={"minor": line.after},
        )
        for line in lines
    )
