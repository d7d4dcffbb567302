"""Published tables of invented builders, in the trade's many ways of writing them."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Sequence
from contextlib import suppress

import pytest

from geometry.bike import Bike, figures, missing
from geometry.examples import trail_bike
from webapp.common.errors import Invalid
from webapp.office.imported_tables.completing import (
    completed,
    drawn_with_of,
    front_centre_recognised,
)
from webapp.office.imported_tables.lines import rows_of_file, rows_of_text
from webapp.office.imported_tables.table_read import TableRead, read_table

SHEETS = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"


PLAIN = """Geometry\tS\tM\tL
Reach (mm)\t430\t455\t480
Stack\t610\t620\t631
Head Tube Angle\t65.5°\t65.5°\t65.5°
Eff. Top Tube\t590\t617\t645
Colour\tmoss\tmoss\tmoss
Chain-stays\t435\t435\tn/a
"""


def read(text: str) -> TableRead:
    return read_table(rows_of_text(text))


def test_sizes_across_with_words_of_the_trade() -> None:
    found = read(PLAIN)
    assert found.sizes == ("S", "M", "L")
    assert found.values["head_angle"] == (65.5, 65.5, 65.5)
    assert found.values["stated.effective_top_tube"] == (590, 617, 645)
    assert found.values["chainstay_length"] == (435, 435, None)
    assert found.unread == (
        "line 6, Colour: no dimension of ours",
        "line 7, Chain-stays: n/a is no number",
    )


@pytest.mark.parametrize(
    "text",
    [
        "Size;Reach;Stack;Sitzrohr\nS;430,5;610;1\nM;455;620;2",
        "size,reach_mm,stack_mm\nS,430.5,610\nM,455,620",
        "Size\treach [cm]\tstack [cm]\nS\t43.05\t61\nM\t45,5\t62",
        "Dimension\tUnit\tS\tM\nReach\tcm\t43.05\t45.5\nStack\tcm\t61\t62",
        "\tS\tM\nReach\t43.05\t45.5\nStack\t61.0\t62.0",
        '| Size | S | M |\n| Reach | 430.5 mm | 45.5 cm |\n| Stack | 610 | 620 |',
    ],
)  # fmt: skip
def test_either_way_round_in_any_unit(text: str) -> None:
    found = read(text)
    assert found.sizes == ("S", "M")
    assert found.values["reach"] == (430.5, 455)
    assert found.values["stack"] == (610, 620)


def test_inches_and_minutes_of_arc() -> None:
    found = read(
        '\tS\tM\nReach\t17"\t17 1/2"\nSeat angle\t73°30\'\t73° 15\' 0"\nBB drop (in)\t2.5\t2.5'
    )
    assert found.values["reach"] == (431.8, 444.5)  # 1 in = 25.4 mm exactly
    assert found.values["seat_tube_angle"] == (73.5, 73.25)
    assert found.values["bb_drop"] == (63.5, 63.5)


def test_a_short_length_takes_the_unit_of_the_others() -> None:
    """7.0 could be a drop in mm; in a table of centimetres it is none."""
    found = read("\tS\tM\nReach\t43\t45\nBB drop\t7.0\t6.5")
    assert found.values["bb_drop"] == (70, 65)
    assert found.notes == ("Lengths were read as centimetres.",)


def test_a_workbook_gives_its_first_sheet() -> None:
    assert rows_of_file(workbook([["", "S"], ["Reach", 430.00000000000006]])) == [
        ["", "S"], ["Reach", "430"],
    ]  # fmt: skip


@pytest.mark.parametrize(
    "content",
    [
        b"PK\x03\x04 no zip at all",
        b"\x00\x01\x02",
        b"x" * 1_000_001,
    ],
)
def test_a_file_that_is_no_table_is_refused_in_words(content: bytes) -> None:
    with pytest.raises(Invalid):
        rows_of_file(content)


ENTITIES = (
    b'<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;">]>'
    b'<worksheet xmlns="' + SHEETS.encode() + b'"><sheetData><row><c t="inlineStr"><is><t>&b;'
    b"</t></is></c></row></sheetData></worksheet>"
)


@pytest.mark.parametrize(
    "sheet", [b"<x>" + b" " * 9_000_000 + b"</x>", ENTITIES, b"<x>", b"", b"\xff\xfe\0"]
)
def test_a_workbook_that_unpacks_too_far_or_declares_is_refused(sheet: bytes) -> None:
    content = packed_workbook(sheet)
    assert len(content) < 100_000
    with pytest.raises(Invalid):
        rows_of_file(content)


def test_a_workbook_of_too_many_files_is_refused() -> None:
    packed = io.BytesIO(workbook([["", "S"], ["Reach", 430]]))
    with zipfile.ZipFile(packed, "a") as made:
        for number in range(500):
            made.writestr(f"xl/more{number}.xml", b"")
    with pytest.raises(Invalid):
        rows_of_file(packed.getvalue())


def test_a_workbook_broken_anywhere_is_read_or_refused_in_words() -> None:
    """Every eleventh byte of a real one changed, one at a time."""
    whole = workbook([["", "S", "M"], ["Reach", 430, 450.5], ["Head angle", "65°30'", 65.5]])
    for place in range(4, len(whole), 11):
        broken = whole[:place] + bytes([whole[place] ^ 0x55]) + whole[place + 1 :]
        with suppress(Invalid):
            assert len(rows_of_file(broken)) <= 400


def test_only_values_within_a_tables_bounds_are_read() -> None:
    """Formulas give the value kept with them; far cells and later sheets are left out."""
    sheet = (
        f'<worksheet xmlns="{SHEETS}"><dimension ref="A1:XFD1048576"/><sheetData>'
        '<row r="1"><c r="A1" t="inlineStr"><is><t>Reach</t></is></c><c r="C1"><f>1+1</f>'
        '<v>431</v></c><c r="XFD1"><v>1</v></c></row><row r="3"><c r="B3" t="e"><v>#REF!</v></c>'
        '<c r="C3" t="b"><v>1</v></c></row><row r="1048576"><c r="A1048576"><v>5</v></c></row>'
        "</sheetData></worksheet>"
    )
    rows = rows_of_file(packed_workbook(sheet.encode()))
    assert rows[:3] == [["Reach", "", "431"], [], ["", "#REF!", "True"]]
    assert len(rows) <= 400
    assert not any(rows[3:])


@pytest.mark.parametrize("text", ["", "Colour\tS\nPaint\tred", "1\t2\t3", "Reach"])
def test_what_names_no_dimension_is_refused(text: str) -> None:
    with pytest.raises(Invalid):
        read(text if text != "Reach" else "Hue")


def test_what_is_left_out_follows_from_what_the_solver_says() -> None:
    """Every way to a dimension gives back the drawing that the solver's figures are of."""
    bike = trail_bike.trail_hardtail()
    known = figures(Bike(build=trail_bike.trail_build()))
    whole = {
        "reach": bike.reach, "stack": bike.stack, "head_angle": bike.head_angle,
        "head_tube_length": bike.head_tube_length, "seat_tube_angle": bike.seat_tube_angle,
        "chainstay_length": bike.chainstay_length, "bb_drop": bike.bb_drop,
        **{k: float(known[k]) for k in
           ("effective_top_tube", "front_centre", "rear_centre", "wheelbase", "bb_height")},
        "axle_to_crown": 520.0, "offset": 48.0, "lower_headset_stack": 12.0, "wheel_radius": 370.0,
    }  # fmt: skip
    for key in ("reach", "stack", "head_angle", "head_tube_length", "seat_tube_angle", "bb_drop",
                "chainstay_length"):  # fmt: skip
        rest = {name: float(value) for name, value in whole.items() if name != key}
        assert missing(rest)[key][0] == pytest.approx(float(whole[key]), abs=0.01)


