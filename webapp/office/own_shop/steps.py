"""What is still to do before a shop's first quote, worked out from its data."""

from __future__ import annotations

from dataclasses import dataclass

from sqlmodel import Session, select

from webapp.catalogue.reading.shop_name import PROGRAM, shop_face
from webapp.catalogue.tables import PUBLISHED, FrameModel, FrameRevision, Part
from webapp.common.text.language import tr
from webapp.quote.tables import Quote


@dataclass(frozen=True, kw_only=True)
class Step:
    """One step: what it is, where it is done, and whether it is."""

    words: str
    note: str
    address: str
    done: bool
    optional: bool = False


def steps(session: Session) -> tuple[Step, ...]:
    """The steps to the first quote; empty once there is one."""
    if session.exec(select(Quote.id).limit(1)).first() is not None:
        return ()
    drafted = session.exec(
        select(FrameModel.slug, FrameRevision.number, FrameRevision.state)
        .join(FrameRevision)
        .order_by(FrameModel.position)  # type: ignore[arg-type]
    ).all()
    draft = next((f"{slug}/{number}" for slug, number, s in drafted if s != PUBLISHED), "")
    return (
        Step(
            words=tr("Say who you are"),
            note=tr("name, money, tax, look"),
            address="/office/shop",
            done=shop_face(session).name != PROGRAM,
        ),
        Step(
            words=tr("Draw your first model"),
            note=tr("sizes, dimensions, limits, price"),
            address="/office/models/new",
            done=bool(drafted),
        ),
        Step(
            words=tr("Add the parts you sell with it"),
            note=tr("your forks, for instance; frames alone need none"),
            address="/office/parts/fork/new",
            done=session.exec(select(Part.id).limit(1)).first() is not None,
            optional=True,
        ),
        Step(
            words=tr("Publish it"),
            note=tr("after a last look at the table check"),
            address=f"/office/models/{draft}/publish" if draft else "/office",
            done=any(state == PUBLISHED for _, _, state in drafted),
        ),
        Step(
            words=tr("Make the first quote"),
            note=tr("at the counter"),
            address="/counter/new",
            done=False,
        ),
    )
