"""Make, migrate and fill the database, so that the service can start from nothing."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Engine, text
from sqlmodel import select

from webapp.catalogue.demo import load_demo
from webapp.catalogue.folder_load import load_folder
from webapp.catalogue.reading.shop_name import PROGRAM
from webapp.catalogue.starting import begin_shop
from webapp.catalogue.tables import FrameModel, Part, RidingStyle, ShopSetting
from webapp.catalogue.writing.change_log import forget
from webapp.common.errors import Conflict
from webapp.common.storage.database import writing
from webapp.common.text.language import tr
from webapp.migrations import upgrade

FROM_FILES = "catalogue files"  # by whom edits are that came from a folder
_LOCK = 7_261_001  # any number, the same in every process of this service


def prepare(engine: Engine, *, own: bool = False) -> bool:
    """Bring the database to the newest migration; fill an empty catalogue with the demo.

    Several processes may do this at once: the first works, the others wait and
    find it done. It is one transaction, so a failure leaves nothing half made.

    Parameters
    ----------
    engine : Engine
        Of the database to prepare.
    own : bool
        Begin a shop of one's own instead; a catalogue that is there stays as it is.

    Returns
    -------
    bool
        Whether the demo catalogue was loaded.
    """
    with writing(engine) as session:
        if engine.dialect.name == "postgresql":
            session.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _LOCK})
        upgrade(session.connection())
        tables = (FrameModel, Part, ShopSetting)
        empty = all(session.exec(select(table).limit(1)).first() is None for table in tables)
        if empty and own:
            begin_shop(session, who=PROGRAM)
        elif empty:
            load_demo(session)
    return empty and not own


def load_own(engine: Engine, folder: Path) -> None:
    """Read a folder into a catalogue that has no models and no parts yet.

    Raises
    ------
    Conflict
        Where models or parts are there already.
    Invalid
        For what in the files cannot be used, with file and line.
    """
    prepare(engine, own=True)
    with writing(engine) as session:
        if any(session.exec(select(t).limit(1)).first() for t in (FrameModel, Part)):
            remedy = tr("a catalogue without models and parts; begin with an empty one")
            raise Conflict("catalogue", None, remedy)
        for style in session.exec(select(RidingStyle)).all():
            forget(session, style, who=FROM_FILES, key=style.slug)  # the folder has its own
        load_folder(session, folder, who=FROM_FILES)
