"""Writes what things cost the shop itself, through this module only; for the builder alone."""

from __future__ import annotations

from typing import Any

from sqlmodel import Session

from webapp.catalogue.lookup import model_row, one, part_row, row_id
from webapp.catalogue.row_changes import FRAME
from webapp.catalogue.tables import Cost
from webapp.catalogue.writing.change_log import forget, keep
from webapp.catalogue.writing.parts import DEAREST
from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.common.text.money import EXPONENTS


def put_cost(session: Session, *, who: str, key: str, minor: int | None, currency: str) -> None:
    """Say what a part or a frame costs the shop, or take back what was said.

    Parameters
    ----------
    key : str
        ``kind/slug`` of a part, ``frame/model`` or ``frame/model/size``.
    minor : int or None
        Minor units; None for not known.
    currency : str
        ISO 4217 code.

    Raises
    ------
    NotFound
        For an unknown part or model.
    Invalid
        For a cost that is negative or out of all reason, or an unknown currency.
    """
    kind, _, name = key.partition("/")
    of: dict[str, Any] = {}
    if kind == FRAME:
        model, _, size = name.partition("/")
        of = {"model_id": row_id(model_row(session, model)), "size": size}
    else:
        of = {"part_id": row_id(part_row(session, kind, name))}
    row = one(session, Cost, **of)
    if minor is None:
        if row is not None:
            forget(session, row, who=who, key=key)
        return
    if type(minor) is not int or not 0 <= minor <= DEAREST:
        remedy = tr("a whole number of minor units from 0 to {dearest}", dearest=DEAREST)
        raise Invalid(f"{key}.cost", minor, remedy)
    if currency not in EXPONENTS:
        raise Invalid(
            f"{key}.currency", currency, tr("one of {choices}", choices=", ".join(EXPONENTS))
        )
    row = row if row is not None else Cost(**of, minor=minor, currency=currency)
    keep(session, row, who=who, key=key, minor=minor, currency=currency)