def test_the_fork_a_table_states_completes_it() -> None:
    text = (
        "\tS\tM\nReach\t430\t455\nHead angle\t65.5\t65.5\nHead tube\t100\t110\nBB drop\t55\t55\n"
        "Fork length\t530\t530\nRake\t44\t44\nWheel radius\t371\t371\nLower headset\t0\t0"
    )
    found = read(text)
    drawn_with = drawn_with_of(found)
    assert drawn_with == {
        "axle_to_crown": 530, "offset": 44, "wheel_radius": 371, "lower_headset_stack": 0,
    }  # fmt: skip
    (stack,) = (one for one in completed(found, drawn_with) if one.path == "stack")
    assert stack.values == (610.0, 619.1)
    assert stack.formula.startswith("S = BBD")


def test_a_front_centre_is_level_or_straight_as_it_agrees() -> None:
    rows = "\tM\nChainstay\t430\nBB drop\t66\nWheelbase\t1180\nFront centre\t{}"
    level, straight = read(rows.format(755)), read(rows.format(758))
    assert "stated.front_centre" in front_centre_recognised(level).values
    assert "stated.front_centre_straight" in front_centre_recognised(straight).values


def workbook(rows: list[list[object]]) -> bytes:
    """A workbook as ECMA-376 part 1 describes it, with shared strings."""
    shared: list[str] = []

    def cell(value: object, place: int, row: int) -> str:
        at = f'r="{chr(ord("A") + place)}{row}"'
        if isinstance(value, str):
            shared.append(value)
            return f'<c {at} t="s"><v>{len(shared) - 1}</v></c>'
        return f"<c {at}><v>{value!r}</v></c>"

    body = "".join(
        f'<row r="{number}">{"".join(cell(v, i, number) for i, v in enumerate(row))}</row>'
        for number, row in enumerate(rows, start=1)
    )
    sheet = f'<worksheet xmlns="{SHEETS}"><sheetData>{body}</sheetData></worksheet>'
    return packed_workbook(sheet.encode(), shared)


