"""What the codes of fitting standards are called: those in use, and keeping their names."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from sqlmodel import Session, select

from webapp.catalogue.reading.load import trade_names
from webapp.catalogue.reading.trade_names import codes_in
from webapp.catalogue.schema.frames import RevisionData
from webapp.catalogue.schema.part_kinds import PART_KINDS
from webapp.catalogue.tables import FrameRevision, Part
from webapp.catalogue.writing.shop import put_trade_name
from webapp.common.errors import Gathering
from webapp.office.save import one_save

NAME, WAS = "name:", "was:"


@dataclass(frozen=True, kw_only=True)
class NameLine:
    """One code: its name, how it is shown, and how many parts and revisions carry it."""

    code: str
    name: str
    shown: str
    used: int


def names_in_use(session: Session) -> tuple[NameLine, ...]:
    """Every code in use or named, those without a name first."""
    called, used = trade_names(session), Counter(_codes(session))
    lines = [
        NameLine(code=code, name=called.given.get(code, ""), shown=called(code), used=used[code])
        for code in {*used, *called.given}
    ]
    return tuple(sorted(lines, key=lambda line: (bool(line.name), line.code)))


def _codes(session: Session) -> Iterator[str]:
    for part in session.exec(select(Part)).all():
        yield from set(codes_in(PART_KINDS[part.kind], part.data))
    for revision in session.exec(select(FrameRevision)).all():
        yield from set(codes_in(RevisionData, revision.data))


def keep_names(session: Session, *, who: str, texts: Mapping[str, str]) -> None:
    """Keep the names that were changed in the form; others stay as somebody else left them.

    Parameters
    ----------
    session : Session
        A writing session.
    who : str
    texts : mapping of str to str
        ``name:<code>`` as typed and ``was:<code>`` as it was shown.

    Raises
    ------
    Invalid
        For names that cannot be kept, all at once; nothing is kept then.
    """
    gathering = Gathering()
    with one_save(session):
        for field, text in texts.items():
            code = field.removeprefix(NAME)
            if code != field and text.strip() != texts.get(WAS + code, "").strip():
                gathering.take(
                    lambda c=code, t=text: put_trade_name(session, who=who, code=c, name=t)  # type: ignore[misc]
                )
        gathering.finish()
