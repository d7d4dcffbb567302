"""Make, migrate and fill the database, so that the service can start from nothing."""

from __future__ import annotations

from sqlalchemy import Engine, text
from sqlmodel import select

from webapp.catalogue.demo import load_demo
from webapp.catalogue.reading.shop_name import PROGRAM
from webapp.catalogue.starting import begin_shop
from webapp.catalogue.tables import FrameModel, Part, ShopSetting
from webapp.common.paths import DEMO_DATA
from webapp.common.storage.database import writing
from webapp.migrations import upgrade

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
            load_demo(session, DEMO_DATA)
    return empty and not own
