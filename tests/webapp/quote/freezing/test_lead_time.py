"""A quote's lead time counts what its finish adds, as matching a position does."""

from __future__ import annotations

from datetime import date

from sqlalchemy import Engine

from tests.webapp.quote.conftest import Ask
from webapp.catalogue.reading.load import load_catalogue
from webapp.common.storage.database import reading
from webapp.match.stances import stances
from webapp.quote.freezing.content import FrozenBuild
from webapp.quote.lifecycle.new_versions import content_of_terms

SHOP, OWN = 9.0, 2.0  # weeks, as the demo has its settings and its finish "own"


def test_the_finish_lengthens_it_and_terms_keep_it(shop: Engine, ask: Ask) -> None:
    with reading(shop) as session:
        catalogue = load_catalogue(session, "knapweed")
    assert ask(shop, finish="soot").content.lead_time == f"{SHOP:g} weeks"
    content = ask(shop, finish="own").content
    assert content.lead_time == f"{SHOP + OWN:g} weeks"
    on, settings = date(2026, 3, 2), catalogue.settings
    again = content_of_terms(content, {"message": "soon"}, settings, on=on)
    assert again.lead_time == content.lead_time
    agreed = content_of_terms(content, {"lead_time": "by midsummer"}, settings, on=on)
    assert agreed.lead_time == "by midsummer"
    matched = {way.figures["lead_time"] for way in stances(catalogue, {"finish": "own"})}
    assert matched == {SHOP + OWN}


def test_older_quotes_added_nothing(shop: Engine, ask: Ask) -> None:
    old = ask(shop).content.build.model_dump()
    del old["extra_weeks"]
    assert FrozenBuild.model_validate(old).extra_weeks == 0.0
