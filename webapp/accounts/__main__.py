"""``python -m webapp.accounts``: print a one-time link that sets the builder's password.

For whoever has the machine but not the password; it reads the same settings as
the service and may run beside it.
"""

from __future__ import annotations

import sys
from argparse import ArgumentParser

from webapp.accounts.links import link_for_builder
from webapp.catalogue import setup
from webapp.catalogue.reading.settings import settings_data
from webapp.common.settings import Settings
from webapp.common.storage.database import make_engine, writing
from webapp.common.storage.fault_messages import FAULTS, in_one_sentence
from webapp.common.storage.locking import together
from webapp.common.timestamps import now


def main() -> int:
    """Print the link."""
    ArgumentParser(prog="python -m webapp.accounts", description=__doc__).parse_args()
    settings = Settings()
    try:
        with together(settings.database_address()):
            path = _link(settings.database_address())
    except FAULTS as error:
        said = in_one_sentence(error)
        if said is None:
            raise
        sys.stderr.write(f"No link was made: {said}\n")
        return 1
    base = settings.base_url or f"http://{settings.host}:{settings.port}"
    sys.stdout.write(f"{base}{path}\n")
    return 0


def _link(address: str) -> str | None:
    engine = make_engine(address)
    try:
        setup.prepare(engine)
        with writing(engine) as session:
            mail = settings_data(session).letterhead.email
            return link_for_builder(session, mail=mail, at=now(), anew=True)
    finally:
        engine.dispose()


if __name__ == "__main__":
    sys.exit(main())
