"""Files of parts: tried row by row, brought in whole, whatever they were saved by."""

from __future__ import annotations

import csv
import io
from datetime import date

import pytest
from fastapi.testclient import TestClient
from sqlalchemy import Engine
from sqlmodel import col, func, select

from tests.webapp.office.conftest import bring_in
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.tables import Edit, Part, Price
from webapp.common.errors import Invalid
from webapp.common.storage.database import reading, writing
from webapp.office.parts.csv_files import MOST_ROWS, read_file
from webapp.office.parts.csv_import import CHANGED, NEW, SAME, WRONG, Trial, parts_file, try_file

DAY = date(2026, 3, 1)
HEAD = "kind,slug,name,price,models,usual_for,stack,rail_forward,rail_back,length,width"


def saddle(number: int, *, stack: str = "45", price: str = "49.00") -> str:
    return f"saddle,saddle-{number},Saddle {number},{price},knapweed,,{stack},20,20,270,145"


def a_file(count: int = 500, bad: int = 7) -> str:
    """Parts, of which some are wrong in seven different ways."""
    wrong = [
        saddle(1, stack="high"),
        saddle(2, stack="500"),
        saddle(3, price="cheap"),
        saddle(4).replace("saddle-4", "Saddle 4!"),
        saddle(5).replace("knapweed", "thistle"),
        saddle(6).replace("saddle,", "sofa,", 1),
        saddle(7).replace("Saddle 7", ""),
    ][:bad]
    good = [saddle(number) for number in range(100, 100 + count - len(wrong))]
    rows = good[:50] + wrong + good[50:]
    return "\n".join([HEAD, *rows]) + "\n"


def tried(shop: Engine, text: str | bytes, kind: str = "") -> Trial:
    content = text if isinstance(text, bytes) else text.encode()
    with reading(shop) as session:
        return try_file(session, read_file(content, kind=kind), day=DAY)


def test_five_hundred_parts_with_seven_bad_rows(shop: Engine) -> None:
    content = a_file().encode()
    trial = tried(shop, content)
    assert (trial.count(NEW), trial.count(WRONG)) == (493, 7)
    problems = {row.number: [p.field for p in row.problems] for row in trial.rows if row.problems}
    assert list(problems) == list(range(52, 59))
    assert problems[52] == ["saddle.saddle-1.stack"] or problems[52] == ["stack"]
    with reading(shop) as session:
        before = session.exec(select(func.count(col(Part.id)))).one()
    with writing(shop) as session:
        done = bring_in(session, read_file(content), who="Edda", day=DAY)
    assert [row.outcome for row in done.rows] == [row.outcome for row in trial.rows]
    with reading(shop) as session:
        assert session.exec(select(func.count(col(Part.id)))).one() == before + 493
        catalogue = load_catalogue(session, "knapweed")
        made = catalogue.part("saddle", "saddle-100")
        assert made.price is not None
        assert made.price.minor == 4900
        moments = session.exec(select(Edit.at).where(Edit.who == "Edda").distinct()).all()
        assert len(moments) == 1  # one save
    again = tried(shop, content)
    assert (again.count(SAME), again.count(WRONG)) == (493, 7)


def test_the_whole_catalogue_goes_out_and_comes_back_unchanged(shop: Engine) -> None:
    with reading(shop) as session:
        text = parts_file(session, day=DAY)
        count = session.exec(select(func.count(col(Part.id)))).one()
    trial = tried(shop, text)
    assert len(trial.rows) == count
    assert {row.outcome for row in trial.rows} == {SAME}, [r for r in trial.rows if r.problems][:3]


def test_a_changed_price_and_number_are_told_and_kept(shop: Engine) -> None:
    with reading(shop) as session:
        rows = list(csv.DictReader(io.StringIO(parts_file(session, kind="saddle", day=DAY))))
    rows[0]["price"], rows[0]["stack"] = "61,50", "47,5"
    text = io.StringIO()
    writer = csv.DictWriter(text, list(rows[0]), delimiter=";")
    writer.writeheader()
    writer.writerows(rows)
    trial = tried(shop, text.getvalue())
    assert trial.rows[0].outcome == CHANGED
    assert set(trial.rows[0].changes) == {"stack", "price"}
    assert {row.outcome for row in trial.rows[1:]} <= {SAME}
    with writing(shop) as session:
        bring_in(session, read_file(text.getvalue().encode()), who="Edda", day=DAY)
    with reading(shop) as session:
        part = session.exec(select(Part).where(Part.slug == rows[0]["slug"])).one()
        assert part.data["stack"] == 47.5
        price = session.exec(select(Price).where(Price.part_id == part.id)).one()
        assert price.minor == 6150


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_encodings_and_separators(shop: Engine, encoding: str, separator: str) -> None:
    text = f"{HEAD}\n{saddle(1)}\n".replace("Saddle 1", "Sättel №1").replace(",", separator)
    trial = tried(shop, text.encode(encoding))
    assert [row.outcome for row in trial.rows] == [NEW]
    assert trial.rows[0].name == "Sättel №1"


