"""A shop that sells frames alone: what is assumed carries the figures and is not sold."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import Engine
from sqlmodel import select

from webapp.builds.choice.build_choice import address_of, pairs_of, read_choice
from webapp.builds.choice.places import widest_scope
from webapp.builds.evaluation import BuildResult, compute
from webapp.catalogue.lookup import model_row
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.tables import Offer, Part
from webapp.catalogue.writing.parts import put_offer, remove_offer
from webapp.common.storage.database import make_engine, reading, writing
from webapp.quote.freezing.freeze_build import freeze

DAY = date(2026, 11, 27)


@pytest.fixture
def frames_only(tmp_path: Path, _filled_sqlite: Path) -> Iterator[Engine]:
    """The demo's tourer with no part offered for it."""
    shutil.copy(_filled_sqlite, tmp_path / "shop.sqlite")
    engine = make_engine(f"sqlite:///{tmp_path / 'shop.sqlite'}")
    with writing(engine) as session:
        model = model_row(session, "burdock")
        query = select(Part).join(Offer).where(Offer.model_id == model.id)
        for part in session.exec(query).all():
            remove_offer(session, who="t", model="burdock", kind=part.kind, slug=part.slug)
    yield engine
    engine.dispose()


def opened(engine: Engine) -> Catalogue:
    with reading(engine) as session:
        return load_catalogue(session, "burdock", on=DAY)


def built(catalogue: Catalogue, **query: str) -> BuildResult:
    read = read_choice(catalogue, {key: [text] for key, text in query.items()})
    return compute(catalogue, read.strict())


def test_a_frame_stands_as_it_is_drawn_and_is_sold_alone(frames_only: Engine) -> None:
    catalogue = opened(frames_only)
    result = built(catalogue, size="l")
    drawn = catalogue.size("l").data
    figures = result.states["unloaded"].figures
    assert result.choice.scope == "frame"
    assert result.can_be_ordered
    assert figures["reach"] == pytest.approx(drawn.reach, abs=0.5)  # the drawing's own closure
    assert figures["head_angle"] == pytest.approx(drawn.head_angle, abs=0.1)
    assert result.assembly.cockpit.stem.length == drawn.stem_length
    assert [line.key for line in result.price.lines] == ["frame"]
    named = {setting.label: setting.value for setting in freeze(result, on=DAY).settings}
    assert named["Fork"] == "fork as drawn, 425 mm (assumed)"
    assert named["Rear tyre"] == "tyre as drawn, radius 356 mm (assumed)"


def test_what_is_not_there_is_never_sold(frames_only: Engine) -> None:
    catalogue = opened(frames_only)
    for scope, lacking in (("bike", "saddle"), ("frameset", "fork")):
        result = built(catalogue, scope=scope)
        failed = {check.code: check for check in result.failed}
        assert lacking in failed["scope.offered"].reason
        assert "frame alone" in failed["scope.offered"].remedy
        assert not result.can_be_ordered


def test_a_fork_of_ones_own_makes_a_frameset_and_old_addresses_keep_their_meaning(
    frames_only: Engine,
) -> None:
    before = built(opened(frames_only))
    with writing(frames_only) as session:
        put_offer(
            session, who="t", model="burdock", kind="fork", slug="rigid-tourer",
            position=0, standard=True,
        )  # fmt: skip
    catalogue = opened(frames_only)
    result = built(catalogue)
    assert widest_scope(catalogue) == "frameset"
    assert result.can_be_ordered
    assert [line.key for line in result.price.lines] == ["frame", "fork"]
    assert "(assumed)" not in result.assembly.parts["fork"].name
    again = read_choice(catalogue, {key: [text] for key, text in pairs_of(before.choice)}).strict()
    assert address_of(again) == address_of(before.choice)
    assert compute(catalogue, again).can_be_ordered
