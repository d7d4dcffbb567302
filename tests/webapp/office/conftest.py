"""What the tests of the drawing office share: the builder signed in, and parts brought in."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import Session

from webapp.accounts.passwords import hash_password
from webapp.accounts.people import put_person
from webapp.accounts.tables import BUILDER
from webapp.common.storage.database import writing
from webapp.office.parts.csv_files import PartFile
from webapp.office.parts.csv_import import Trial, save_rows, try_file

WHO, MAIL, PASSWORD = "Edda", "edda@shop.example", "kiln heather axle"


@pytest.fixture(scope="session")
def password_hash() -> str:
    """One hash for all tests; making it takes a tenth of a second."""
    return hash_password(PASSWORD)


@pytest.fixture
def builder(client: TestClient, app: FastAPI, password_hash: str) -> TestClient:
    """A client whose builder is signed in; it says where its forms come from, as browsers do."""
    with writing(app.state.engine) as session:
        made = put_person(
            session, name=WHO, mail=MAIL, role=BUILDER, who="test", at=datetime.now(UTC)
        )
        made.password_hash = password_hash
        session.add(made)
    client.headers["Sec-Fetch-Site"] = "same-origin"
    client.post("/sign-in", data={"mail": MAIL, "password": PASSWORD}, follow_redirects=False)
    return client


def bring_in(session: Session, file: PartFile, *, who: str, day: date) -> Trial:
    """Keep every good row of a file as the page does; gives what became of each row."""
    trial = try_file(session, file, day=day)
    save_rows(session, trial, who=who, at=datetime.now(UTC))
    return trial
