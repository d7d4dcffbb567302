"""The shop's own mark at the head of its papers, as SVG and as PNG, and the name without one."""

from __future__ import annotations

import io
import os
import struct
import zlib
from datetime import UTC, datetime
from pathlib import Path

import pypdf
import pytest
from sqlalchemy import Engine

from tests.webapp.quote.order.an_order import Shop
from webapp.catalogue.marks.kept import keep_mark, mark_on_paper
from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.writing.shop import put_settings
from webapp.common.storage.database import reading, writing
from webapp.office.bench.batch_paper import batch_pdf
from webapp.quote.printing.handover import handover_pdf, handover_sheet
from webapp.quote.printing.pdf import quote_pdf
from webapp.quote.storage.read import quote_by_number, view_of

LINK = "https://shop.example/q/abcdefgh"
AT = datetime(2026, 3, 1, 9, 30, tzinfo=UTC)
SVG = (
    b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 20">'
    b'<path d="M0 0H60V20H0Z" fill="#3366cc"/></svg>'
)
BLUE = "0.2 0.4 0.8"  # 33, 66 and cc of 255, as a PDF has colours (ISO 32000-1, 8.6)


def png(width: int = 40, height: int = 20) -> bytes:
    """A plain blue picture, as ISO/IEC 15948 has it."""

    def chunk(name: bytes, data: bytes) -> bytes:
        check = struct.pack(">I", zlib.crc32(name + data))
        return struct.pack(">I", len(data)) + name + data + check

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    rows = (b"\0" + bytes((0x33, 0x66, 0xCC)) * width) * height
    body = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


def papers(shop: Engine, mark: bytes) -> dict[str, bytes]:
    """Quote, hand-over sheet and report of a batch of a shop with this mark."""
    with writing(shop) as session:
        data = settings_data(session).model_dump(mode="json")
        data["look"]["mark"] = keep_mark(session, mark) if mark else ""
        put_settings(session, who="Edda", data=data)
    order = Shop(shop)
    order.step("confirm_order", promised_on=AT.date())
    order.step("ask_deposit", due_on=AT.date(), text="")
    order.pay(order.money()[0])
    order.step("start_build")
    order.step("name_serials", serials=("KN 26-014",))
    order.step("finish")
    order.built()
    with reading(shop) as session:
        quote = quote_by_number(session, order.number)
        view, settings = view_of(session, quote), settings_data(session)
        drawn = mark_on_paper(session, view.content.letterhead.mark)
        return {
            "quote": quote_pdf(view, link=LINK, paper="A4", firm_mark=drawn),
            "hand-over": handover_pdf(handover_sheet(session, quote)),
            "batch": batch_pdf([], batch="K", bikes="K", shop=settings, mark=drawn, at=AT),
        }


def drawn_on(paper: bytes) -> tuple[str, list[bytes]]:
    """What the first page draws, the forms within it too, and its pictures of 40 × 20."""
    page = pypdf.PdfReader(io.BytesIO(paper)).pages[0]
    pictures = []
    found = [page.get_contents().get_data()]  # type: ignore[union-attr]
    waiting = [page.get("/Resources", {})]
    while waiting:
        forms = waiting.pop().get("/XObject", {}).values()
        for form in (each.get_object() for each in forms):
            if form["/Subtype"] == "/Form":
                found.append(form.get_data())
                waiting.append(form.get("/Resources", {}))
            elif (form["/Width"], form["/Height"]) == (40, 20):
                pictures.append(form.get_data())
    return b"\n".join(found).decode("latin-1"), pictures


@pytest.mark.parametrize("kind", ["svg", "png", ""])
def test_every_paper_is_headed_by_the_mark(shop: Engine, kind: str) -> None:
    made = papers(shop, {"svg": SVG, "png": png(), "": b""}[kind])
    for name, paper in made.items():
        if folder := os.environ.get("LOOK"):
            Path(folder, f"{name}-{kind}.pdf").write_bytes(paper)
        document = pypdf.PdfReader(io.BytesIO(paper))
        assert "Cinderholt Frameworks" in document.pages[0].extract_text(), name
        assert len(document.pages) <= 2, name
        drawn, pictures = drawn_on(paper)
        assert (BLUE in drawn) == (kind == "svg"), name
        assert pictures == ([bytes((0x33, 0x66, 0xCC)) * 800] if kind == "png" else []), name
        assert b"/Title" in paper or document.metadata.title, name  # type: ignore[union-attr]
        assert "pdfuaid" in str(document.xmp_metadata.rdf_root.toxml()), f"{name} is not tagged"  # type: ignore[union-attr]
