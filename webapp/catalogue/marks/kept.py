"""Firms' marks: checked, kept by their fingerprint, and given out."""

from __future__ import annotations

import base64
import hashlib
from dataclasses import dataclass

from sqlmodel import Session

from webapp.catalogue.marks.png import cleaned_png, is_png, size_of
from webapp.catalogue.marks.svg import cleaned_svg
from webapp.catalogue.tables import ShopMark
from webapp.common.errors import NotFound
from webapp.common.text.language import tr

SVG, PNG = "image/svg+xml", "image/png"


@dataclass(frozen=True, kw_only=True)
class Mark:
    """A mark as it is served."""

    media_type: str
    content: bytes

    @property
    def ending(self) -> str:
        """The ending of its file name."""
        return "png" if self.media_type == PNG else "svg"


def keep_mark(session: Session, content: bytes) -> str:
    """Check a mark, clean it and keep it.

    Parameters
    ----------
    session : Session
        A writing session.
    content : bytes
        An SVG or PNG as uploaded.

    Returns
    -------
    str
        Its fingerprint; the same mark kept twice is one.

    Raises
    ------
    Invalid
        For what cannot be used, at the field ``mark``.
    """
    kind, clean = (PNG, cleaned_png(content)) if is_png(content) else (SVG, cleaned_svg(content))
    fingerprint = hashlib.sha256(clean).hexdigest()[:32]
    if session.get(ShopMark, fingerprint) is None:
        packed = base64.b64encode(clean).decode()
        session.add(ShopMark(fingerprint=fingerprint, media_type=kind, content=packed))
        session.flush()
    return fingerprint


def read_mark(session: Session, fingerprint: str) -> Mark:
    """A mark that was kept.

    Raises
    ------
    NotFound
        When there is none of that fingerprint.
    """
    row = session.get(ShopMark, fingerprint[:64])
    if row is None:
        raise NotFound("mark", fingerprint[:64], tr("the mark that the shop shows now"))
    return Mark(media_type=row.media_type, content=base64.b64decode(row.content))


def mark_on_paper(session: Session, fingerprint: str) -> str:
    """A mark as the typesetter takes it: always SVG, a PNG within one.

    Parameters
    ----------
    session : Session
        A reading session.
    fingerprint : str
        Empty for a shop without a mark.

    Returns
    -------
    str
        Empty where none is kept.
    """
    row = session.get(ShopMark, fingerprint) if fingerprint else None
    if row is None:
        return ""
    if row.media_type == SVG:
        return base64.b64decode(row.content).decode()
    width, height = size_of(base64.b64decode(row.content))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}">'
        f'<image width="{width}" height="{height}" href="data:{PNG};base64,{row.content}"/></svg>'
    )
