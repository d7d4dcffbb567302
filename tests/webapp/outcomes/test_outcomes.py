"""Outcomes: kept apart from the person, erased with them, learnt from only with consent."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import Engine
from sqlmodel import Session, select

from tests.webapp.quote.conftest import CUSTOMER, MOMENT
from webapp.archive.row_values import tables
from webapp.builds.choice.build_choice import read_choice
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.schema.cockpit_parts import StemData
from webapp.common.errors import Invalid
from webapp.common.storage.database import reading, writing
from webapp.outcomes import demo
from webapp.outcomes.evidence import as_ridden, foretold, ride_on
from webapp.outcomes.findings import findings
from webapp.outcomes.store import (
    Body,
    keep_outcome,
    outcomes_of_model,
    outcomes_of_quote,
    take_out_invented,
)
from webapp.outcomes.tables import AFTER_MONTHS, AFTER_RIDE, Outcome, OutcomeBody
from webapp.outcomes.typed_outcome import read_outcome
from webapp.quote.lifecycle.request import ask_for_quote
from webapp.quote.storage import privacy
from webapp.quote.storage.read import quote_by_number

FORM = {
    "moment": AFTER_RIDE, "size_ridden": "m", "size_bought": "m", "stem": "40-0",
    "handlebar": "riser-30", "spacers": "10", "style": "trail", "length": "long", "height": "",
    "consent": "yes", "stature": "1725 mm", "stature_by": "wall", "inseam": "815 mm", "sex": "man",
}  # fmt: skip


@pytest.fixture
def quoted(engine: Engine) -> str:
    """A quote's number."""
    with reading(engine) as session:
        catalogue = load_catalogue(session, "knapweed")
    choice = read_choice(catalogue, {"size": ["m"], "stature": ["1725"]}).strict()
    with writing(engine) as session:
        return ask_for_quote(session, catalogue, choice, CUSTOMER, form_key="", at=MOMENT).number


def keep(session: Session, number: str, **changed: str) -> None:
    """Read a form and keep what it says, as the page does."""
    catalogue = load_catalogue(session, "knapweed")
    quoted = read_choice(catalogue, {"size": ["m"]}).choice
    read = read_outcome(catalogue, quoted, {**FORM, **changed})
    body = None
    if read.rider:
        body = foretold(catalogue, read.choice, read.rider, bought=True)
        assert body is not None
    row = Outcome(
        quote_number=number, moment=read.moment, recorded_on=MOMENT.date(), who="Jory",
        model="knapweed", revision=2, style=read.style, size_ridden=read.size_ridden,
        size_bought=read.size_bought, build=as_ridden(read.choice), length=read.length,
        height=read.height,
    )  # fmt: skip
    keep_outcome(session, row, body)


def test_measurements_go_with_the_person_and_with_their_consent(
    engine: Engine, quoted: str
) -> None:
    with writing(engine) as session:
        keep(session, quoted)
    with reading(engine) as session:
        (kept,) = outcomes_of_quote(session, quoted)
        handed_out = privacy.person_as_json(session, CUSTOMER.mail)["quotes"][0]["outcomes"]
        rows = [row.model_dump_json() for row in session.exec(select(Outcome)).all()]
        rows += [row.model_dump_json() for row in session.exec(select(OutcomeBody)).all()]
    assert kept.body
    assert kept.body.rider["stature"] == "1725"
    assert handed_out[0]["measurements"]["inseam"] == "815"
    assert CUSTOMER.name not in "".join(rows)
    assert CUSTOMER.mail not in "".join(rows)
    # Taking the consent back forgets them; giving it again keeps them anew.
    with writing(engine) as session:
        keep(session, quoted, consent="")
        assert session.exec(select(OutcomeBody)).all() == []
        keep(session, quoted)
        assert len(outcomes_of_quote(session, quoted)) == 1
        count = privacy.erase(session, [quote_by_number(session, quoted)], who="Edda", at=MOMENT)
        assert count == 1
    with reading(engine) as session:
        assert session.exec(select(OutcomeBody)).all() == []
        (kept,) = outcomes_of_quote(session, quoted)
    assert (kept.body, kept.length) == (None, 1)


def test_outcomes_are_in_every_backup_and_export() -> None:
    assert {"outcome", "outcome_body"} <= {table.name for table in tables()}


def test_of_one_quote_the_last_word_counts_and_the_invented_can_go(
    engine: Engine, quoted: str
) -> None:
    count = demo.fill(engine)
    with writing(engine) as session:
        keep(session, quoted)
        keep(session, quoted, moment=AFTER_MONTHS, length="right")
        mine = [each for each in outcomes_of_model(session, "knapweed") if not each.invented]
        assert [(each.moment, each.length) for each in mine] == [(AFTER_MONTHS, 0)]
        assert take_out_invented(session) == count
        assert len(outcomes_of_model(session, "knapweed")) == 1
        assert len(session.exec(select(OutcomeBody)).all()) == 2


