"""Kept bench checks: corrected with history, asked about, in the register, as a report."""

from __future__ import annotations

import csv
import io
from datetime import date

import pytest
from fastapi.testclient import TestClient
from sqlalchemy import Engine
from sqlmodel import Session

from tests.webapp.office.bench.test_check import build, form, readings_of
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Invalid
from webapp.common.paths import STATIC
from webapp.common.storage.database import reading, writing
from webapp.common.timestamps import now
from webapp.office.bench.batch import batch_csv, dimensions_of
from webapp.office.bench.check import check_bike
from webapp.office.bench.readings import NUMBERS, SPREADS, read_readings
from webapp.office.bench.records import save_bench
from webapp.office.bench.report_words import as_told_now
from webapp.serials.register import FrameKind, frame_of_serial, frames_like, take_serial


def keep(session: Session, trail: Catalogue, serial: str, off: float = 0.0) -> int:
    """One bike of a batch, its BB drop so much off."""
    result = build(trail)
    taken = readings_of(result, bb_drop=off, bb_height=-off)
    return save_bench(
        session, check_bike(trail, result.choice, taken), taken, who="Edda", serial=serial,
        batch="spring", note="", quote_number="", measured_on=date(2026, 3, 1),
    )  # fmt: skip


def test_a_measured_bike_stands_in_the_register(shop: Engine, trail: Catalogue) -> None:
    with writing(shop) as session:
        keep(session, trail, " KW  7 ")
    with reading(shop) as session:
        frame = frame_of_serial(session, "kw 7")
        assert frame is not None
        assert (frame.serial, frame.model, frame.size) == ("KW 7", "knapweed", "m")
        assert frame.finish
        assert [one.serial for one in frames_like(session, "w 7")] == ["KW 7"]
        assert frames_like(session, "%") == [] or not frames_like(session, "%")


def test_a_number_of_another_frame_is_refused(shop: Engine, trail: Catalogue) -> None:
    kind = FrameKind(model="knapweed", revision=2, size="l", finish="")
    with writing(shop) as session:
        take_serial(session, "KW-9", kind, quote_id=None, who="Edda", at=now())  # type: ignore[arg-type]
    with pytest.raises(Invalid, match="Knapweed, size Large") as refused, writing(shop) as session:
        keep(session, trail, "kw-9")
    assert refused.value.field == "serial"


def test_the_same_number_twice_is_asked_about(builder: TestClient, trail: Catalogue) -> None:
    typed = form(trail) | {"do": "keep", "serial": "KW-1"}
    assert builder.post("/office/bench", data=typed).status_code == 303
    asked = builder.post("/office/bench", data=typed | {"serial": "kw-1", "note": "again"})
    assert asked.status_code == 422
    assert "measured once more" in asked.text
    assert 'value="kw-1"' in asked.text
    meant = builder.post("/office/bench", data=typed | {"again": "yes"}, follow_redirects=True)
    assert meant.status_code == 200
    assert "All that is known of this bike" in meant.text


def test_a_correction_keeps_what_was_there(builder: TestClient, trail: Catalogue) -> None:
    typed = form(trail, chainstay_length=36.0) | {"do": "keep", "serial": "KW-3"}
    address = builder.post("/office/bench", data=typed).headers["location"]
    correcting = builder.get(f"{address}/correct")
    assert 'value="KW-3"' in correcting.text
    mended = form(trail) | {"do": "keep", "serial": "KW-3"}
    refused = builder.post(f"{address}/correct", data=mended)
    assert refused.status_code == 422
    assert "what was wrong, in a few words" in refused.text
    kept = builder.post(
        f"{address}/correct", data=mended | {"why": "two digits swapped"}, follow_redirects=True
    )
    assert kept.status_code == 200
    assert "two digits swapped" in kept.text
    assert "Chainstay length: 463.0 mm → 427.0 mm" in kept.text
    assert "the bike measures as drawn" in kept.text
    assert "drawing-chainstay_length" in kept.text


def test_any_size_and_build_is_taken_and_nothing_typed_is_lost(
    builder: TestClient, trail: Catalogue
) -> None:
    typed = form(trail) | {"do": "build", "size": "xl", "revision": "1", "serial": "KW-5"}
    shown = builder.post("/office/bench", data=typed)
    assert "size Extra large, revision 1" in shown.text
    assert 'value="KW-5"' in shown.text
    other = builder.post("/office/bench", data=typed | {"link": "/build/burdock?size=m"})
    assert "Burdock, size" in other.text
    wrong = builder.post("/office/bench", data=typed | {"size": "huge"})
    assert wrong.status_code == 422
    assert 'value="KW-5"' in wrong.text


@pytest.mark.parametrize(
    ("key", "typed", "value"),
    [
        ("chainstay_length", "16 3/4 in", 425.45),
        ("wheelbase", "1171", 1171.0),
        ("wheelbase", "117.1 cm", 1171.0),
        ("head_angle", "66.5°", 66.5),
        ("fork.offset", "1.75", 1.75),  # too short to be told from inches
    ],
)
def test_a_unit_typed_is_read(key: str, typed: str, value: float) -> None:
    drawn = {"chainstay_length": 427.0, "wheelbase": 1178.0, "fork.offset": 44.0}
    (read,) = read_readings([(key, typed, "")], drawn=drawn)
    assert read.value == pytest.approx(value)


