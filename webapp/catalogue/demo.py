"""The demo catalogue: a folder of text files like any other, recognised by who loaded it."""

from __future__ import annotations

from sqlmodel import Session

from webapp.catalogue.folder_load import load_folder
from webapp.common.paths import DEMO_DATA

WHO = "demo data"  # by this the demo is known, so no language changes it


def load_demo(session: Session) -> None:
    """Fill an empty catalogue with the demo.

    Parameters
    ----------
    session : Session
        A writing session; the whole load is one transaction.

    Raises
    ------
    Invalid
        For the first thing in the files that cannot be used.
    """
    load_folder(session, DEMO_DATA, who=WHO)
