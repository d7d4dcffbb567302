"""What the office is sent of odd characters, and by several at once, on both databases."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from sqlalchemy import Engine

from tests.webapp.office.conftest import MAIL, PASSWORD, WHO
from webapp.accounts.people import put_person
from webapp.accounts.tables import BUILDER
from webapp.common.settings import Settings
from webapp.common.storage.database import writing
from webapp.common.timestamps import now

NAMES = "/office/settings/names"
ODD = ("\0", "a\0b", "\U0001d11e\u202e", "a" * 5000, "{count} %s <b>", "\r\n", "' OR 1=1 --")


@pytest.fixture
def builder(engine: Engine, tmp_path: Path, password_hash: str) -> Iterator[TestClient]:
    """The builder signed in to a service on either database."""
    from webapp.app import create_app

    address = engine.url.render_as_string(hide_password=False)
    with writing(engine) as session:
        made = put_person(session, name=WHO, mail=MAIL, role=BUILDER, who="test", at=now())
        made.password_hash = password_hash
        session.add(made)
    app = create_app(Settings(data_folder=tmp_path, database_url=address))
    with TestClient(app, follow_redirects=False, raise_server_exceptions=False) as client:
        client.headers["Sec-Fetch-Site"] = "same-origin"
        client.post("/sign-in", data={"mail": MAIL, "password": PASSWORD})
        yield client


def test_odd_characters_are_kept_or_refused_in_words(builder: TestClient) -> None:
    assert builder.get(NAMES).status_code == 200
    for odd in ODD:
        for sent in ({f"name:{odd}": "x"}, {"name:110-12": odd}, {f"was:{odd}": odd}, {odd: odd}):
            assert builder.post(NAMES, data=sent).status_code in {303, 409, 422}, sent
    for at, field in (
        ("/office/settings/texts", "welcome"),
        ("/office/settings/styles", "style_name"),
        ("/office/shop", "letterhead.name"),
        ("/office/models/new", "name"),
        ("/office/bench/check", "serial"),
    ):
        for odd in ODD[:3]:
            assert builder.post(at, data={field: odd}).status_code < 500, (at, odd)
    for at in ("/office/history?key=%00", "/office/bench/serials?q=%00", "/office/parts?q=a%00b",
               "/counter?q=%00", "/office/settings/%00", "/office/models/%00", "/q/%00",
               "/build/knapweed?size=%00", "/office/bench/measure?model=%00"):  # fmt: skip
        assert builder.get(at).status_code < 500, at
    assert builder.get(NAMES).status_code == 200


def test_several_keep_the_same_names_at_once(builder: TestClient) -> None:
    found: list[int] = []

    def keep(by: int) -> None:
        for each in range(3):
            sent = {f"name:zz-{each}": f"word of {by}", f"was:zz-{each}": ""}
            found.append(builder.post(NAMES, data=sent).status_code)

    several = [threading.Thread(target=keep, args=(by,)) for by in range(4)]
    for one in several:
        one.start()
    for one in several:
        one.join()
    assert set(found) <= {303, 409, 422}
    assert builder.get(NAMES).status_code == 200
