"""Whatever is asked for in parts is answered: with the part, the whole page, or in words."""

from __future__ import annotations

import re

from fastapi import FastAPI
from fastapi.testclient import TestClient

from tests.architecture.test_routes import ROUTES
from tests.webapp.quote.conftest import CUSTOMER, MOMENT
from webapp.builds.choice.build_choice import read_choice
from webapp.catalogue.reading.load import load_catalogue
from webapp.common.storage.database import reading, writing
from webapp.common.web.templating import PARTIAL_HEADER
from webapp.quote.lifecycle.request import ask_for_quote
from webapp.quote.storage.read import QuoteView

FORMS: tuple[dict[str, str], ...] = (
    {},
    {"version": "1", "seen": "1", "name": "", "mail": "x", "text": "", "key": "k" * 24},
)
ENDS_SESSION = ("/sign-out", "/account/sign-out-everywhere")


def asked(app: FastAPI) -> QuoteView:
    """A quote of the demo's first model."""
    with reading(app.state.engine) as session:
        catalogue = load_catalogue(session, "knapweed", None)
    choice = read_choice(catalogue, {}).strict()
    with writing(app.state.engine) as session:
        return ask_for_quote(session, catalogue, choice, CUSTOMER, form_key="", at=MOMENT)


def test_every_page_and_every_form_answers_one_who_asks_for_a_part(
    builder: TestClient, app: FastAPI
) -> None:
    """A page that has no part answers whole; a form sent wrongly says so, in part or whole."""
    quote = asked(app)
    places = {"model": "knapweed", "token": quote.token, "number": quote.number, "kind": "stem"}
    broken, posts = [], 0
    for method, path in ROUTES:
        if path.startswith("/api/") or path in ENDS_SESSION:
            continue
        address = re.sub(r"\{(\w+)[^}]*\}", lambda m: places.get(m[1], "1"), path)
        for form in FORMS if method == "POST" else FORMS[:1]:
            answer = builder.request(
                method, address, headers={PARTIAL_HEADER: "partial"}, follow_redirects=False,
                data=form if method == "POST" else None,
            )  # fmt: skip
            posts += method == "POST"
            if answer.status_code >= 500:
                broken.append(f"{method} {path}: {answer.status_code}")
    assert not broken, "\n".join(broken)
    assert posts > 60