def test_a_number_that_looks_like_inches_is_asked_about() -> None:
    with pytest.raises(Invalid, match=r"16\.8 in") as asked:
        read_readings([("chainstay_length", "16.8", "")], drawn={"chainstay_length": 427.0})
    assert asked.value.field == "reading.chainstay_length"
    meant = read_readings([("chainstay_length", "16.8 mm", "")], drawn={"chainstay_length": 427.0})
    assert meant[0].value == 16.8


def test_the_report_of_a_batch(builder: TestClient, trail: Catalogue) -> None:
    offsets = [0.5, 0.9, 1.4, 0.2, 1.1, 0.7, 1.6, 0.4, 1.0, 2.2]
    shop = builder.app.state.engine  # type: ignore[attr-defined]
    with writing(shop) as session:
        for i, off in enumerate(offsets):
            keep(session, trail, f"S-{i}", off)
    with reading(shop) as session:
        found = dimensions_of(session, "spring")
    drop = next(one for one in found if one.key == "bb_drop")
    assert drop.worst[0].serial == "S-9"
    assert drop.tolerance is not None
    mean = sum(offsets) / 10
    spread = (sum((off - mean) ** 2 for off in offsets) / 9) ** 0.5
    # NIST/SEMATECH e-Handbook 6.1.6 [R]; readings are printed to 0.01 mm.
    assert drop.found.cpk == pytest.approx((drop.tolerance - mean) / (3 * spread), abs=0.02)
    rows = {row["key"]: row for row in csv.DictReader(io.StringIO(batch_csv(found)))}
    assert float(rows["bb_drop"]["mean_offset"]) == pytest.approx(mean, abs=0.01)
    assert rows["bb_drop"]["worst_serial"] == "S-9"
    assert {row["bikes"] for row in rows.values()} == {"10"}
    shown = builder.get("/office/bench/batch?batch=spring").text
    assert "S-9 +2.2" in shown
    assert builder.get("/office/bench/batch.csv?batch=spring").text.startswith("dimension,key")
    paper = builder.get("/office/bench/batch.pdf?batch=spring")
    assert paper.content.startswith(b"%PDF")
    assert builder.get("/office/bench/batch.pdf?batch=none").status_code == 404


def test_few_bikes_are_too_few_to_say(builder: TestClient, trail: Catalogue) -> None:
    shop = builder.app.state.engine  # type: ignore[attr-defined]
    with writing(shop) as session:
        keep(session, trail, "S-1")
    report = builder.get("/office/bench/batch?batch=spring").text
    assert "too few to say, at least 10 are needed" in report


@pytest.mark.parametrize(
    ("off", "verdict"), [(0.0, "all readings are the same"), (9.0, "not kept")]
)
def test_many_bikes_that_read_the_same_are_not_too_few(
    builder: TestClient, trail: Catalogue, off: float, verdict: str
) -> None:
    shop = builder.app.state.engine  # type: ignore[attr-defined]
    with writing(shop) as session:
        for i in range(12):
            keep(session, trail, f"S-{i}", off)
    with reading(shop) as session:
        found = {one.key: one for one in dimensions_of(session, "spring")}
    assert found["bb_drop"].verdict.startswith(verdict)
    assert "too few to say" not in builder.get("/office/bench/batch?batch=spring").text


def test_the_register_is_found_and_tells_what_is_known(
    builder: TestClient, trail: Catalogue
) -> None:
    shop = builder.app.state.engine  # type: ignore[attr-defined]
    with writing(shop) as session:
        keep(session, trail, "KW-12")
    found = builder.get("/office/bench/serials?q=w-1").text
    assert "KW-12" in found
    assert "No number contains this" in builder.get("/office/bench/serials?q=zz").text
    with reading(shop) as session:
        frame = frame_of_serial(session, "KW-12")
        assert frame is not None
    one = builder.get(f"/office/bench/serials/{frame.id}").text
    assert "Knapweed, size Medium, revision 2" in one
    assert "the bike measures as drawn" in one
    assert builder.get("/office/bench/serials/999").status_code == 404


def test_an_older_record_never_says_no_single_cause_beside_a_certainty() -> None:
    cause = {"words": "Fork.", "odds": 1.0, "chance": "100 in 100"}
    old = {"verdict": "more than one cause", "causes": [cause], "contradictions": []}
    assert as_told_now(old)["explanations"][0]["chance"] == ""
    assert "100 in 100" not in str(
        as_told_now(old | {"verdict": "one cause"})["explanations"][0]["chance"]
    )


def test_every_reading_lights_its_place() -> None:
    style = (STATIC / "css/blocks/areas/bench.css").read_text()
    for key in SPREADS:
        assert f'[name="value.{key}"]:focus) [data-figure="drawing-{key}"]' in style
    assert list(NUMBERS) == list(SPREADS)
