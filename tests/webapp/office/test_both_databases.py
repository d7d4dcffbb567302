"""What the office writes, on SQLite and on PostgreSQL alike."""

from __future__ import annotations

from datetime import date

from sqlalchemy import Engine

from tests.webapp.office.conftest import bring_in
from webapp.builds.choice.build_choice import read_choice
from webapp.catalogue.reading.load import load_catalogue
from webapp.common.storage.database import reading, writing
from webapp.office.bench.batch import dimensions_of
from webapp.office.bench.check import check_bike
from webapp.office.bench.readings import read_readings
from webapp.office.bench.records import batches, list_bench, save_bench
from webapp.office.history.edit_history import history
from webapp.office.parts.csv_files import read_file
from webapp.office.parts.csv_import import parts_file, try_file
from webapp.office.parts.editing import list_parts
from webapp.office.revisions.drafts import begin_draft, locked_revision, read_revision
from webapp.office.revisions.publish import proposed_changelog, publish_draft
from webapp.office.revisions.size_grid import cells_of, save_cells
from webapp.office.revisions.undo import redo, undo
from webapp.office.save import one_save

WHO, DAY = "Edda", date(2026, 3, 1)


def test_a_draft_from_its_beginning_to_its_publication(engine: Engine) -> None:
    with writing(engine) as session:
        number = begin_draft(session, who=WHO, model="knapweed").number
    for text in ("474", "475"):
        with writing(engine) as session, one_save(session):
            revision = locked_revision(session, "knapweed", number)
            cells = {**cells_of(revision.sizes), "m.reach": text, "l.reach": "499"}
            save_cells(session, who=WHO, revision=revision, cells=cells)
    for step, reach in ((undo, 474.0), (undo, 473.0), (redo, 474.0)):
        with writing(engine) as session:
            step(session, who=WHO, revision=locked_revision(session, "knapweed", number))
        with reading(engine) as session:
            revision = read_revision(session, "knapweed", number)
        assert revision.size("m").data.reach == reach
    with writing(engine) as session:
        revision = locked_revision(session, "knapweed", number)
        words = proposed_changelog(session, revision)
        publish_draft(
            session, who=WHO, revision=revision, stamp=revision.stamp, words=words, on=DAY
        )
    with reading(engine) as session:
        assert load_catalogue(session, "knapweed").revision.changelog == (
            "Reach 1 mm longer in Medium, Large."
        )
        assert history(session, key="knapweed/3", who=WHO)


def test_parts_and_bench_checks(engine: Engine) -> None:
    with reading(engine) as session:
        text = parts_file(session, kind="saddle", day=DAY).replace("45", "46")
        assert list_parts(session, words="SADDLE", day=DAY)
    file = read_file(text.encode())
    with writing(engine) as session:
        bring_in(session, file, who=WHO, day=DAY)
    with reading(engine) as session:
        assert {row.outcome for row in try_file(session, file, day=DAY).rows} == {"unchanged"}
        catalogue = load_catalogue(session, "burdock")
    readings = read_readings([("wheelbase", "1100", ""), ("bb_height", "290", "")])
    finding = check_bike(catalogue, read_choice(catalogue, {}).choice, readings)
    with writing(engine) as session:
        save_bench(
            session, finding, readings, who=WHO, serial="B-1", batch="spring", note="",
            quote_number="", measured_on=DAY,
        )  # fmt: skip
    with reading(engine) as session:
        assert list_bench(session, serial="B-")[0].report["verdict"]
        assert batches(session) == ("spring",)
        assert len(dimensions_of(session, "spring")) == 2
