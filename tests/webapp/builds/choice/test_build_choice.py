"""One build, one address: written and read back unchanged; what cannot be used is named."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from urllib.parse import parse_qs

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.builds.choice.build_choice import (
    LONGEST_VALUE,
    BuildChoice,
    address_of,
    query_of,
    read_choice,
)
from webapp.builds.choice.places import PLACES, SCOPES
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Invalid


def tenths(low: int, high: int) -> st.SearchStrategy[float]:
    return st.integers(low * 10, high * 10).map(lambda count: count / 10)


@st.composite
def choices(draw: st.DrawFn, catalogue: Catalogue) -> BuildChoice:
    """Any build of a revision, whether its parts go together or not."""
    size = draw(st.sampled_from(catalogue.sizes))
    parts = {
        place.name: draw(
            st.sampled_from(
                [part.slug for part in catalogue.parts[place.kind]]
                + ([""] if place.optional else [])
            )
        )
        for place in PLACES
    }
    extras = [part.slug for part in catalogue.parts["extra"]]
    return BuildChoice(
        model=catalogue.model.slug,
        revision=catalogue.revision.number,
        size=size.slug,
        scope=draw(st.sampled_from(SCOPES)),
        parts=MappingProxyType(parts),
        extras=tuple(slug for slug in extras if draw(st.booleans())),
        slot=draw(tenths(0, int(size.data.slot_length))),
        spacers=float(draw(st.integers(0, 100))),
        saddle_height=draw(st.none() | st.integers(400, 1000).map(float)),
        rail=float(draw(st.integers(-60, 60))),
        sag=draw(st.none() | st.integers(0, 50).map(float)),
        cadence=draw(st.none() | st.integers(20, 200).map(float)),
    )


@given(data=st.data())
@pytest.mark.parametrize("key", [("knapweed", 1), ("knapweed", 2), ("burdock", 1)])
def test_address_reads_back_as_the_same_build(
    catalogues: Mapping[tuple[str, int], Catalogue], key: tuple[str, int], data: st.DataObject
) -> None:
    choice = data.draw(choices(catalogues[key]))
    query = query_of(choice)
    read = read_choice(catalogues[key], parse_qs(query, strict_parsing=True))
    assert read.problems == ()
    assert read.choice == choice
    assert query_of(read.choice) == query


def test_empty_query_is_the_builders_usual_build(trail: Catalogue) -> None:
    choice = read_choice(trail, {}).strict()
    assert choice.size == "m"
    assert choice.scope == "bike"
    assert choice.part("fork") == "suspension-130"
    assert choice.slot == 0.0
    assert choice.saddle_height is None
    assert read_choice(trail, {"fork": [""], "slot": [" "]}).choice == choice


def test_address_is_complete_and_in_one_order(trail: Catalogue) -> None:
    one = read_choice(trail, {"size": ["l"], "fork": ["suspension-150"]}).strict()
    other = read_choice(trail, {"fork": ["suspension-150"], "size": ["l"]}).strict()
    assert address_of(one) == address_of(other)
    assert address_of(one).startswith("/build/knapweed?rev=2&size=l&scope=bike&finish=")
    named = set(parse_qs(query_of(one)))
    assert {place.name for place in PLACES} <= named


@pytest.mark.parametrize(
    ("text", "slot"), [("12.5", 12.5), ("12,5", 12.5), (" 20 ", 20.0), ("-0", 0.0), ("1e1", 10.0)]
)
def test_positions_are_read_as_people_write_them(trail: Catalogue, text: str, slot: float) -> None:
    assert read_choice(trail, {"slot": [text]}).strict().slot == slot


def test_minus_sign_of_print_is_read(trail: Catalogue) -> None:
    assert read_choice(trail, {"rail": ["\N{MINUS SIGN}8"]}).strict().rail == -8.0


WRONG = [
    ("size", ["3xl"], "one of these: Extra small; Small; Medium; "),
    ("size", ["m", "l"], "give it once"),
    ("scope", ["wheel"], "one of these: whole bike; frame, fork and headset; frame alone"),
    ("fork", ["suspension-999"], "one of these: suspension fork 29, 130 mm; "),
    ("fork", ["none"], "one of these: suspension fork 29, 130 mm; "),
    ("pedal", ["wings"], "none"),
    ("fork", ["64-622"], "one of these: suspension fork 29, 130 mm; "),
    ("slot", ["24.1"], "a number from 0 to 24 mm"),
    ("slot", ["-1"], "a number from 0 to 24 mm"),
    ("slot", ["5", "6"], "give it once"),
    ("slot", ["nan"], "a number from 0 to 24 mm"),
    ("slot", ["inf"], "a number from 0 to 24 mm"),
    ("slot", ["1e999"], "a number from 0 to 24 mm"),
    ("slot", ["far back"], "a number from 0 to 24 mm"),
    ("slot", ["1" * 5000], "a number from 0 to 24 mm"),
    ("spacers", ["1e6"], "a number from 0 to 100 mm"),
    ("saddle_height", ["0"], "a number from 400 to 1000 mm"),
    ("sag", ["NaN"], "a number from 0 to 50 %"),
    ("extra", ["cage", "wings"], "one of these: mudguards for 622, wide; "),
    ("extra", ["cage"] * 21, "one of these: mudguards for 622, wide; "),
    ("colour", ["red"], "no part of a build: leave it out"),
    ("slot'; --", ["1"], "no part of a build: leave it out"),
]


@pytest.mark.parametrize(("name", "values", "remedy"), WRONG)
def test_what_cannot_be_used_is_named_and_the_usual_stands(
    trail: Catalogue, name: str, values: list[str], remedy: str
) -> None:
    read = read_choice(trail, {name: values})
    assert {problem.field for problem in read.problems} == {name}
    assert remedy in read.problems[0].remedy
    assert len(str(read.problems[0].value)) <= LONGEST_VALUE
    assert name in read.typed
    usual = read_choice(trail, {}).choice
    if name not in {"size", "slot", "extra"} or len(values) == 1:
        assert read.choice == usual
    with pytest.raises(Invalid) as raised:
        read.strict()
    assert raised.value.field == name


def test_every_wrong_field_is_reported_at_once(trail: Catalogue) -> None:
    read = read_choice(trail, {"fork": ["x"], "slot": ["y"], "z": ["z"]})
    assert [problem.field for problem in read.problems] == ["z", "slot", "fork"]


def test_fixed_axle_takes_no_position(tourer: Catalogue) -> None:
    read = read_choice(tourer, {"slot": ["5"]})
    assert read.choice.slot == 0.0
    assert read.problems[0].remedy == "0 mm: it is fixed on this frame"
    assert read_choice(tourer, {"slot": ["0"]}).problems == ()


def test_fields_of_the_caller_are_no_problem(trail: Catalogue) -> None:
    assert read_choice(trail, {"state": ["sagged"]}, also=("state",)).problems == ()
