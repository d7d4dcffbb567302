"""A process killed in the middle of a write leaves a consistent database."""

from __future__ import annotations

import os
import signal
import subprocess
import sys

import pytest
from sqlalchemy import text
from sqlmodel import select

from tests.webapp.counter.test_both_databases import standing
from webapp.common.paths import ROOT
from webapp.common.settings import Settings
from webapp.common.storage.database import make_engine, reading
from webapp.quote.tables import Quote, QuoteEvent, QuoteVersion

# Makes quotes and versions without end and says after each commit what stands.
WRITER = """
import sys
from datetime import UTC, datetime
sys.path.insert(0, {root!r})
from tests.webapp.counter.conftest import put
from webapp.counter.changing import change_quote
from webapp.common.storage.database import make_engine
engine = make_engine(sys.argv[1])
at = datetime(2026, 3, 2, 9, tzinfo=UTC)
while True:
    number = put(engine, at=at).number
    print(number, 1, flush=True)
    change_quote(engine, number, seen=1, typed={{"delivery": "1"}}, who="Edda", at=at)
    print(number, 2, flush=True)
"""


@pytest.mark.parametrize("after", [1, 2, 3])
def test_nothing_acknowledged_is_lost_and_nothing_is_half_done(
    settings: Settings, after: int
) -> None:
    address = settings.database_address()
    command = [sys.executable, "-c", WRITER.format(root=str(ROOT)), address]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True) as writer:
        assert writer.stdout
        said = [writer.stdout.readline().split() for _ in range(after)]
        os.kill(writer.pid, signal.SIGKILL)
        said += [line.split() for line in writer.stdout.read().splitlines() if line.count(" ")]
    acknowledged = {number: int(version) for number, version in said}
    engine = make_engine(address)
    with reading(engine) as session:
        checked = session.connection().execute(text("PRAGMA integrity_check")).scalar_one()
        assert checked == "ok"
        assert not session.connection().execute(text("PRAGMA foreign_key_check")).all()
        quotes = session.exec(select(Quote)).all()
        versions = session.exec(select(QuoteVersion.quote_id, QuoteVersion.number)).all()
        events = session.exec(select(QuoteEvent.quote_id, QuoteEvent.version)).all()
        words = session.connection().execute(text("SELECT rowid FROM quote_words")).scalars().all()
    assert set(acknowledged) <= {quote.number for quote in quotes}
    for quote in quotes:
        assert quote.current_version >= acknowledged.get(quote.number, 1)
        mine = sorted(number for quote_id, number in versions if quote_id == quote.id)
        assert mine == list(range(1, quote.current_version + 1))
        assert len([e for e in events if e[0] == quote.id]) == quote.current_version
        assert standing(engine, quote.number).content.price.gross.minor == quote.gross_minor
    assert sorted(words) == sorted(quote.id for quote in quotes if quote.id)
    engine.dispose()
