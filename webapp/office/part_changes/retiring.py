"""Retiring a part: what stops with it, and what takes its place."""

from __future__ import annotations

from collections.abc import Iterator

from sqlmodel import Session, col, select

from webapp.catalogue.lookup import one, part_row
from webapp.catalogue.tables import ACTIVE, FrameModel, Offer, Part
from webapp.catalogue.writing.parts import put_offer, retire_part
from webapp.common.text.language import tr
from webapp.office.forms.field_words import kind_in_words
from webapp.office.save import one_save


def retire(session: Session, *, who: str, kind: str, slug: str, replaced_by: str) -> None:
    """Take a part out of what is offered; another takes over where it was the usual choice.

    Parameters
    ----------
    replaced_by : str
        Slug of the other; empty for none.

    Raises
    ------
    NotFound
        For an unknown part or replacement.
    Invalid
        For a part replaced by itself, or by a part that is retired.
    """
    with one_save(session):
        row = part_row(session, kind, slug)
        retire_part(session, who=who, kind=kind, slug=slug, replaced_by=replaced_by or None)
        if not replaced_by:
            return
        other = part_row(session, kind, replaced_by)
        for model, offer in _offers(session, row):
            own = one(session, Offer, model_id=offer.model_id, part_id=other.id)
            if own is None or offer.standard:
                put_offer(
                    session,
                    who=who,
                    model=model.slug,
                    kind=kind,
                    slug=replaced_by,
                    position=own.position if own else offer.position,
                    standard=offer.standard,
                )


def what_stops(session: Session, kind: str, slug: str) -> Iterator[str]:
    """What would stop with a part, in sentences; nothing for one of many."""
    row, words = part_row(session, kind, slug), kind_in_words(kind)
    for model, offer in _offers(session, row):
        query = (
            select(Part)
            .join(Offer, col(Offer.part_id) == col(Part.id))
            .where(Offer.model_id == model.id, Part.kind == kind, Part.state == ACTIVE)
            .where(Part.id != row.id)
        )
        if session.exec(query).first() is None:
            yield tr(
                "It is the last {kind} of the {model}: no bike of it can be sold with one then.",
                kind=words,
                model=model.name,
            )
        elif offer.standard:
            yield tr(
                "It is the usual {kind} of the {model}: its default build gets another.",
                kind=words,
                model=model.name,
            )


def _offers(session: Session, row: Part) -> list[tuple[FrameModel, Offer]]:
    query = (
        select(FrameModel, Offer)
        .join(Offer, col(Offer.model_id) == col(FrameModel.id))
        .where(Offer.part_id == row.id)
        .order_by(col(FrameModel.position))
    )
    return list(session.exec(query).all())