@pytest.fixture(scope="module")
def catalogue(_filled_sqlite: Path) -> Iterator[Catalogue]:
    """The demo's Knapweed."""
    from webapp.common.storage.database import make_engine

    made = make_engine(f"sqlite:///{_filled_sqlite}")
    with reading(made) as session:
        yield load_catalogue(session, "knapweed")
    made.dispose()


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"length": ""}, "length"),
        ({"moment": "after_years"}, "moment"),
        ({"size_ridden": "xxxl"}, "size_ridden"),
        ({"spacers": "many"}, "spacers"),
        ({"spacers": "nan"}, "spacers"),
        ({"stem": "none"}, "stem"),
        ({"stature": "", "inseam": ""}, "stature"),
        ({"stature": "tall"}, "stature"),
        ({"moment": AFTER_MONTHS, "size_bought": ""}, "size_bought"),
        ({"length": "long", "size_bought": "l"}, "size_bought"),
        ({"length": "short", "size_bought": "s"}, "size_bought"),
    ],
)
def test_what_cannot_be_an_outcome_is_refused_at_its_field(
    catalogue: Catalogue, changed: dict[str, str], field: str
) -> None:
    quoted = read_choice(catalogue, {"size": ["m"]}).choice
    with pytest.raises(Invalid) as refused:
        read_outcome(catalogue, quoted, {**FORM, **changed})
    assert refused.value.field == field


def test_what_looks_contradictory_is_kept_when_it_is_said_to_be_so(catalogue: Catalogue) -> None:
    quoted = read_choice(catalogue, {"size": ["m"]}).choice
    read = read_outcome(catalogue, quoted, {**FORM, "size_bought": "l", "sure": "yes"})
    assert (read.choice.size, read.size_bought) == ("m", "l")
    after = {**FORM, "moment": AFTER_MONTHS, "size_bought": "l", "consent": ""}
    assert read_outcome(catalogue, quoted, after).choice.size == "l"
    assert read_outcome(catalogue, quoted, after).rider is None


def test_a_longer_stem_makes_a_longer_ride_by_what_sizing_says(catalogue: Catalogue) -> None:
    quoted = read_choice(catalogue, {"size": ["m"]}).choice
    stems = {part.slug: part.data.length for part in catalogue.offered(StemData)}
    longest = max(stems, key=lambda slug: stems[slug])
    rides = []
    for stem in ("40-0", longest):
        read = read_outcome(catalogue, quoted, {**FORM, "stem": stem})
        assert read.rider is not None
        rides.append(
            ride_on(catalogue, catalogue, read.choice, read.rider, said=(0, None), bought=False)
        )
    gained = rides[1].given - rides[0].given
    assert gained == pytest.approx(stems[longest] - stems["40-0"], abs=6.0)
    assert gained > 0.0


def test_the_demo_shows_a_chart_that_is_too_long_and_grips_too_low(engine: Engine) -> None:
    # Its riders were made to want bikes 11 mm shorter than the chart says.
    count = demo.fill(engine)
    with reading(engine) as session:
        today = load_catalogue(session, "knapweed")
        kept = outcomes_of_model(session, "knapweed")
    found = findings(today, kept, lambda _: today)
    offset = found.number("offset")
    assert (found.count, found.with_body, found.invented, found.missing) == (count, count, count, 0)
    assert offset.says_something
    assert offset.learnt == pytest.approx(-11.0, abs=2.5 * offset.spread)
    windows = {each.name: each for each in found.styles[0].windows}
    assert windows["bar_above_saddle"].learnt > windows["bar_above_saddle"].present
    # What was foretold of the size bought came about as often as it was foretold.
    assert all(band.agrees for band in found.sizes)
    assert sum(each.happened for each in found.verdicts) == count
    assert sum(each.foretold for each in found.verdicts) == pytest.approx(count, rel=1e-3)
    few = findings(today, kept[:7], lambda _: today)
    assert few.missing == 13
    assert findings(today, (), lambda _: today).count == 0


def test_an_outcome_without_measurements_is_counted_but_not_learnt_from(
    engine: Engine, quoted: str
) -> None:
    with writing(engine) as session:
        keep(session, quoted, consent="")
    with reading(engine) as session:
        today = load_catalogue(session, "knapweed")
        found = findings(today, outcomes_of_model(session, "knapweed"), lambda _: today)
    assert (found.count, found.with_body) == (1, 0)
    assert found.number("offset").learnt == pytest.approx(0.0, abs=1e-6)


def test_a_body_is_plain_json() -> None:
    body = Body(rider={"stature": "1725"}, named="m", chance=0.7, verdicts=(0.1, 0.8, 0.1))
    assert json.loads(json.dumps(body.as_json()))["named"] == "m"
