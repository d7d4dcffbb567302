"""Whether a table is still what a browser keeps: a mark that changes when anything of it does."""

from __future__ import annotations

import hashlib
from functools import cache

from sqlmodel import Session

from webapp.catalogue.reading.load import edition
from webapp.common.paths import ROOT


def table_etag(session: Session, *about: str) -> str:
    """Mark of a page made from the catalogue.

    It changes with every edit of the catalogue and with the program's own files;
    never with the time.

    Parameters
    ----------
    session : Session
    *about : str
        What tells this page from others: its address, whole or part, the style.

    Returns
    -------
    str
        For the header ``ETag``, weak, since the answer may be compressed.
    """
    text = "\0".join((edition(session), _program(), *about))
    return f'W/"{hashlib.sha256(text.encode()).hexdigest()[:32]}"'


def same(etag: str, if_none_match: str) -> bool:
    """Whether what a browser keeps is this very page (RFC 9110, section 13.1.2).

    >>> same('W/"a"', '"b", W/"a"'), same('W/"a"', "*"), same('W/"a"', "")
    (True, True, False)
    """
    given = [one.strip().removeprefix("W/") for one in if_none_match.split(",")]
    return "*" in given or etag.removeprefix("W/") in given


@cache
def _program() -> str:
    """When the templates and the solver were last changed; taken once while the service runs."""
    folders = ("templates", "webapp", "geometry")
    files = (path for name in folders for path in (ROOT / name).rglob("*.*"))
    newest = max(path.stat().st_mtime_ns for path in files if "__pycache__" not in path.parts)
    return str(newest)
