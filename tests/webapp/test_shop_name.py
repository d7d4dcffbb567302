"""Another shop's name, everywhere at once: screens, paper, mails and the JSON interface."""

from __future__ import annotations

import io
import shutil
from collections.abc import Iterator
from pathlib import Path

import pypdf
import pytest
from fastapi.testclient import TestClient
from sqlmodel import select

from tests.architecture.test_requests import GETS, TYPED, filled
from webapp.accounts.dependencies import cookie_name
from webapp.accounts.people import put_person
from webapp.accounts.sessions import open_session
from webapp.accounts.tables import BUILDER
from webapp.app import create_app
from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.tables import ShopSetting
from webapp.catalogue.writing.shop import put_settings
from webapp.common.settings import Settings
from webapp.common.storage.database import reading, writing
from webapp.common.timestamps import now
from webapp.mail.tables import Mail

NAME = "Larch and Rivet Cycles"
LETTERHEAD = {
    "name": NAME,
    "lines": ["1 Sample Street"],
    "email": "desk@larch.example",
    "telephone": "",
    "web": "https://larch.example",
    "tax_number": "",
}


def rename(client: TestClient) -> None:
    """Give the running service another letterhead."""
    with writing(client.app.state.engine) as session:  # type: ignore[attr-defined]
        data = settings_data(session).model_dump(mode="json")
        put_settings(session, who="t", data=data | {"letterhead": LETTERHEAD})


@pytest.fixture(scope="module")
def service(
    tmp_path_factory: pytest.TempPathFactory, _filled_sqlite: Path
) -> Iterator[tuple[TestClient, dict[str, str]]]:
    """The demo under another name, with one quote and its builder; and what there is to ask for."""
    folder = tmp_path_factory.mktemp("renamed")
    shutil.copy(_filled_sqlite, folder / "configurator.sqlite")
    app = create_app(Settings(data_folder=folder, database_url=None, base_url=None))
    with TestClient(app, follow_redirects=False, raise_server_exceptions=False) as client:
        rename(client)  # after the start: nothing may have kept the name of before
        # Mails are written from now on; nobody sends them, since no sender was started.
        changed = {"smtp_host": "mail.example", "mail_from": "s@x.example", "base_url": "https://x"}
        app.state.settings = app.state.settings.model_copy(update=changed)
        made = client.post("/quote/knapweed", data=TYPED).headers["location"]
        with writing(app.state.engine) as session:
            mail, at = "b@shop.example", now()
            person = put_person(session, name="B", mail=mail, role=BUILDER, who="t", at=at)
            client.cookies.set(cookie_name(behind_tls=False), open_session(session, person, at=at))
        yield client, {"token": made.rpartition("/")[2], "model": "knapweed", "number": "1"}


def readable(content: bytes) -> str:
    """The text of an answer; of a PDF, what is printed on it."""
    if content.startswith(b"%PDF"):
        pages = pypdf.PdfReader(io.BytesIO(content)).pages
        return " ".join("\n".join(page.extract_text() for page in pages).split())
    return content.decode("utf-8", "replace")


# The demo's own name stands rightly in the record of what was edited and in whole copies of it.
KEEPS_THE_PAST = ("/office/history", "/office/keeping")


@pytest.mark.parametrize(
    "path", [*(g for g in GETS if not g.startswith(KEEPS_THE_PAST)), "/nowhere", "/fit?stature=x"]
)
def test_nothing_says_the_name_of_another_shop(
    service: tuple[TestClient, dict[str, str]], path: str
) -> None:
    client, things = service
    answer = client.get(filled(path, things))
    text = readable(answer.content)
    assert "cinderholt" not in text.lower()
    if text.lstrip().startswith("<!DOCTYPE html>"):
        title = text.partition("<title>")[2].partition("</title>")[0]
        assert NAME in title


def test_the_name_is_on_paper_and_in_the_data_for_search_engines(
    service: tuple[TestClient, dict[str, str]],
) -> None:
    client, things = service
    assert NAME in readable(client.get(f"/q/{things['token']}/sheet.pdf").content)
    assert f'"name": "{NAME}"' in client.get("/table/knapweed").text


def test_mails_are_from_the_shop(service: tuple[TestClient, dict[str, str]]) -> None:
    client, _ = service
    with reading(client.app.state.engine) as session:  # type: ignore[attr-defined]
        mails = session.exec(select(Mail)).all()
    assert {mail.to_mail for mail in mails} == {"ada@marl.example", LETTERHEAD["email"]}
    for mail in mails:
        assert (
            NAME in mail.subject + mail.body or mail.to_mail == LETTERHEAD["email"]
        )  # the shop knows its name
        assert "cinderholt" not in (mail.subject + mail.body).lower()


def test_a_shop_without_settings_is_called_as_the_program_is(tmp_path: Path) -> None:
    app = create_app(Settings(data_folder=tmp_path, database_url=None, base_url=None))
    with TestClient(app) as client:
        with writing(app.state.engine) as session:
            session.delete(session.get_one(ShopSetting, 1))
        assert "· Stancewright</title>" in client.get("/sign-in").text
