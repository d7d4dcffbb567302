"""What `tests.develop.serve` shows: people who can sign in, quotes, a draft, a bench batch."""

from __future__ import annotations

from fastapi import FastAPI
from fastapi.testclient import TestClient

from tests.develop import sample_data
from webapp.common.timestamps import now


def test_the_sample_shop_is_in_the_middle_of_its_work(app: FastAPI, client: TestClient) -> None:
    sample_data.fill(app.state.engine, at=now())
    for name, mail, _ in reversed(sample_data.PEOPLE):  # the builder last, who sees the office too
        client.cookies.clear()
        form = {"mail": mail, "password": sample_data.PASSWORD}
        assert client.post("/sign-in", data=form).status_code == 303, name
    desk, office = client.get("/counter").text, client.get("/office").text
    assert all(name in desk for name, _, _ in sample_data.RIDERS)
    assert all(state in desk for state in ("open", "accepted", "declined"))
    assert "draft" in office.lower()
    assert "autumn" in client.get("/office/bench").text
