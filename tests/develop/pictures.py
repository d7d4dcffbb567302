"""The pictures in README.md, taken from the running demo so that they stay true.

    python -m tests.develop.pictures

serves the demo on a free port, photographs a build and a comparison in Chromium, prints the
first page of a quote, and writes all three to `tests/develop/pictures`. They stand there, not
below `static`, because no page shows them.
"""

from __future__ import annotations

import json
import tempfile
from base64 import b64decode, b64encode
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import quote as escaped

import typst
from playwright.sync_api import sync_playwright
from sqlalchemy import Engine

from tests.conftest import CHROMIUM, CHROMIUM_ARGUMENTS
from tests.serving import served
from webapp.builds.choice.build_choice import read_choice
from webapp.catalogue import setup
from webapp.catalogue.reading.load import load_catalogue
from webapp.common.storage.database import make_engine, reading, writing
from webapp.common.timestamps import now
from webapp.quote.customer import Customer
from webapp.quote.lifecycle.request import ask_for_quote
from webapp.quote.printing.pdf import PRINT, fonts, sheet_data, template_of

if TYPE_CHECKING:
    from playwright.sync_api import Page

FOLDER = Path(__file__).parent / "pictures"
LARGEST = 150_000  # [bytes] of one picture
WIDE = 1280  # [px] of the window
RIDER = "stature=178&inseam=84"
BUILD = f"/build/knapweed?size=m&fork=suspension-150&finish=lichen&{RIDER}"
BESIDE = "/side-by-side?" + "&".join(
    f"build={escaped(f'knapweed?{query}', safe='')}"
    for query in ("size=m", "size=m&fork=rigid-long&slot=20")
)

# The browser turns a picture into WebP, so that no picture library is needed.
SMALLER = """async ([data, quality]) => {
  const file = await (await fetch("data:image/png;base64," + data)).blob();
  const picture = await createImageBitmap(file);
  const canvas = new OffscreenCanvas(picture.width, picture.height);
  canvas.getContext("2d").drawImage(picture, 0, 0);
  const blob = await canvas.convertToBlob({type: "image/webp", quality});
  const bytes = new Uint8Array(await blob.arrayBuffer());
  return btoa(Array.from(bytes, each => String.fromCharCode(each)).join(""));
}"""


def sheet(engine: Engine) -> bytes:
    """The first page of a quote of the same build, as PNG."""
    with reading(engine) as session:
        catalogue = load_catalogue(session, "knapweed")
    choice = read_choice(catalogue, {"size": ["m"], "finish": ["lichen"]}).choice
    customer = Customer(name="Ada Marl", mail="ada@marl.example", note="Mostly forest tracks.")
    with writing(engine) as session:
        view = ask_for_quote(session, catalogue, choice, customer, form_key="", at=now())
    data = sheet_data(view, link="https://shop.example/q/kVzD2mW8", paper="A4")
    compiler = typst.Compiler(
        input=str(PRINT / template_of(view, "customer")),
        root=str(PRINT),
        font_paths=fonts(),
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(data)},
    )
    pages = compiler.compile(format="png", ppi=100.0)
    first = pages[0] if isinstance(pages, list) else pages
    if not isinstance(first, bytes):
        raise TypeError("the typesetter gave no picture")
    return first


def taken(page: Page, address: str, engine: Engine) -> Iterator[tuple[str, bytes]]:
    """Name and PNG of each picture."""
    for name, path, high in (("build", BUILD, 1080), ("side-by-side", BESIDE, 1160)):
        page.set_viewport_size({"width": WIDE, "height": high})
        page.goto(f"{address}{path}")
        page.evaluate("document.fonts.ready")
        yield name, page.screenshot()
    yield "quote", sheet(engine)


def main() -> None:
    """Take the pictures and write them."""
    FOLDER.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        filled = Path(folder) / "filled.sqlite"
        engine = make_engine(f"sqlite:///{filled}")
        setup.prepare(engine)
        serving = Path(folder) / "serving"
        serving.mkdir()
        browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=CHROMIUM_ARGUMENTS)
        with served(serving, filled) as (address, _):
            page, blank = browser.new_page(), browser.new_page()
            for name, png in taken(page, address, engine):
                data = blank.evaluate(SMALLER, [b64encode(png).decode(), 0.82])
                (FOLDER / f"{name}.webp").write_bytes(b64decode(data))
                print(name, len(b64decode(data)), "bytes")
        browser.close()
        engine.dispose()


if __name__ == "__main__":
    main()
