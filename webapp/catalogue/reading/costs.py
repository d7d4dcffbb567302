"""What things cost the shop itself, and the margin of a price; for the builder alone.

Nothing that riders or staff see asks this: a catalogue as it is read for builds, quotes and
the JSON interface holds no cost.
"""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from sqlmodel import Session, col, select

from webapp.catalogue.reading.prices import FRAMES
from webapp.catalogue.tables import Cost, FrameModel, Part
from webapp.common.text.money import Money


def costs(session: Session) -> dict[str, Money]:
    """Every cost that is known, by ``kind/slug``, ``frame/model`` or ``frame/model/size``."""
    named = col(Part.kind) + "/" + col(Part.slug)
    query = (
        select(Cost, named, FrameModel.slug)
        .outerjoin(Part, col(Part.id) == col(Cost.part_id))
        .outerjoin(FrameModel, col(FrameModel.id) == col(Cost.model_id))
    )
    return {
        part or f"{FRAMES}/{model}/{cost.size}".rstrip("/"): Money(cost.minor, cost.currency)
        for cost, part, model in session.exec(query).all()
    }


def margin_percent(price: Money, cost: Money, *, tax_percent: Decimal) -> Decimal | None:
    """What is left of a price without its tax, as a share of it [%]; None where it cannot be told.

    Parameters
    ----------
    price, cost : Money
    tax_percent : Decimal
        The tax that the price includes; 0 for none.

    Examples
    --------
    >>> margin_percent(Money(11900, "EUR"), Money(7500, "EUR"), tax_percent=Decimal(19))
    Decimal('25.0')
    >>> margin_percent(Money(100, "EUR"), Money(75, "USD"), tax_percent=Decimal(0)) is None
    True
    """
    if price.currency != cost.currency or price.minor == 0:
        return None
    net = Fraction(price.minor) / (1 + Fraction(tax_percent) / 100)
    share = 100 * (net - cost.minor) / net
    exact = Decimal(share.numerator) / Decimal(share.denominator)
    return exact.quantize(Decimal("0.1"), ROUND_HALF_UP)
