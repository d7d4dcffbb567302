"""Forms made from data classes: every kind of part comes back as it went out."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import Engine
from sqlmodel import select

from webapp.catalogue.schema.fields import Data
from webapp.catalogue.schema.frames import RevisionData, SizeData
from webapp.catalogue.schema.part_kinds import PART_KINDS, BrakeData, ForkData
from webapp.catalogue.schema.shop import PostureWindows, ShopSettings
from webapp.catalogue.schema.validation import checked
from webapp.catalogue.tables import FrameRevision, FrameSize, Part, RidingStyle, ShopSetting
from webapp.common.storage.database import reading
from webapp.office.forms.data_form import form_of, raw_of, texts_of
from webapp.office.forms.typed_numbers import read_number


def test_everything_in_the_catalogue_survives_its_own_form(shop: Engine) -> None:
    with reading(shop) as session:
        rows: list[tuple[type[Data], Any]] = [
            (PART_KINDS[p.kind], p.data) for p in session.exec(select(Part)).all()
        ]
        rows += [(RevisionData, r.data) for r in session.exec(select(FrameRevision)).all()]
        rows += [(SizeData, r.data) for r in session.exec(select(FrameSize)).all()]
        rows += [(PostureWindows, r.data) for r in session.exec(select(RidingStyle)).all()]
        rows += [(ShopSettings, r.data) for r in session.exec(select(ShopSetting)).all()]
    assert {model for model, _ in rows} >= set(PART_KINDS.values())
    for model, data in rows:
        back = checked(model, raw_of(model, texts_of(model, data)))
        assert back == model.model_validate(data)


@pytest.mark.parametrize("kind", PART_KINDS)
def test_an_empty_form_is_refused_field_by_field_and_never_breaks(kind: str) -> None:
    model = PART_KINDS[kind]
    texts = texts_of(model, {})
    names = {field.name for field in form_of(model, {}).fields}
    assert names <= set(texts)
    raw = raw_of(model, texts)
    assert set(raw) <= set(model.model_fields)


def test_a_blank_entry_of_a_list_and_a_piece_left_out_stay_out() -> None:
    texts = texts_of(BrakeData, {"front": None, "rear": None})
    assert raw_of(BrakeData, texts) == {}
    fork = {"tyres": [{"bead_seat_diameter": 622, "widest": 70}]}
    assert len(raw_of(ForkData, texts_of(ForkData, fork))["tyres"]) == 1


def test_what_was_typed_comes_back_with_its_error() -> None:
    form = form_of(ForkData, {}, typed={"offset": "wide"}, errors={"offset": "from 0 to 90 mm"})
    offset = next(field for field in form.fields if field.name == "offset")
    assert (offset.value, offset.error, offset.unit) == ("wide", "from 0 to 90 mm", "mm")


@pytest.mark.parametrize(
    ("text", "value"),
    [("395", 395), ("395,5", 395.5), ("395.50", 395.5), (" 12 ", 12), ("1,234.5", "1,234.5"),
     ("nan", "nan"), ("inf", "inf"), ("", ""), ("1e3", 1000.0)],
)  # fmt: skip
def test_numbers_as_typed(text: str, value: object) -> None:
    assert read_number(text) == value


@pytest.mark.parametrize("step", ["²", "9" * 5000, "-1", "99999999"])
def test_an_entry_at_a_place_no_list_has_is_passed_over(step: str) -> None:
    texts = {f"tyres.{step}.widest": "70"}
    assert "tyres" not in raw_of(ForkData, texts)
    assert len(form_of(ForkData, {}, typed=texts).groups) == len(form_of(ForkData, {}).groups)