def test_a_line_in_another_encoding_condemns_itself_alone(shop: Engine) -> None:
    lines = [
        HEAD.encode(),
        saddle(1).encode(),
        saddle(2).replace("Saddle", "Sättel").encode("cp1252"),
    ]
    trial = tried(shop, b"\r\n".join([*lines, saddle(3).encode()]))
    assert [row.outcome for row in trial.rows] == [NEW, WRONG, NEW]
    assert "UTF-8" in trial.rows[1].problems[0].remedy
    assert trial.rows[1].number == 3


def test_a_decimal_comma_in_a_file_parted_by_commas_is_said_in_its_row(shop: Engine) -> None:
    trial = tried(shop, "\n".join([HEAD, saddle(1), saddle(2, stack="45,5"), saddle(3)]))
    assert [row.outcome for row in trial.rows] == [NEW, WRONG, NEW]
    assert "decimal comma" in trial.rows[1].problems[0].remedy
    quoted = tried(shop, "\n".join([HEAD, saddle(2, stack='"45,5"')]))
    assert quoted.rows[0].data["stack"] == 45.5


def test_missing_columns_are_said_row_by_row(shop: Engine) -> None:
    trial = tried(shop, "slug,name,stack\na-1,A,45\na-2,B,46\n")
    assert [row.outcome for row in trial.rows] == [WRONG, WRONG]
    assert trial.rows[0].problems[0].field == "kind"
    named = tried(shop, "slug,name,stack\na-1,A,45\n", kind="saddle")
    fields = {p.field for p in named.rows[0].problems}
    assert fields == {"rail_forward", "rail_back"}
    unknown = tried(shop, HEAD + ",girth\n" + saddle(1) + ",12\n")
    assert unknown.rows[0].problems[0].field == "girth"


def test_a_part_twice_in_one_file_counts_once(shop: Engine) -> None:
    trial = tried(shop, "\n".join([HEAD, saddle(1), saddle(1, stack="46")]))
    assert [row.outcome for row in trial.rows] == [NEW, WRONG]
    assert "row 2" in trial.rows[1].problems[0].remedy


@pytest.mark.parametrize(
    "content",
    [b"", b"\n \n", b"\x00\x01\x02", b"a,a\n1,2\n", ("kind\n" + "x\n" * (MOST_ROWS + 1)).encode()],
)
def test_files_that_are_refused_as_a_whole(content: bytes) -> None:
    with pytest.raises(Invalid):
        read_file(content)


def test_a_spreadsheet_runs_nothing_from_a_name(shop: Engine) -> None:
    text = "\n".join([HEAD, saddle(1).replace("Saddle 1", "=1+1")])
    with writing(shop) as session:
        bring_in(session, read_file(text.encode()), who="Edda", day=DAY)
    with reading(shop) as session:
        out = parts_file(session, kind="saddle", day=DAY)
    assert "'=1+1" in out
    assert {row.outcome for row in tried(shop, out).rows} == {SAME}


def put_in_force(builder: TestClient, number: int) -> None:
    """Look at a draft and let it take hold."""
    assert builder.get(f"/office/part-changes/{number}").status_code == 200
    assert builder.post(f"/office/part-changes/{number}/put-in-force").status_code == 303


