"""What a frame of the register can be: every size of every revision, and every finish."""

from __future__ import annotations

from sqlmodel import Session, col, select

from webapp.catalogue.tables import DRAFT, FrameModel, FrameRevision, FrameSize, Part
from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.common.web.choices import Option
from webapp.serials.corrections import kind_of_frame
from webapp.serials.names import names_of_frame
from webapp.serials.register import FrameKind
from webapp.serials.tables import SerialNumber


def value_of(kind: FrameKind) -> str:
    """Model, revision and size as one value of a list."""
    return f"{kind.model}/{kind.revision}/{kind.size}"


def frame_options(session: Session, frame: SerialNumber) -> tuple[Option, ...]:
    """Every size of what was ever published, newest revision first, and what the frame is now."""
    rows = session.exec(
        select(FrameModel, FrameRevision.number, FrameSize)
        .join(FrameRevision, col(FrameRevision.model_id) == FrameModel.id)
        .join(FrameSize, col(FrameSize.revision_id) == FrameRevision.id)
        .where(FrameRevision.state != DRAFT)
        .order_by(
            col(FrameModel.position), col(FrameRevision.number).desc(), col(FrameSize.position)
        )
    ).all()
    found = {
        f"{model.slug}/{number}/{size.slug}": tr(
            "{model}, size {size}, revision {revision}",
            model=model.name,
            size=size.name,
            revision=number,
        )
        for model, number, size in rows
    }
    kind = kind_of_frame(frame)
    found.setdefault(value_of(kind), names_of_frame(session, kind).words)
    return tuple(Option(value=value, label=label) for value, label in found.items())


def finish_options(session: Session, frame: SerialNumber) -> tuple[Option, ...]:
    """Every finish by its name, retired ones too, for frames outlive what is sold."""
    rows = session.exec(
        select(Part.slug, Part.name).where(Part.kind == "finish").order_by(col(Part.name))
    ).all()
    found = {"": tr("not known")} | dict(rows)
    found.setdefault(frame.finish, frame.finish)
    return tuple(Option(value=value, label=label) for value, label in found.items())


def kind_chosen(session: Session, frame: SerialNumber, chosen: str, finish: str) -> FrameKind:
    """What a frame is, as chosen from both lists.

    Raises
    ------
    Invalid
        For what neither list offers.
    """
    if chosen not in {each.value for each in frame_options(session, frame)}:
        raise Invalid("frame", chosen[:80], tr("one of the list"))
    if finish not in {each.value for each in finish_options(session, frame)}:
        raise Invalid("finish", finish[:80], tr("one of the list"))
    model, revision, size = chosen.split("/")
    return FrameKind(model=model, revision=int(revision), size=size, finish=finish)
