"""Serve the demo with people, quotes, a draft and bench records in it, anew after every edit.

    python -m tests.develop.serve [--port 8000]

keeps its data in ``data/develop``; delete that folder to begin afresh. Python, templates, styles
and scripts are watched, and a change to any of them starts the service again within a second.
"""

from __future__ import annotations

import argparse
import os
from pathlib import Path

import uvicorn

from tests.develop import sample_data
from webapp.catalogue import setup
from webapp.common.settings import Settings
from webapp.common.storage.database import make_engine
from webapp.common.timestamps import now
from webapp.outcomes import demo as invented_outcomes

ROOT = Path(__file__).parents[2]
DATA = ROOT / "data" / "develop"
WATCHED = ["*.py", "*.html", "*.typ", "*.css", "*.js", "*.toml", "*.po"]


def prepare(folder: Path) -> None:
    """Make and fill the database, once."""
    folder.mkdir(parents=True, exist_ok=True)
    settings = Settings(data_folder=folder, database_url=None)
    filled = folder / "filled"
    if filled.exists():
        return
    engine = make_engine(settings.database_address())
    setup.prepare(engine)
    invented_outcomes.fill(engine)
    sample_data.fill(engine, at=now())
    engine.dispose()
    filled.touch()


def main() -> None:
    """Prepare the data, say how to sign in, and serve."""
    parser = argparse.ArgumentParser(prog="python -m tests.develop.serve", description=__doc__)
    parser.add_argument("--port", type=int, default=8000)
    port = parser.parse_args().port
    prepare(DATA)
    os.environ |= {"DATA_FOLDER": str(DATA), "DATABASE_URL": ""}
    people = " or ".join(mail for _, mail, _ in sample_data.PEOPLE)
    print(f"http://127.0.0.1:{port}/ and /counter, /office: {people}, “{sample_data.PASSWORD}”")
    uvicorn.run(
        "webapp.app:create_app",
        factory=True,
        port=port,
        log_level="warning",
        reload=True,
        reload_dirs=[str(ROOT / name) for name in ("webapp", "geometry", "templates", "static")],
        reload_includes=WATCHED,
        timeout_graceful_shutdown=1,
    )


if __name__ == "__main__":
    main()
