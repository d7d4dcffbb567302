"""The demo taken out of a filled start: no page, paper, mail or answer of the shop names it."""

from __future__ import annotations

import io
import re
import shutil
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pypdf
import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import Engine
from sqlmodel import Session, select

from tests.architecture.test_requests import GETS, TYPED, filled
from tests.own_builder import FITTINGS, FORK, ROAD, ROAD_TABLE
from tests.webapp.office.own_shop.test_own_shop import DEMO, keep
from webapp.accounts.dependencies import cookie_name
from webapp.accounts.people import put_person
from webapp.accounts.sessions import open_session
from webapp.accounts.tables import BUILDER
from webapp.app import create_app
from webapp.catalogue.tables import FrameModel, Part, PriceList, RidingStyle
from webapp.common.settings import Settings
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import use_number_style
from webapp.common.timestamps import now, use_zone
from webapp.mail.tables import Mail
from webapp.office.models.new_form import STARTING_TEXTS
from webapp.quote.states import State
from webapp.quote.tables import Quote

SIZES = ("s", "m", "l")
WORDS_OF_A_NAME = 3  # words; from so many on a name is somebody's own
OWN = DEMO.pattern.decode().replace("|suspension", "")  # a word of the trade on the page of matches


@dataclass(frozen=True, kw_only=True)
class Gone:
    """A shop in the demo's place: what it answers, by address, and what the demo was called."""

    answers: dict[str, tuple[int, str, str]]
    mails: str
    names: frozenset[str]


def names_in(session: Session) -> set[str]:
    """What the demo calls its parts, styles and price lists; its models are in `DEMO`."""
    named: set[str] = set()
    for table in (FrameModel, Part, RidingStyle, PriceList):
        for name, slug in session.exec(select(table.name, table.slug)).all():
            named |= {name.lower(), slug}
    # A word or two, such as rear rack, the trade and the program say too.
    return {name for name in named if len(re.findall("[a-z0-9]+", name)) >= WORDS_OF_A_NAME}


def begin(client: TestClient) -> None:
    """The demo with a quote that came to nothing, then a shop of one's own in its place."""
    client.post("/quote/knapweed", data=TYPED)
    with writing(_engine(client)) as session:
        quote = session.exec(select(Quote)).one()
        quote.state, quote.waiting_since = State.DECLINED, None
        session.add(quote)
    assert keep(client).status_code == 303


def _engine(client: TestClient) -> Engine:
    app = client.app
    assert isinstance(app, FastAPI)
    engine: Engine = app.state.engine
    return engine


def draw(client: TestClient) -> None:
    """One model and a fork of its own, published and in force."""
    table = {
        f"{size}.{path}": value
        for path, values in ROAD_TABLE.items()
        for size, value in zip(SIZES, values.split(), strict=True)
    }
    model = {"name": "Skare", "frame_price": "18 500", "sizes": "S, M, L", "do": "keep"}
    made = client.post("/office/models/new", data=STARTING_TEXTS | model | ROAD | FITTINGS | table)
    assert made.status_code == 303, re.findall(r'href="#f-[^<]*<', made.text)
    at = made.headers["location"]
    stamp = re.search(r'name="stamp" value="([^"]*)"', client.get(f"{at}/publish").text)
    assert stamp
    sent = {"stamp": stamp[1], "changelog": "First."}
    assert client.post(f"{at}/publish", data=sent).status_code == 303
    fork = client.post(
        "/office/parts/fork", data=FORK | {"offer:skare": "yes", "usual:skare": "yes"}
    )
    assert fork.status_code == 303
    client.post(f"{fork.headers['location']}/put-in-force")


def readable(content: bytes) -> str:
    """The text of an answer: of a PDF what is printed, of an archive what is in it."""
    if content.startswith(b"%PDF"):
        return " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(content)).pages)
    if zipfile.is_zipfile(io.BytesIO(content)):
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            return "\n".join(readable(archive.read(name)) for name in archive.namelist())
    return content.decode("utf-8", "replace")


@pytest.fixture(scope="module")
def gone(tmp_path_factory: pytest.TempPathFactory, _filled_sqlite: Path) -> Iterator[Gone]:
    """Every address of the shop asked, its first quote made and mailed."""
    folder = tmp_path_factory.mktemp("own")
    shutil.copy(_filled_sqlite, folder / "configurator.sqlite")
    app = create_app(Settings(data_folder=folder, database_url=None, base_url=None))
    with TestClient(app, follow_redirects=False, raise_server_exceptions=False) as client:
        with writing(app.state.engine) as session:
            names = names_in(session)
            mail, at = "b@shop.example", now()
            person = put_person(session, name="B", mail=mail, role=BUILDER, who="t", at=at)
            client.cookies.set(cookie_name(behind_tls=False), open_session(session, person, at=at))
        client.headers["Sec-Fetch-Site"] = "same-origin"
        # Mails are written; nobody sends them, since no sender was started.
        mailing = {"smtp_host": "m.example", "mail_from": "s@x.example", "base_url": "https://x"}
        app.state.settings = app.state.settings.model_copy(update=mailing)
        begin(client)
        draw(client)
        made = client.post("/quote/skare", data=TYPED).headers["location"]
        things = {"token": made.rpartition("/")[2], "model": "skare", "number": "1",
                  "kind": "fork", "size": "m"}  # fmt: skip
        answers = {}
        for path in GETS:
            found = client.get(filled(path, things))
            kind = found.headers.get("content-type", "").partition(";")[0]
            answers[path] = (found.status_code, kind, readable(found.content))
        with reading(app.state.engine) as session:
            names -= names_in(session)  # a list of prices is called after its year in both
            mails = "\n".join(m.subject + m.body for m in session.exec(select(Mail)).all())
        yield Gone(answers=answers, mails=mails, names=frozenset(names))
    use_number_style("")
    use_zone("UTC")


def test_nothing_that_the_shop_answers_names_the_demo(gone: Gone) -> None:
    told = re.compile("|".join([*map(re.escape, sorted(gone.names, key=len, reverse=True)), OWN]))
    found = {
        path: sorted(set(told.findall(text.lower()))) for path, (_, _, text) in gone.answers.items()
    }
    assert {path: names for path, names in found.items() if names} == {}


def test_the_mails_name_the_shop_alone(gone: Gone) -> None:
    assert "Larch and Rivet" in gone.mails
    assert not DEMO.search(gone.mails.encode())


def test_it_was_really_asked(gone: Gone) -> None:
    answered = {path: kind for path, (status, kind, _) in gone.answers.items() if status == 200}
    assert len(answered) > len(gone.answers) / 2
    kinds = set(answered.values())
    assert kinds >= {"text/html", "application/pdf", "application/json"}, kinds
    assert any("/embed" in path for path in answered)
    assert len(gone.names) > 80
