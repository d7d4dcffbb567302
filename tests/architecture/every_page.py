"""Ask a service for its pages and write what it answers.

    python every_page.py FOLDER

serves the tree in the current folder on a database of its own in FOLDER, and writes
``answers.json`` there: of each address its status and its text, of a PDF what is printed on it.
"""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path

import pypdf
from fastapi.testclient import TestClient

from webapp.accounts.dependencies import cookie_name
from webapp.accounts.people import put_person
from webapp.accounts.sessions import open_session
from webapp.accounts.tables import BUILDER
from webapp.app import create_app
from webapp.common.settings import Settings
from webapp.common.storage.database import writing
from webapp.common.timestamps import now

FOR_RIDERS = (
    "/build/knapweed",
    "/build/burdock",
    "/build/knapweed?stature=1780&inseam=840",
    "/build/knapweed/drive",
    "/side-by-side?build=knapweed&build=burdock",
    "/table/knapweed",
    "/table/burdock/embed",
    "/fit?stature=1780&inseam=840",
    "/api/v1/models/knapweed",
    "/api/v1/models/knapweed/checks",
    "/api/v1/models/knapweed/table.json",
    "/api/v1/models/knapweed/table.csv?all=1",
    "/api/v1/openapi.json",
)
FOR_THE_SHOP = (
    "/counter/quotes/{number}",
    "/counter/quotes/{number}/build",
    "/counter/quotes/{number}/workshop",
    "/office/parts?kind=bell",
    "/office/parts/bell/new",
    "/office/parts/bell/brass",
    "/office/prices/eur-2026?kind=bell",
    "/office/import/parts.csv?kind=bell",
    "/office/models/knapweed/2",
    "/office/models/knapweed/2/effect",
    "/office/models/knapweed/2/range",
    "/office/models/knapweed/changes?from=1&to=2",
)
ASKING = {"name": "Ada Marl", "mail": "ada@marl.example", "note": "", "key": "r" * 24}
SAME = {"Sec-Fetch-Site": "same-origin"}


def text_of(content: bytes) -> str:
    """The text of an answer; of a PDF, what is printed on it."""
    if content.startswith(b"%PDF"):
        pages = pypdf.PdfReader(io.BytesIO(content)).pages
        return " ".join("\n".join(page.extract_text() for page in pages).split())
    return content.decode()


def sign_in(client: TestClient) -> None:
    """Let the client go on as the builder."""
    with writing(client.app.state.engine) as session:  # type: ignore[attr-defined]
        mail, at = "b@shop.example", now()
        person = put_person(session, name="B", mail=mail, role=BUILDER, who="t", at=at)
        client.cookies.set(cookie_name(behind_tls=False), open_session(session, person, at=at))


def main(folder: Path) -> None:
    """Ask for every address, and for a quote of one build with its paper."""
    app = create_app(Settings(data_folder=folder, database_url=None, base_url=None))
    answers = {}
    with TestClient(app, raise_server_exceptions=False) as client:
        made = client.post("/quote/knapweed", data=ASKING, follow_redirects=False)
        quote = made.headers.get("location", "/quote-not-made")
        sign_in(client)
        for address in (*FOR_RIDERS, quote, f"{quote}/sheet.pdf", *FOR_THE_SHOP):
            asked = address.replace("{number}", f"{now().year}-0001")
            answer = client.get(asked, headers=SAME)
            answers[address.replace(quote, "/q")] = (answer.status_code, text_of(answer.content))
    (folder / "answers.json").write_text(json.dumps(answers))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
