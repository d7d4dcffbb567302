"""``python -m webapp.catalogue``: write the catalogue to a folder of readable files, or read one.

    dump FOLDER    write the catalogue into an empty folder
    load FOLDER    read such a folder into a catalogue that has nothing yet

The format is described in ``demo_data/README.md``. What is wrong in a file is told
with its line, and nothing is kept then. The exit status is 0 when it was done, 1 when not.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

from webapp.catalogue.folder_dump import dump_folder
from webapp.catalogue.setup import load_own
from webapp.common.errors import DomainError
from webapp.common.settings import Settings
from webapp.common.storage.database import opened, reading
from webapp.common.storage.fault_messages import FAULTS, in_one_sentence
from webapp.common.text.language import tr


def main(words: Sequence[str] | None = None) -> int:
    """Do one of them; the exit status says whether it was done."""
    parser = argparse.ArgumentParser(
        prog="python -m webapp.catalogue",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("what", choices=("dump", "load"))
    parser.add_argument("folder", type=Path)
    given = parser.parse_args(words)
    try:
        with opened(Settings().database_address()) as engine:
            if given.what == "load":
                load_own(engine, given.folder)
            else:
                with reading(engine) as session:
                    dump_folder(session, given.folder)
    except (DomainError, OSError) as error:
        sys.stderr.write(f"{error}\n")
        return 1
    except FAULTS as error:
        sys.stderr.write(f"{in_one_sentence(error) or error}\n")
        return 1
    sys.stdout.write(tr("Done: {folder}", folder=given.folder) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
