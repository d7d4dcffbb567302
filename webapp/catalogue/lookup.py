"""Rows by the names people use, with a refusal that says which names exist."""

from __future__ import annotations

from typing import Any, TypeVar

from sqlmodel import Session, SQLModel, col, select

from webapp.catalogue.schema.part_kinds import PART_KINDS
from webapp.catalogue.tables import FrameModel, FrameRevision, Part, PriceList
from webapp.common.errors import NotFound
from webapp.common.text.language import tr

R = TypeVar("R", bound=SQLModel)


def one(session: Session, table: type[R], **columns: Any) -> R | None:
    """The row whose columns have these values, or None."""
    query = select(table)
    for name, value in columns.items():
        query = query.where(getattr(table, name) == value)
    return session.exec(query).first()


def row_id(row: Any) -> int:
    """The number of a saved row."""
    return int(row.id)


def model_row(session: Session, slug: str) -> FrameModel:
    """The model of that name.

    Raises
    ------
    NotFound
        When there is none; the remedy lists those there are.
    """
    found = one(session, FrameModel, slug=slug)
    if found is None:
        raise NotFound("model", slug, _names(session.exec(select(FrameModel.slug)).all()))
    return found


def revision_row(session: Session, model: FrameModel, number: int) -> FrameRevision:
    """The revision of that number.

    Raises
    ------
    NotFound
        When there is none; the remedy lists those there are.
    """
    found = one(session, FrameRevision, model_id=model.id, number=number)
    if found is None:
        query = select(FrameRevision.number).where(FrameRevision.model_id == model.id)
        numbers = session.exec(query.order_by(col(FrameRevision.number))).all()
        raise NotFound("revision", number, _names([str(known) for known in numbers]))
    return found


def part_row(session: Session, kind: str, slug: str) -> Part:
    """The part of that kind and name.

    Raises
    ------
    NotFound
        For a kind or a part that does not exist; the remedy lists what does.
    """
    if kind not in PART_KINDS:
        raise NotFound("kind", kind, _names(list(PART_KINDS)))
    found = one(session, Part, kind=kind, slug=slug)
    if found is None:
        known = session.exec(select(Part.slug).where(Part.kind == kind)).all()
        raise NotFound(kind, slug, _names(known))
    return found


def price_list_row(session: Session, slug: str) -> PriceList:
    """The price list of that name.

    Raises
    ------
    NotFound
        When there is none; the remedy lists those there are.
    """
    found = one(session, PriceList, slug=slug)
    if found is None:
        raise NotFound("price_list", slug, _names(session.exec(select(PriceList.slug)).all()))
    return found


def _names(names: Any) -> str:
    return (
        tr("one of {choices}", choices=", ".join(names))
        if names
        else tr("there is none yet; add one first")
    )
