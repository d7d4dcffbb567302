"""Bench checks: one misread value is found, checks are kept, batches have a trend."""

from __future__ import annotations

from datetime import date

import pytest
from fastapi.testclient import TestClient
from sqlalchemy import Engine

from geometry.verify.bench_result import Reading
from webapp.builds.choice.build_choice import read_choice
from webapp.builds.evaluation import BuildResult, compute
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Invalid, NotFound
from webapp.common.storage.database import reading, writing
from webapp.office.bench.batch import dimensions_of
from webapp.office.bench.check import check_bike, measurable
from webapp.office.bench.picture import bench_picture
from webapp.office.bench.readings import read_readings
from webapp.office.bench.records import bench_by_id, list_bench, save_bench
from webapp.office.bench.report_words import frozen

READ = ("head_angle", "reach", "stack", "chainstay_length", "rear_centre", "wheelbase", "bb_drop",
        "bb_height", "fork.axle_to_crown", "build.front_radius", "build.rear_radius")  # fmt: skip


def build(catalogue: Catalogue, size: str = "m") -> BuildResult:
    return compute(catalogue, read_choice(catalogue, {"size": [size]}).choice)


def readings_of(result: BuildResult, **off: float) -> tuple[Reading, ...]:
    """What the bike should read, with some values off."""
    known = {**result.states["unloaded"].figures}
    inputs = {
        "fork.axle_to_crown": result.assembly.build.fork.axle_to_crown,
        "build.front_radius": result.assembly.build.front_radius,
        "build.rear_radius": result.assembly.build.rear_radius,
    }
    known |= {key: float(value) for key, value in inputs.items()}
    given = [(key, f"{known[key] + off.get(key, 0.0):.2f}", "") for key in READ]
    return read_readings(given)


def test_a_bike_as_drawn_raises_no_alarm(trail: Catalogue) -> None:
    result = build(trail)
    finding = check_bike(trail, result.choice, readings_of(result))
    assert finding.report.verdict == "as built"
    assert not any(one.beyond for one in finding.report.contradictions)


def test_one_misread_value_is_named(trail: Catalogue) -> None:
    """Two digits swapped on the tape: chainstay 427 read as 463."""
    result = build(trail)
    finding = check_bike(trail, result.choice, readings_of(result, chainstay_length=36.0))
    first = finding.report.causes[0]
    assert (first.kind, first.key) == ("misread", "chainstay_length")
    assert finding.report.verdict == "one cause"
    assert finding.report.contradictions[0].beyond
    drawn = bench_picture(result, finding.state, frozen(finding.report))
    assert "(+36.0)" in drawn


def test_what_can_be_read_is_of_the_build(trail: Catalogue, tourer: Catalogue) -> None:
    assert "build.slot_position" in measurable(build(trail))
    assert set(READ) <= set(measurable(build(trail)))
    with pytest.raises(Invalid, match="unloaded"):
        result = build(tourer)
        check_bike(tourer, result.choice, readings_of(result), state="bottomed")


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ([], "reading"),
        ([("wheelbase", "", "")], "reading"),
        ([("wheelbase", "long", "")], "reading.wheelbase"),
        ([("wheelbase", "1171", "0")], "spread.wheelbase"),
        ([("girth", "12", "")], "reading.girth"),
    ],
)
def test_readings_that_cannot_be_used(given: list[tuple[str, str, str]], field: str) -> None:
    with pytest.raises(Invalid) as refused:
        read_readings(given)
    assert refused.value.field == field


def test_a_batch_shows_its_mean_offset_and_spread(shop: Engine, trail: Catalogue) -> None:
    """Five bikes whose BB drop is 3, 4, 5, 4, 4 mm more than drawn: mean 4, s = √½ [arithmetic]."""
    result = build(trail)
    with writing(shop) as session:
        for number, off in enumerate((3.0, 4.0, 5.0, 4.0, 9.0, 4.0)):
            taken = readings_of(result, bb_drop=off)
            finding = check_bike(trail, result.choice, taken)
            # The last bike is measured twice; only the later check counts.
            serial = f"KW-{min(number, 4)}"
            save_bench(
                session, finding, taken, who="Edda", serial=serial, batch="spring", note="",
                quote_number="", measured_on=date(2026, 3, 1), again=number == 5,
            )  # fmt: skip
    with reading(shop) as session:
        rows = {row.key: row for row in dimensions_of(session, "spring")}
        assert len(list_bench(session, batch="spring")) == 6
        assert list_bench(session, serial="KW-4")[0].serial == "KW-4"
        assert list_bench(session, serial="KX") == ()
        assert dimensions_of(session, "autumn") == ()
    drop = rows["bb_drop"]
    assert drop.count == 5
    assert drop.found.mean == pytest.approx(4.0, abs=0.01)
    assert drop.found.spread == pytest.approx(0.5**0.5, abs=0.01)
    assert drop.stands_out
    assert drop.words == "4.0 mm more than drawn, over 5 bikes"
    assert rows["reach"].words == ""


def test_a_check_is_kept_with_what_it_said(shop: Engine, trail: Catalogue) -> None:
    result = build(trail)
    taken = readings_of(result, chainstay_length=36.0)
    finding = check_bike(trail, result.choice, taken)
    with pytest.raises(Invalid, match="serial"), writing(shop) as session:
        save_bench(
            session, finding, taken, who="Edda", serial=" ", batch="", note="", quote_number="",
            measured_on=date(2026, 3, 1),
        )  # fmt: skip
    with writing(shop) as session:
        number = save_bench(
            session, finding, taken, who="Edda", serial="KW-1", batch="", note="", quote_number="",
            measured_on=date(2026, 3, 1),
        )  # fmt: skip
    with reading(shop) as session:
        kept = bench_by_id(session, number)
        with pytest.raises(NotFound):
            bench_by_id(session, 999)
    assert kept.report["causes"][0]["key"] == "chainstay_length"
    assert "should read about 427" in kept.report["causes"][0]["words"]
    assert len(kept.readings) == len(READ)


