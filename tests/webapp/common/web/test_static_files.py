"""Static files: kept for ever under the current hash, checked under any other address."""

from __future__ import annotations

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from webapp.common.paths import STATIC
from webapp.common.web.static_files import StaticFolder, fingerprint, static

NAME = "vendor/htmx/htmx.min.js"


@pytest.fixture
def files() -> TestClient:
    app = FastAPI()
    app.mount("/static", StaticFolder())
    return TestClient(app)


def test_the_current_address_may_be_kept_for_ever(files: TestClient) -> None:
    answer = files.get(static(NAME))
    assert answer.content == (STATIC / NAME).read_bytes()
    assert answer.headers["Cache-Control"] == "public, max-age=31536000, immutable"


@pytest.mark.parametrize("prefix", ["", "0123456789abcdef/"])
def test_another_address_is_checked_each_time(files: TestClient, prefix: str) -> None:
    answer = files.get(f"/static/{prefix}{NAME}")
    assert answer.status_code == 200
    assert answer.headers["Cache-Control"] == "no-cache"
    tag = {"If-None-Match": answer.headers["ETag"]}
    assert files.get(f"/static/{prefix}{NAME}", headers=tag).status_code == 304


@pytest.mark.parametrize(
    "path",
    ["nothing.css", f"{fingerprint()}/nothing.css", "..%2fpyproject.toml", "0123456789abcdef/../x",
     f"{fingerprint()}/..%2f..%2fpyproject.toml", "css"],
)  # fmt: skip
def test_nothing_else_is_served(files: TestClient, path: str) -> None:
    assert files.get(f"/static/{path}").status_code == 404


def test_a_page_cannot_link_to_a_missing_file() -> None:
    with pytest.raises(FileNotFoundError, match=r"static/nothing\.css"):
        static("nothing.css")
