"""Fitting standards are chosen from lists that grow: never typed, never kept twice."""

from __future__ import annotations

import re
from html import unescape

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import select

from webapp.catalogue.schema.frames import RevisionData, SizeData
from webapp.catalogue.schema.part_kinds import PART_KINDS
from webapp.catalogue.schema.validation import data_schema
from webapp.catalogue.standards import JOINTS, STANDARDS
from webapp.catalogue.tables import Part, TradeName
from webapp.common.storage.database import reading
from webapp.office.forms.alike import alike

NAMES = "/office/settings/names"
FORK = {
    "part_name": "rigid fork, plain", "axle_to_crown": "430", "axle_to_crown_measured": "along",
    "offset": "47",
    "steerer_clamp_diameter": "28.6", "axle": "15x110-through", "steerer": "tapered-1.5",
    "tyres.0.bead_seat_diameter": "622", "tyres.0.recommended": "60", "tyres.0.widest": "65",
}  # fmt: skip


def test_every_standard_of_the_data_has_a_joint_with_a_list() -> None:
    schemas = [data_schema(model) for model in (*PART_KINDS.values(), RevisionData, SizeData)]
    found = [at for schema in schemas for at in _standards(schema)]
    assert len(found) > 25
    assert {at.get("joint") for at in found} == set(JOINTS) == set(STANDARDS)


def _standards(schema: object) -> list[dict[str, str]]:
    if isinstance(schema, list):
        return [at for each in schema for at in _standards(each)]
    if not isinstance(schema, dict):
        return []
    own = [schema] if "fitting standard" in str(schema.get("description")) else []
    code = [schema] if "pattern" in schema and "x/-" in schema["pattern"] else own
    return code or [at for each in schema.values() for at in _standards(each)]


@pytest.mark.parametrize(
    ("name", "means"),
    [
        ("1-1/8", ["straight-1-1/8"]), ("1 1/8 inch", ["straight-1-1/8"]),
        ("Straight 1⅛″", ["straight-1-1/8"]), ("1.125 straight", ["straight-1-1/8"]),
        ("1,5 tapered", ["tapered-1.5"]), ("straight 1 inch", ["straight-1"]),
        ("1 1/4 straight", []), ("threaded 22.2 mm", []),
    ],
)  # fmt: skip
def test_a_steerer_is_asked_about_however_it_is_written(name: str, means: list[str]) -> None:
    """1⅛ inch is one and an eighth, 1.125: by arithmetic."""
    assert list(alike(name, dict(STANDARDS["steerer"]))) == means


def test_words_and_axles_are_asked_about_too() -> None:
    axles, rotors = dict(STANDARDS["rear_axle"]), dict(STANDARDS["rotor_fixing"])
    assert "12x148-through" in alike("12 x 148 thru", axles)
    assert alike("12 × 157 mm through axle", axles) == ()
    assert alike("six bolts", rotors) == ("six-bolt",)
    assert alike("rotor on four screws", rotors) == ()


def options(page: str, field: str) -> set[str]:
    found = re.search(rf'<select[^>]*name="{re.escape(field)}"[^>]*>(.*?)</select>', page, re.S)
    assert found, field
    return set(re.findall(r'value="([^"]*)"', found[1]))


def test_a_part_chooses_adds_after_asking_and_never_types(
    builder: TestClient, app: FastAPI
) -> None:
    at = "/office/parts/fork"
    page = builder.get(f"{at}/new").text
    assert {"tapered-1.5", "straight-1-1/8"} <= options(page, "steerer")
    assert "15x110-through" in options(page, "axle")
    assert 'name="has:mounts:fork-cage"' in page
    typed = builder.post(at, data=FORK | {"steerer": "my own"})
    assert typed.status_code == 422
    assert "one of the list of steerers" in typed.text

    near = builder.post(at, data=FORK | {"new:steerer": "1 1/8 straight"})
    assert near.status_code == 422
    assert "is it one of the list: straight 1⅛ inch steerer?" in unescape(near.text)
    assert 'name="sure:steerer"' in near.text
    assert 'value="1 1/8 straight"' in near.text  # nothing is lost
    ticks = {"list:mounts": "yes", "has:mounts:mudguard": "yes", "has:mounts:fork-cage": "yes"}
    own = {"new:steerer": "threaded 22.2 mm steerer", "new:mounts": "lamp eye"}
    made = builder.post(at, data=FORK | ticks | own, follow_redirects=False)
    assert made.status_code == 303, re.findall("<li><a href=.#f-.*", made.text)
    with reading(app.state.engine) as session:
        part = session.exec(select(Part).where(Part.name == FORK["part_name"])).one()
        assert part.data["steerer"] == "threaded-22-2-mm-steerer"
        assert set(part.data["mounts"]) == {"mudguard", "fork-cage", "lamp-eye"}
        row = session.exec(select(TradeName).where(TradeName.code == "lamp-eye")).one()
        assert (row.name, row.joint) == ("lamp eye", "boss")
    headset = builder.get("/office/parts/headset/new").text
    assert "threaded-22-2-mm-steerer" in options(headset, "steerer")
    same = builder.post(
        at, data=FORK | {"part_name": "another", "new:steerer": "Threaded 22.2 mm steerer"},
        follow_redirects=False)  # fmt: skip
    assert same.status_code == 303
    with reading(app.state.engine) as session:
        twin = session.exec(select(Part).where(Part.name == "another")).one()
        assert twin.data["steerer"] == part.data["steerer"]


