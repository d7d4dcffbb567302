"""Part, frame and shop data: what is refused, and in which words."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.schema.frames import SizeData
from webapp.catalogue.schema.part_kinds import PART_KINDS, ForkData, StemData
from webapp.catalogue.schema.shop import PostureWindows, Window
from webapp.catalogue.schema.validation import checked, field_schema
from webapp.common.errors import Invalid

NAN, INFINITY = float("nan"), float("inf")


def change(raw: dict[str, Any], path: str, value: Any) -> None:
    *steps, last = [int(step) if step.isdigit() else step for step in path.split(".")]
    inner: Any = raw
    for step in steps:
        inner = inner[step]
    inner[last] = value


def refused(catalogue: Catalogue, kind: str, slug: str, path: str, value: Any) -> Invalid:
    raw = catalogue.part(kind, slug).data.model_dump(mode="json")
    change(raw, path, value)
    with pytest.raises(Invalid) as caught:
        checked(PART_KINDS[kind], raw)
    return caught.value


@pytest.mark.parametrize(
    ("kind", "slug", "path", "value", "remedy"),
    [
        ("fork", "suspension-130", "axle_to_crown", 53, "from 350 to 640 mm ("),
        ("fork", "suspension-130", "axle_to_crown", NAN, "from 350 to 640 mm ("),
        ("fork", "suspension-130", "offset", INFINITY, "from 0 to 90 mm ("),
        ("fork", "suspension-130", "axle_to_crown_measured", "slant", "one of 'along' or"),
        ("fork", "suspension-130", "tyres.0.widest", 500, "from 18 to 130 mm ("),
        ("fork", "suspension-130", "tyres", [], "at least one"),
        ("fork", "suspension-130", "axle", "15 x 110", "front axle standard, met by the"),
        ("fork", "suspension-130", "colour", "red", "not known here; leave it out or use"),
        ("fork", "rigid-long", "sag_fraction", 0.2, "0: a fork without travel has no sag"),
        ("fork", "rigid-long", "rotor_min", 230, "at most rotor_max"),
        ("tyre", "64-622", "bead_seat_diameter", "29", "from 305 to 635 mm ("),
        ("post", "rigid-31", "min_insertion", 50, "at least 2 diameters (16 CFR 1512.15(b))"),
        ("hub", "single-coaster-135", "needs_reaction_arm", False, "true: a coaster brake"),
        ("sprocket", "cassette-12-49", "teeth", [12, 10], "from the smallest sprocket to"),
        ("finish", "soot", "ink", "black", "colour for the drawing, #rrggbb"),
    ],
)
def test_bad_value_is_refused_with_field_value_and_remedy(
    knapweed: Catalogue, *, kind: str, slug: str, path: str, value: Any, remedy: str
) -> None:
    error = refused(knapweed, kind, slug, path, value)
    assert error.field == path
    assert error.value == value or value != value  # noqa: PLR0124  # NaN differs from itself
    assert error.remedy.startswith(remedy)


@pytest.mark.parametrize(
    ("kind", "slug", "path", "value", "field"),
    [
        ("tyre", "64-622", "measured_on", None, "measured_width"),
        ("post", "dropper-150", "below_collar", None, "travel"),
        ("post", "dropper-150", "travel", 0, "travel"),
        ("transmission", "belt", "counts", [], "counts"),
        ("transmission", "chain-wide", "counts", [90], "longest"),
        ("fork", "suspension-130", "rotor_max", None, "brake_mount"),
        ("handlebar", "riser-30", "sweep_start", 400, "width"),
    ],
)
def test_contradictions_name_the_field_to_change(
    knapweed: Catalogue, *, kind: str, slug: str, path: str, value: Any, field: str
) -> None:
    assert refused(knapweed, kind, slug, path, value).field == field


def test_all_problems_are_said_at_once() -> None:
    with pytest.raises(Invalid) as caught:
        checked(StemData, {"length": 999, "angle": "steep"}, at="stem.odd")
    assert {problem.field for problem in caught.value.problems} == {
        f"stem.odd.{name}"
        for name in ("length", "angle", "clamp_height", "steerer_diameter", "bar_diameter")
    }
    missing = next(p for p in caught.value.problems if p.field == "stem.odd.clamp_height")
    assert missing.remedy == "needed: height taken on the steerer [mm]"
    assert missing.value is None


def test_every_number_states_unit_range_and_reason() -> None:
    for kind, model in PART_KINDS.items():
        schema = model.model_json_schema()
        for name in (schema | schema.get("$defs", {}))["properties"]:
            field = field_schema(model, (name,))
            while "items" in field:
                field = field["items"]
            if field.get("type") in ("number", "integer"):
                assert {"minimum", "maximum", "unit", "why"} <= set(field), (kind, name)


def test_size_parts_must_belong_to_one_frame(knapweed: Catalogue) -> None:
    raw = knapweed.size("m").data.model_dump()
    for path, value, field in (
        ("top_tube.along_seat_tube", 500, "seat_tube_length"),
        ("top_tube.below_head_tube_top", 150, "head_tube_length"),
        ("post.depth", 500, "seat_tube_length"),
    ):
        changed = knapweed.size("m").data.model_dump()
        change(changed, path, value)
        with pytest.raises(Invalid) as caught:
            checked(SizeData, changed, at="m")
        assert caught.value.field == f"m.{field}"
    assert checked(SizeData, raw) == knapweed.size("m").data


def test_windows_rise(knapweed: Catalogue) -> None:
    raw = knapweed.style("trail").windows.model_dump()
    raw["trunk_angle"] = {"low": 50, "high": 45}
    with pytest.raises(Invalid) as caught:
        checked(PostureWindows, raw)
    assert caught.value.field == "trunk_angle.high"
    assert Window(low=1, high=2).weight == 1


def test_clear_room_is_no_less_than_the_least(knapweed: Catalogue) -> None:
    raw = knapweed.style("trail").windows.model_dump() | {"straddle_room_clear": 10}
    with pytest.raises(Invalid) as caught:
        checked(PostureWindows, raw)
    assert caught.value.field == "straddle_room_clear"


numbers = st.floats(allow_nan=True, allow_infinity=True) | st.integers() | st.none() | st.text()


@given(raw=st.dictionaries(st.sampled_from([*ForkData.model_fields, "stray"]), numbers, max_size=8))
def test_whatever_is_sent_is_refused_in_words(raw: dict[str, Any]) -> None:
    """No fork can be made of these; each must end in a refusal that names fields."""
    with pytest.raises(Invalid) as caught:
        checked(ForkData, raw, at="fork")
    assert all(problem.field.startswith("fork.") for problem in caught.value.problems)
    assert all(problem.remedy for problem in caught.value.problems)


def test_data_survives_json(knapweed: Catalogue, burdock: Catalogue) -> None:
    for catalogue in (knapweed, burdock):
        for kind, parts in catalogue.parts.items():
            for part in parts:
                text = part.data.model_dump_json()
                assert PART_KINDS[kind].model_validate_json(text) == part.data
        revision = catalogue.revision.data
        assert type(revision).model_validate_json(revision.model_dump_json()) == revision
