"""The page of trade names: every code is listed, a name kept is what readers are told."""

from __future__ import annotations

import re
from html import unescape

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.trade_names import readable
from webapp.catalogue.reading.views import Catalogue
from webapp.common.storage.database import reading

AT = "/office/settings/names"


@pytest.fixture
def transmission_code(trail: Catalogue) -> str:
    """The standard of a chain or belt that not every other part of the demo shares."""
    usual, *others = trail.offered("transmission")
    known = usual.data.fits  # type: ignore[attr-defined]
    return next(str(fits) for one in others if (fits := one.data.fits) != known)  # type: ignore[attr-defined]


def named(client: TestClient, code: str, name: str, was: str) -> int:
    form = {f"name:{code}": name, f"was:{code}": was}
    status: int = client.post(AT, data=form, follow_redirects=False).status_code
    return status


def value_of(client: TestClient, code: str) -> str:
    page = client.get(AT).text
    found = re.search(rf'name="name:{re.escape(code)}"[^>]*value="([^"]*)"', page)
    assert found, f"{code} is on the page"
    return unescape(found[1])


def test_a_name_kept_is_what_a_rider_reads(builder: TestClient, transmission_code: str) -> None:
    code = transmission_code
    old = value_of(builder, code)
    assert old in builder.get("/build/knapweed").text
    assert named(builder, code, "loop of our own word", old) == 303
    assert value_of(builder, code) == "loop of our own word"
    build = builder.get("/build/knapweed").text
    assert "loop of our own word" in build
    assert old not in build


def test_a_code_without_a_name_is_told_readably(
    builder: TestClient, app: FastAPI, transmission_code: str
) -> None:
    code = transmission_code
    assert named(builder, code, "", value_of(builder, code)) == 303
    with reading(app.state.engine) as session:
        assert code not in load_catalogue(session, "knapweed").trade_names.given
    build = builder.get("/build/knapweed").text
    assert readable(code) in build
    page = unescape(builder.get(AT).text)
    assert f"no name yet, shown as “{readable(code)}”" in page


def test_a_name_that_cannot_be_kept_is_said_beside_its_code(
    builder: TestClient, transmission_code: str
) -> None:
    code = transmission_code
    old = value_of(builder, code)
    assert named(builder, code, "x" * 500, old) == 422
    assert value_of(builder, code) == old
