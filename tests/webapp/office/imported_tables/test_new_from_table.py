"""A model begun from a pasted table: read, asked, computed, compared, kept."""

from __future__ import annotations

from fastapi import FastAPI
from fastapi.testclient import TestClient

from tests.webapp.office.imported_tables.test_table_read import workbook
from webapp.common.storage.database import reading
from webapp.office.revisions.drafts import read_revision

AT = "/office/models/new"
TABLE = """\tS\tM\tL\tXL
Reach\t43.0\t45.5\t48.0\t50.5
Head angle\t65°30'\t65.5\t65.5\t65.5
Head tube\t10.0\t11.0\t12.0\t13.0
Seat tube angle\t76\t76\t76\t76
Seat tube\t40\t43\t46\t49
Chainstay\t43.5\t43.5\t43.5\t43.5
BB drop\t5.5\t5.5\t5.5\t5.5
Wheelbase\t116.5\t119.4\t122.9\t125.3
Colour\tmoss\tmoss\tmoss\tmoss
"""
SHARED = {
    "axle_to_crown": "530", "axle_to_crown_measured": "along", "offset": "44", "travel": "0",
    "lower_headset_stack": "0", "rim": "622", "tyre_width": "60", "wheel_radius": "371",
    "head_tube": "zs44/zs56", "fork_shortest": "500", "fork_longest": "540", "travel_max": "0",
    "tyre_recommended": "60", "tyre_largest": "65", "rear_axle": "12x148-through",
    "bottom_bracket": "73-threaded", "post_diameter": "31.6", "usage_class": "4",
    "mass_rider": "120", "mass_whole": "140", "ring_largest": "34", "ring_smallest": "26",
    "ring_chainline": "52", "chainline_min": "49", "chainline_max": "56", "spacers": "30",
}  # fmt: skip
NAMED = {"name": "Sedge", "frame_price": "1500"}
FURTHER = {
    "top_tube.below_head_tube_top": "40", "top_tube.along_seat_tube": "330",
    "top_tube.diameter": "34.9", "post.depth": "250", "stem_length": "40",
}  # fmt: skip


def cells(text: str) -> dict[str, str]:
    """Name and value of every cell of the answered form."""
    parts = text.split('class="field-control office-cell"')[1:]
    names = [part.split('name="', 1)[1].split('"', 1)[0] for part in parts]
    values = [part.split('value="', 1)[1].split('"', 1)[0] for part in parts]
    return dict(zip(names, values, strict=True))


def test_a_table_from_elsewhere_becomes_a_model(builder: TestClient, app: FastAPI) -> None:
    begun = builder.post(AT, data={**NAMED, "do": "table", "like": "blank", "table": TABLE})
    assert begun.status_code == 200
    assert "Lengths were read as centimetres." in begun.text
    assert "line 10, Colour: no dimension of ours" in begun.text
    form = cells(begun.text)
    assert (form["m.reach"], form["s.head_angle"], form["xl.stated.wheelbase"]) == (
        "455", "65.5", "1253",
    )  # fmt: skip
    assert form["m.stack"] == ""
    sent = {**NAMED, **SHARED, "sizes": "S, M, L, XL", **form}
    checked = builder.post(AT, data={**sent, "do": "check"}).text
    # The stack of every size follows from the loop; one wheelbase is 5 mm from the others' run.
    form = cells(checked)
    assert form["m.stack"] == "619.1"
    assert "wheelbase of size L: 1224 mm instead of 1229 mm would agree" in checked
    assert "contradicts itself" in checked
    sent |= form | {f"{s}.{path}": v for s in ("s", "m", "l", "xl") for path, v in FURTHER.items()}
    kept = builder.post(AT, data={**sent, "do": "keep"}, follow_redirects=False)
    assert kept.status_code == 303
    with reading(app.state.engine) as session:
        large = read_revision(session, "sedge", 1).size("l").data
    assert large.stated is not None
    assert large.stated.wheelbase == 1229
    page = builder.get("/office/models/sedge/1").text
    assert "Wheelbase, stated" in page
    assert "It can be kept as a draft, but not published." in page


def test_a_workbook_is_read_into_a_draft_and_what_is_not_is_named(builder: TestClient) -> None:
    builder.post("/office/models/knapweed/draft")
    at = "/office/models/knapweed/3"
    file = workbook([["Size", "Medium", "Huge"], ["Reach (mm)", 474, 500], ["Paint", 1, 2]])
    answer = builder.post(
        f"{at}/sizes", data={"do": "paste", "table": ""}, files={"file": ("t.xlsx", file)}
    )
    assert answer.status_code == 200
    assert cells(answer.text)["m.reach"] == "474"
    assert "line 3, Paint: no dimension of ours" in answer.text
    assert "Huge: no size of this revision" in answer.text
    bad = builder.post(f"{at}/sizes", data={"do": "paste"}, files={"file": ("t.xlsx", b"PK\3\4")})
    assert bad.status_code == 422
    assert (
        builder.post(AT, data={**NAMED, "do": "table"}, files={"file": ("a", b"\0")}).status_code
        == 422
    )
