"""Firms' marks: only shapes and paints come through, whatever else a file holds."""

from __future__ import annotations

import struct
import zlib

import pytest

from webapp.catalogue.marks.png import cleaned_png, is_png
from webapp.catalogue.marks.svg import cleaned_svg
from webapp.common.errors import Invalid

HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
    'viewBox="0 0 9 9"'
)
PATH = '<path d="M0 0h9v9z"/>'

# Ways by which a drawing can run, load or reach out (WHATWG HTML and SVG 2 name them).
BAD = (
    f'{HEAD} onload="x()">{PATH}</svg>',
    f"{HEAD}><script>x()</script>{PATH}</svg>",
    f'{HEAD}><script href="https://far.example/x.js"/>{PATH}</svg>',
    f'{HEAD}><image href="https://far.example/x.png"/>{PATH}</svg>',
    f'{HEAD}><image xlink:href="data:image/svg+xml,x"/>{PATH}</svg>',
    f'{HEAD}><use href="https://far.example/#x"/>{PATH}</svg>',
    f'{HEAD}><a href="javascript:x()">{PATH}</a>{PATH}</svg>',
    f"{HEAD}><foreignObject><b xmlns='http://www.w3.org/1999/xhtml'/></foreignObject>{PATH}</svg>",
    f"{HEAD}><style>@import url(https://far.example/x.css);</style>{PATH}</svg>",
    f'{HEAD}><path d="M0 0h9" fill="url(https://far.example/x)"/></svg>',
    f'{HEAD}><path d="M0 0h9" style="fill: url(https://far.example/x); background: red"/></svg>',
    f'{HEAD}><animate attributeName="href" to="javascript:x()"/>{PATH}</svg>',
    f'{HEAD}><set attributeName="onload" to="x()"/>{PATH}</svg>',
    f"{HEAD}><path d=\"M0 0h9\" onclick='x()'/></svg>",
    f"{HEAD}><metadata>Ada Marl</metadata>{PATH}</svg>",
)


@pytest.mark.parametrize("drawing", BAD)
def test_nothing_runs_loads_or_reaches_out(drawing: str) -> None:
    clean = cleaned_svg(drawing.encode()).decode()
    assert "<path" in clean
    for word in ("script", "far.example", "on", "href", "style", "image", "data:", "Ada", "<a"):
        assert word not in clean.replace("http://www.w3.org/2000/svg", "").replace("version", "")


@pytest.mark.parametrize(
    "drawing",
    [
        f'<!DOCTYPE svg [<!ENTITY a "aaaa">]>{HEAD}>{PATH}</svg>',
        f'<!doctype svg SYSTEM "https://far.example/x.dtd">{HEAD}>{PATH}</svg>',
        f"{HEAD}><text>Ada</text></svg>",
        f'<svg xmlns="http://www.w3.org/2000/svg">{PATH}</svg>',
        f"<html>{PATH}</html>",
        "no drawing",
        f"{HEAD}>{PATH * 4000}</svg>",
        f"{HEAD}>{'<g>' * 3500}{PATH}{'</g>' * 3500}</svg>",
        f"{HEAD}>{PATH}</svg>" + " " * 70_000,
    ],
)
def test_what_is_no_simple_drawing_is_refused(drawing: str) -> None:
    with pytest.raises(Invalid) as refused:
        cleaned_svg(drawing.encode())
    assert refused.value.problems[0].field == "mark"


def test_utf_16_hides_nothing() -> None:
    with pytest.raises(Invalid):
        cleaned_svg(f'<!DOCTYPE svg [<!ENTITY a "a">]>{HEAD}>{PATH}</svg>'.encode("utf-16"))


def test_paints_of_its_own_stay() -> None:
    drawing = (
        f'{HEAD}><defs><linearGradient id="g"><stop offset="0" style="stop-color:#123456"/>'
        '</linearGradient></defs><path d="M0 0h9" fill="url(#g)"/></svg>'
    )
    clean = cleaned_svg(drawing.encode()).decode()
    assert 'fill="url(#g)"' in clean
    assert 'stop-color="#123456"' in clean
    assert cleaned_svg(clean.encode()) == clean.encode()


def chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def png(*, width: int = 2, height: int = 2, rows: bytes = b"\0\1\2\3\4\5\6" * 2) -> bytes:
    """A PNG of 8 bits and three samples a pixel, with words beside its picture."""
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
        + chunk(b"tEXt", b"Author\0Ada Marl")
        + chunk(b"IDAT", zlib.compress(rows))
        + chunk(b"IEND", b"")
    )


def test_a_png_keeps_its_picture_alone() -> None:
    clean = cleaned_png(png())
    assert is_png(clean)
    assert b"Ada" not in clean
    assert chunk(b"IDAT", zlib.compress(b"\0\1\2\3\4\5\6" * 2)) in clean
    assert cleaned_png(clean) == clean


@pytest.mark.parametrize(
    "content",
    [
        png(width=90_000),
        png(height=3),
        png(rows=b"\0" * 30_000_000),  # a picture that grows when it is unpacked
        png()[:-20],
        png().replace(b"Ada", b"Eda"),
        png() + b" " * 200_000,
    ],
    ids=["wide", "short", "bomb", "cut", "changed", "large"],
)
def test_a_broken_or_growing_png_is_refused(content: bytes) -> None:
    with pytest.raises(Invalid):
        cleaned_png(content)
