"""A day is the shop's own: near midnight quotes are dated, and end, by its clock."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from tests.webapp.counter.conftest import ORDER, SAME_SITE, Clock, PutQuote, SignIn, sentences
from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.writing.shop import put_settings
from webapp.common.storage.database import writing
from webapp.common.timestamps import use_zone

AUCKLAND, LOS_ANGELES = "Pacific/Auckland", "America/Los_Angeles"


@pytest.fixture(autouse=True)
def as_before() -> Iterator[None]:
    """What a process learns of its shop is forgotten."""
    yield
    use_zone("UTC")


@pytest.mark.parametrize(
    ("zone", "made", "day", "before_midnight"),
    [
        # Offsets of March 2026 by the IANA time zone database: UTC+13, UTC-7 from 8 March.
        (
            AUCKLAND,
            datetime(2026, 3, 1, 11, 30, tzinfo=UTC),
            date(2026, 3, 2),
            -timedelta(hours=13),
        ),
        (
            LOS_ANGELES,
            datetime(2026, 3, 10, 6, 30, tzinfo=UTC),
            date(2026, 3, 9),
            timedelta(hours=7),
        ),
    ],
)
def test_a_quote_is_dated_and_ends_by_the_clock_of_the_shop(
    app: FastAPI, client: TestClient, sign_in: SignIn, quote: PutQuote, at: Clock,
    zone: str, made: datetime, day: date, before_midnight: timedelta,
) -> None:  # fmt: skip
    with writing(app.state.engine) as session:
        data = settings_data(session).model_copy(update={"time_zone": zone, "quote_valid_days": 5})
        put_settings(session, who="test", data=data.model_dump(mode="json"))
    client.get("/")  # from now on the process tells time by that clock
    at.now = made
    asked, desk = quote(), sign_in()
    last = asked.content.valid_until
    assert last == day + timedelta(days=5)
    dated = f"{day.day} March 2026"
    assert dated in sentences(client.get(f"/q/{asked.token}").text)
    assert dated in sentences(desk.get("/counter").text)
    assert dated in sentences(desk.get(f"/counter/quotes/{asked.number}/workshop").text)
    midnight = datetime(last.year, last.month, last.day, tzinfo=UTC) + timedelta(days=1)
    midnight += before_midnight
    assert desk.do(asked.number, "send").status_code == 303

    at.now = midnight
    over = client.get(f"/q/{asked.token}").text
    form = ORDER | {"version": "1", "accepted_by": "Ada Marl", "key": "k" * 24}
    late = client.post(f"/q/{asked.token}/accept", data=form, headers=SAME_SITE)
    at.now = midnight - timedelta(seconds=1)
    standing = client.get(f"/q/{asked.token}").text
    assert ('name="accepted_by"' in standing, 'name="accepted_by"' in over) == (True, False)
    assert late.status_code == 409
    in_time = client.post(
        f"/q/{asked.token}/accept", data=form, headers=SAME_SITE, follow_redirects=False
    )
    assert in_time.status_code == 303


def test_the_year_of_a_number_is_that_of_the_shop(
    app: FastAPI, client: TestClient, quote: PutQuote, at: Clock
) -> None:
    with writing(app.state.engine) as session:
        data = settings_data(session).model_copy(update={"time_zone": AUCKLAND})
        put_settings(session, who="test", data=data.model_dump(mode="json"))
    client.get("/")
    at.now = datetime(2026, 12, 31, 11, 30, tzinfo=UTC)
    assert quote().number.startswith("2027-")