def test_the_page_tries_first_and_keeps_then(builder: TestClient) -> None:
    sent = {"file": ("parts.csv", a_file(60).encode(), "text/csv")}
    shown = builder.post("/office/import/try", data={"kind": ""}, files=sent)
    assert shown.status_code == 200
    assert "53 to keep, 0 unchanged, 7 wrong" in shown.text
    assert "from 20 to 100 mm" in shown.text
    assert "saddle-101" not in builder.get("/office/parts?kind=saddle").text
    form = {"content": (None, a_file(60)), "kind": (None, "")}
    kept = builder.post("/office/import", files=form)
    assert "60 of 60 rows" in kept.text
    assert kept.text.index("60 of 60 rows") < kept.text.index("53 in the draft")
    assert kept.text.rstrip().endswith("</html>")
    assert "saddle-101" not in builder.get("/office/parts?kind=saddle").text
    draft = builder.get("/office/part-changes/1").text
    assert "File of 53 parts" in draft
    assert "further parts were not looked at one by one" in draft
    put_in_force(builder, 1)
    assert "/saddle-101" in builder.get("/office/parts?kind=saddle&q=saddle-101").text
    assert builder.post("/office/part-changes/1/take-back").status_code == 303
    assert "saddle-101" not in builder.get("/office/parts?kind=saddle").text
    assert builder.post("/office/import/try", data={"kind": ""}).status_code == 422
    out = builder.get("/office/import/parts.csv?kind=saddle")
    assert out.text.startswith("kind,slug,name,price,cost,models,usual_for,")
    assert builder.get("/office/import/parts.csv?kind=sofa").status_code == 422


def test_a_part_is_changed_priced_offered_retired_and_brought_back(builder: TestClient) -> None:
    import re
    from html import unescape

    at = "/office/parts/saddle"
    new = {"part_name": "Plank", "part_price": "12,50", "stack": "30",
           "rail_forward": "10", "rail_back": "10", "offer:knapweed": "yes",
           "place:knapweed": "7"}  # fmt: skip
    assert builder.post(at, data=new | {"stack": "3000"}).status_code == 422
    for place in ("²", "first", "9" * 5000):
        refused = builder.post(at, data=new | {"place:knapweed": place})
        assert refused.status_code == 422
        assert f'name="place:knapweed" type="text" value="{place}"' in refused.text
    assert builder.post(at, data=new, follow_redirects=False).status_code == 303
    assert builder.post(at, data=new).status_code == 409
    page = builder.get(f"{at}/plank").text
    assert 'value="12.50"' in page
    hidden = {n: unescape(re.findall(rf'name="{n}" value="([^"]*)"', page)[0])
              for n in ("stamp", "base")}  # fmt: skip
    changed = new | hidden | {"stack": "31"}
    assert builder.post(f"{at}/plank", data=changed, follow_redirects=False).status_code == 303
    assert 'value="30"' in builder.get(f"{at}/plank").text  # offered: a draft as yet
    put_in_force(builder, 2)
    stale = builder.post(f"{at}/plank", data=changed | {"stack": "32"})
    assert stale.status_code == 409
    assert 'value="32"' in stale.text
    assert builder.post(f"{at}/plank/retire", data={"replaced_by": "plank"}).status_code == 422
    builder.post(f"{at}/plank/retire", data={"replaced_by": ""})
    put_in_force(builder, 3)
    assert "Retired" in builder.get(f"{at}/plank").text
    builder.post(f"{at}/plank/restore")
    put_in_force(builder, 4)
    assert "Retired" not in builder.get(f"{at}/plank").text
    assert builder.get("/office/parts/sofa/new").status_code == 404


def test_every_kind_has_its_pages(builder: TestClient) -> None:
    from webapp.catalogue.schema.part_kinds import PART_KINDS

    for kind in PART_KINDS:
        assert builder.get(f"/office/parts/{kind}/new").status_code == 200
        assert builder.post(f"/office/parts/{kind}", data={"mass": "heavy"}).status_code == 422


def test_a_quotation_mark_never_closed_is_told_with_its_line() -> None:
    text = f'kind,slug,name\nsaddle,a,"{"n" * 200_000}\n'
    with pytest.raises(Invalid, match="open at line 2"):
        read_file(text.encode())


def test_a_file_of_prices_alone_changes_prices_alone(shop: Engine) -> None:
    rows = tried(shop, "kind,slug,price\nstem,40-0,75.50\nstem,55-0,\nstem,unknown,1.00\n").rows
    assert [(row.outcome, row.changes) for row in rows[:1]] == [("changed", ("price",))]
    assert rows[1].outcome in ("unchanged", "wrong")
    assert rows[2].outcome == "wrong"
