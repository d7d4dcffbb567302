"""A rider as a value: any common unit, nothing typed lost, one canonical form."""

from __future__ import annotations

from dataclasses import replace
from urllib.parse import parse_qs, urlencode

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.builds.choice.build_choice import POSITIONS, query_of, read_choice
from webapp.builds.choice.places import PLACE_OF
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Invalid
from webapp.rider.rider_input import (
    MEASURES,
    RIDER_KEYS,
    SEXES,
    TASTES,
    Rider,
    read_rider,
    rider_pairs,
)
from webapp.rider.windows import windows_of


def query(**fields: str) -> dict[str, list[str]]:
    return {name: [text] for name, text in fields.items()}


@pytest.mark.parametrize(
    ("typed", "millimetres"),
    [
        ("172", 1720.0),
        ("1720", 1720.0),
        ("1,72 m", 1720.0),
        ("5 ft 8", 1727.2),  # 68 × 25.4
        ("5'8\"", 1727.2),
        ("68 in", 1727.2),
        ("68", 1727.2),  # 68 cm is nobody's stature
    ],
)
def test_stature_in_any_common_unit(trail: Catalogue, typed: str, millimetres: float) -> None:
    read = read_rider(trail, query(stature=typed))
    assert read.problems == ()
    assert read.rider.stature == pytest.approx(millimetres, abs=0.05)
    assert read.typed["stature"] == typed


@pytest.mark.parametrize(
    ("typed", "kilograms"), [("75", 75.0), ("165 lb", 74.8), ("11 st 11", 74.8), ("75 kg", 75.0)]
)
def test_weight_in_any_common_unit(trail: Catalogue, typed: str, kilograms: float) -> None:
    read = read_rider(trail, query(stature="172", weight=typed))
    assert read.rider.weight == pytest.approx(kilograms, abs=0.05)  # 0.45359237 kg a pound


def test_bare_weight_beside_feet_is_asked_for_its_unit(trail: Catalogue) -> None:
    """150 is a light adult in pounds and a heavy one in kilograms; nothing is guessed."""
    read = read_rider(trail, query(stature="5 ft 8", weight="150"))
    assert [problem.field for problem in read.problems] == ["weight"]
    assert "kg or lb" in read.problems[0].remedy


@pytest.mark.parametrize("name", [measure.name for measure in MEASURES])
@pytest.mark.parametrize("text", ["tall", "-4", "1e9", "9" * 60, "17.2.3", "½", "0", "\x00"])
def test_what_cannot_be_read_is_told_at_its_field(trail: Catalogue, name: str, text: str) -> None:
    read = read_rider(trail, query(**{name: text}))
    assert [problem.field for problem in read.problems] == [name]
    assert read.typed[name] == text.strip()
    assert read.rider.value(next(m.name for m in MEASURES if m.name == name)) is None
    with pytest.raises(Invalid):
        read.strict()


@pytest.mark.parametrize(
    ("name", "text"), [("sex", "x"), ("style", "racing"), ("stature_by", "guess")]
)
def test_unknown_words_name_what_would_be_right(trail: Catalogue, name: str, text: str) -> None:
    read = read_rider(trail, query(**{name: text}))
    assert [problem.field for problem in read.problems] == [name]
    assert read.problems[0].remedy.startswith("one of ")


def test_twice_is_once_too_often(trail: Catalogue) -> None:
    read = read_rider(trail, {"stature": ["170", "180"]})
    assert [problem.field for problem in read.problems] == ["stature"]


def test_keys_are_not_those_of_a_build() -> None:
    build = {"rev", "size", "scope", "extra", *PLACE_OF, *(at.name for at in POSITIONS)}
    assert build.isdisjoint(RIDER_KEYS)


def tenths(low: float, high: float) -> st.SearchStrategy[float]:
    return st.integers(int(low * 10), int(high * 10)).map(lambda count: count / 10)


@st.composite
def riders(draw: st.DrawFn) -> Rider:
    values = {
        measure.name: draw(st.none() | tenths(measure.low, measure.high)) for measure in MEASURES
    }
    walled = values["stature"] is not None and draw(st.booleans())
    return Rider(
        **values,
        stature_by="wall" if walled else "memory",
        inseam_by="trousers" if values["inseam"] and draw(st.booleans()) else "floor",
        taste=draw(st.sampled_from(TASTES)),
        flexibility=draw(st.sampled_from(["", "shins", "palms"])),
        discomfort=draw(st.sampled_from(["", "hands", "knees"])),
        sex=draw(st.sampled_from([None, *SEXES])),
        style=draw(st.sampled_from(["trail", "in-between", "long-distance", "loaded"])),
    )


@given(rider=riders())
def test_the_canonical_form_reads_back(trail: Catalogue, rider: Rider) -> None:
    read = read_rider(trail, parse_qs(urlencode(rider_pairs(rider))))
    if rider.has_values:
        assert read.strict() == rider
    else:
        assert rider_pairs(rider) == []


@given(rider=riders())
def test_a_build_carries_its_rider(trail: Catalogue, rider: Rider) -> None:
    plain = read_choice(trail, {}).choice
    choice = replace(plain, rider=rider if rider.has_values else None)
    query = parse_qs(query_of(choice), keep_blank_values=True)
    assert read_choice(trail, query).strict() == choice
    assert [key for key in query if key in RIDER_KEYS] == [
        key for key in RIDER_KEYS if key in query
    ]


def test_a_build_tells_what_is_wrong_with_its_rider(trail: Catalogue) -> None:
    read = read_choice(trail, query(stature="short"))
    assert [problem.field for problem in read.problems] == ["stature"]
    assert read.choice.rider is None


def test_windows_are_those_of_the_catalogue(trail: Catalogue) -> None:
    for style in trail.styles:
        windows = windows_of(style)
        assert windows.style == style.name.lower()
        assert windows.trunk_angle.low == style.windows.trunk_angle.low
        assert windows.stem_departure.weight == style.windows.stem_departure.weight
        assert windows.straddle_room_least == style.windows.straddle_room_least