def test_a_frame_chooses_from_the_same_lists(builder: TestClient) -> None:
    builder.post("/office/models/knapweed/draft", data={})
    at = "/office/models/knapweed/3/shared"
    page = builder.get(at).text
    assert "68-threaded" in options(page, "bottom_bracket.standard")
    assert 'name="has:rear_axles:12x148-through" value="yes" checked' in re.sub(r"\s+", " ", page)


def test_unused_standards_are_pruned_and_used_ones_stay(builder: TestClient, app: FastAPI) -> None:
    added = {"joint": "hanger", "name": "hanger on three screws"}
    assert builder.post(f"{NAMES}/add", data=added, follow_redirects=False).status_code == 303
    code, used = "hanger-on-three-screws", "hanger-direct"
    page = builder.get(NAMES).text
    assert f'name="drop:{code}"' in page
    assert f'name="drop:{used}"' not in page
    near = builder.post(f"{NAMES}/add", data=added | {"name": "hangers with three screws"})
    assert near.status_code == 422
    assert 'name="sure"' in near.text
    refused = builder.post(NAMES, data={f"name:{used}": "x", f"drop:{used}": "yes"})
    assert refused.status_code == 409
    form = {f"name:{code}": "hanger on three screws", f"drop:{code}": "yes"}
    assert builder.post(NAMES, data=form, follow_redirects=False).status_code == 303
    with reading(app.state.engine) as session:
        assert session.exec(select(TradeName).where(TradeName.code == code)).first() is None
    assert code not in options(builder.get("/office/parts/derailleur/new").text, "mount")


HEADSETS = (
    "kind,slug,name,price,fits,steerer,lower_stack,upper_stack\n"
    "headset,low,Low headset,40,zs44/zs56,tapered 1.5 inch steerer,1,8\n"
    "headset,odd,Odd headset,40,zs44/zs56,1-1/8,1,8\n"
    "headset,old,Old headset,40,zs44/zs56,threaded 1 inch,1,8\n"
)


def test_a_file_names_unknown_standards_by_line_and_adds_what_is_ticked(
    builder: TestClient, app: FastAPI
) -> None:
    at, csv = "/office/import", {"content": HEADSETS}
    tried = unescape(builder.post(f"{at}/try", data=csv).text)
    assert "2 wrong" in tried
    assert "add “1-1/8” to the list of steerers" in tried
    assert "row 3; it reads like straight 1⅛ inch steerer" in tried
    accepted = {"add:steerer:threaded 1 inch": "yes"}
    again = unescape(builder.post(f"{at}/try", data=csv | accepted).text)
    assert "2 to keep" in again
    assert "1 wrong" in again
    kept = builder.post(at, data=csv | accepted).text
    draft = re.search(r"/office/part-changes/(\d+)", kept)
    assert draft
    done = builder.post(f"{draft[0]}/put-in-force", follow_redirects=False)
    assert done.status_code == 303, done.text
    with reading(app.state.engine) as session:
        rows = session.exec(select(Part).where(Part.kind == "headset")).all()
        steerers = {row.slug: row.data["steerer"] for row in rows}
        assert steerers["low"] == "tapered-1.5"
        assert steerers["old"] == "threaded-1-inch"
        assert "odd" not in steerers
        row = session.exec(select(TradeName).where(TradeName.code == "threaded-1-inch")).one()
        assert (row.name, row.joint) == ("threaded 1 inch", "steerer")