def packed_workbook(sheet: bytes, shared: Sequence[str] = ()) -> bytes:
    """The package around a sheet, with no more in it than the standard asks for."""
    office = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    package = "http://schemas.openxmlformats.org/package/2006"
    kind = "application/vnd.openxmlformats-officedocument.spreadsheetml"
    texts = "".join(f"<si><t>{text}</t></si>" for text in shared)
    files = {
        "[Content_Types].xml": f'<Types xmlns="{package}/content-types">'
        '<Default Extension="rels" ContentType='
        '"application/vnd.openxmlformats-package.relationships+xml"/>'
        f'<Override PartName="/xl/workbook.xml" ContentType="{kind}.sheet.main+xml"/>'
        f'<Override PartName="/xl/worksheets/sheet1.xml" ContentType="{kind}.worksheet+xml"/>'
        f'<Override PartName="/xl/sharedStrings.xml" ContentType="{kind}.sharedStrings+xml"/>'
        "</Types>",
        "_rels/.rels": f'<Relationships xmlns="{package}/relationships"><Relationship Id="r1" '
        f'Type="{office}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{SHEETS}" xmlns:r="{office}"><sheets><sheet '
        'name="Table" sheetId="1" r:id="r1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{package}/relationships">'
        f'<Relationship Id="r1" Type="{office}/worksheet" Target="worksheets/sheet1.xml"/>'
        f'<Relationship Id="r2" Type="{office}/sharedStrings" Target="sharedStrings.xml"/>'
        "</Relationships>",
        "xl/sharedStrings.xml": f'<sst xmlns="{SHEETS}">{texts}</sst>',
    }
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as made:
        for name, text in files.items():
            made.writestr(name, text)
        made.writestr("xl/worksheets/sheet1.xml", sheet)
    return packed.getvalue()