def form(trail: Catalogue, **off: float) -> dict[str, str]:
    from webapp.builds.choice.build_choice import query_of

    result = build(trail)
    values = {f"value.{one.key}": f"{one.value:g}" for one in readings_of(result, **off)}
    return {"model": "knapweed", "build": query_of(result.choice), "state": "unloaded"} | values


def test_the_pages_of_the_bench(builder: TestClient, trail: Catalogue) -> None:
    assert "No bike has been measured" in builder.get("/office/bench").text
    assert "Chainstay" in builder.get("/office/bench/measure?model=knapweed").text
    assert builder.get("/office/bench/measure?quote=2026-0999").status_code == 404
    assert builder.get("/office/bench/measure?link=/table/knapweed").status_code == 422
    link = "http://localhost/build/knapweed?size=l&rev=1"
    assert (
        "size Large, revision 1" in builder.get("/office/bench/measure", params={"link": link}).text
    )
    typed = form(trail, chainstay_length=36.0)
    part = builder.post("/office/bench/check", data=typed, headers={"HX-Request-Type": "partial"})
    assert "Chainstay length was misread" in part.text
    assert "(+36.0)" in part.text
    refused = builder.post("/office/bench", data=typed | {"do": "keep"})
    assert refused.status_code == 422
    assert "stamped into the frame" in refused.text
    kept = builder.post(
        "/office/bench",
        data=typed | {"do": "keep", "serial": "KW-7", "batch": "b1"},
        follow_redirects=True,
    )
    assert "Chainstay length was misread" in kept.text
    assert "KW-7" in builder.get("/office/bench?batch=b1").text
    assert "Batch b1" in builder.get("/office/bench?batch=b1").text


def test_the_json_interface_says_the_same(client: TestClient, trail: Catalogue) -> None:
    taken = readings_of(build(trail), chainstay_length=36.0)
    body = {
        "model": "knapweed",
        "build": {"size": "m"},
        "measurements": [{"figure": r.key, "value": r.value, "spread": r.spread} for r in taken],
    }
    answer = client.post("/api/v1/bench", json=body)
    assert answer.status_code == 200
    found = answer.json()
    assert found["verdict"] == "one cause"
    assert found["causes"][0]["key"] == "chainstay_length"
    assert found["readings"][3]["residual"] == pytest.approx(36.0, abs=0.01)
    bad = body | {"measurements": [{"figure": "girth", "value": 1}]}
    assert client.post("/api/v1/bench", json=bad).status_code == 422
    assert client.post("/api/v1/bench", json=body | {"measurements": []}).status_code == 422
    spread = [{"figure": "wheelbase", "value": 1171, "spread": -1}]
    assert client.post("/api/v1/bench", json=body | {"measurements": spread}).status_code == 422


def test_changes_between_published_revisions_as_json(client: TestClient) -> None:
    """Read off the two revisions' own files: Medium's reach 468 and 473, slot 14 and 24."""
    found = client.get("/api/v1/models/knapweed/changes?from=1&to=2").json()
    reach = next(row for row in found["drawn"] if row["dimension"] == "reach")
    medium = next(one for one in reach["sizes"] if one["size"] == "m")
    assert medium == {"size": "m", "before": 468.0, "after": 473.0, "change": 5.0}
    assert "Slot length 24 mm instead of 14." in found["changelog"]
    standing = next(row for row in found["standing"] if row["figure"] == "chainstay_length")
    assert {one["size"] for one in standing["sizes"] if one["change"] is None} <= {"xxl"}
    assert len(standing["sizes"]) >= 5  # the sixth is new in revision 2
    assert client.get("/api/v1/models/knapweed/changes?from=1&to=7").status_code == 404
    assert client.get("/api/v1/models/knapweed/changes?from=1").status_code == 422
    assert client.get("/api/v1/models/knapweed/changes?from=1&to=2&girth=1").status_code == 422


def test_a_quotes_bike_is_measured_against_the_build_it_was_quoted_as(shop: Engine) -> None:
    from tests.webapp.quote.conftest import CUSTOMER, MOMENT
    from webapp.catalogue.reading.load import load_catalogue
    from webapp.office.bench.build_choice import build_of_link, build_of_quote
    from webapp.quote.lifecycle.request import ask_for_quote

    with reading(shop) as session:
        catalogue = load_catalogue(session, "knapweed")
    choice = read_choice(catalogue, {"size": ["l"], "slot": ["12"]}).strict()
    with writing(shop) as session:
        made = ask_for_quote(session, catalogue, choice, CUSTOMER, form_key="", at=MOMENT)
    with reading(shop) as session:
        found, built = build_of_quote(session, f" {made.number} ")
        assert (found.revision.number, built.size, built.slot) == (2, "l", 12.0)
        with pytest.raises(NotFound):
            build_of_quote(session, "2026-0999")
        broken = "http://[x/build/knapweed"
        for link in ("", "/build", "/build/knapweed/x", "javascript:alert(1)", broken):
            with pytest.raises(Invalid):
                build_of_link(session, link)
