"""Names of a frame: model, size and finish."""

from __future__ import annotations

from dataclasses import dataclass

from sqlmodel import Session

from webapp.catalogue.reading.load import load_catalogue
from webapp.common.errors import DomainError
from webapp.common.text.language import tr
from webapp.serials.register import FrameKind


@dataclass(frozen=True, kw_only=True)
class FrameNames:
    """Names of a frame's model, size and finish; slugs where the catalogue knows it no more."""

    model: str
    revision: int
    size: str
    finish: str

    @property
    def words(self) -> str:
        """The frame in a few words."""
        return tr(
            "{model}, size {size}, revision {revision}",
            model=self.model,
            size=self.size,
            revision=self.revision,
        )


def names_of_frame(session: Session, kind: FrameKind) -> FrameNames:
    """The names of a frame.

    Parameters
    ----------
    session : Session
        A reading session.
    kind : FrameKind
    """
    model, size, finish = kind.model, kind.size, kind.finish
    try:
        catalogue = load_catalogue(session, kind.model, kind.revision)
        model = catalogue.model.name
        size = catalogue.size(kind.size).name
        finish = catalogue.part("finish", kind.finish).name if kind.finish else ""
    except DomainError:
        pass
    return FrameNames(model=model, revision=kind.revision, size=size, finish=finish)
