"""The glossary covers every field, and says everything of each."""

from __future__ import annotations

import dataclasses

import pytest

from geometry.bike import (
    Build,
    Closure,
    Cockpit,
    DrawnWith,
    Fork,
    Frame,
    Handlebar,
    Hands,
    Seat,
    Seated,
    Standing,
    State,
    Stem,
    TopTube,
)
from geometry.clearance import Toe
from geometry.core import InvalidInput
from geometry.glossary.lookup import GLOSSARY, PLACES, entry, inputs
from geometry.glossary.result_entries import RESULTS
from geometry.loads import Loading

RESULT_CLASSES = (
    Standing,
    Hands,
    Seated,
    Closure,
    Loading,
    Toe,
)
INPUT_CLASSES = (
    Frame,
    TopTube,
    Fork,
    DrawnWith,
    Build,
    State,
    Stem,
    Handlebar,
    Cockpit,
    Seat,
)


@pytest.mark.parametrize("kind", RESULT_CLASSES)
def test_every_result_field_has_an_entry(kind: type) -> None:
    for field in dataclasses.fields(kind):
        found = entry(PLACES[f"{kind.__name__}.{field.name}"])
        assert found in RESULTS


@pytest.mark.parametrize("kind", INPUT_CLASSES)
def test_every_input_field_has_an_entry_in_its_own_unit(kind: type) -> None:
    units = {"mm": "mm", "degrees": "°"}
    for field in dataclasses.fields(kind):
        if "unit" in field.metadata:
            found = entry(PLACES[f"{kind.__name__}.{field.name}"])
            assert found in inputs()
            assert found.unit == units[field.metadata["unit"]]


def test_every_place_exists() -> None:
    kinds = {kind.__name__: kind for kind in (*RESULT_CLASSES, *INPUT_CLASSES)}
    for found in GLOSSARY.values():
        if found.place.count(".") == 1:
            kind, field = found.place.split(".")
            assert field in {f.name for f in dataclasses.fields(kinds[kind])}


def test_keys_are_unique_and_told_apart_by_their_dot() -> None:
    assert len(GLOSSARY) == len(RESULTS) + len(inputs())
    assert all("." not in e.key for e in RESULTS)
    assert all("." in e.key for e in inputs())


def test_names_are_unique_among_results() -> None:
    names = [e.name for e in RESULTS]
    assert len(set(names)) == len(names)


@pytest.mark.parametrize("key", sorted(GLOSSARY))
def test_entries_say_everything(key: str) -> None:
    found = GLOSSARY[key]
    assert found.name
    assert found.name[0].isupper()
    assert found.definition.endswith(".")
    assert found.source.endswith(".")
    assert bool(found.formula) == (found in RESULTS)
    assert found.decimals == {"mm": 1, "°": 2, "g": 2, "": 4}[found.unit]


# The trade's own words for the figures of a standing bike, as frame builders and
# the literature on bicycle dynamics write them (Moore, Human Control of a
# Bicycle, UC Davis 2012; ISO 4210-1 for BB, wheelbase and trail).
TRADE = {
    "reach": "Reach",
    "stack": "Stack",
    "head_angle": "Head angle",
    "seat_tube_angle": "Seat tube angle",
    "effective_seat_angle": "Effective seat angle",
    "effective_top_tube": "Effective top tube",
    "bb_drop": "BB drop",
    "bb_height": "BB height",
    "chainstay_length": "Chainstay length",
    "rear_centre": "Rear centre",
    "wheelbase": "Wheelbase",
    "trail": "Trail",
    "mechanical_trail": "Mechanical trail",
    "wheel_flop": "Wheel flop",
    "standover": "Standover",
    "saddle_height": "Saddle height",
}


@pytest.mark.parametrize(("key", "name"), TRADE.items())
def test_names_are_the_trades(key: str, name: str) -> None:
    assert entry(key).name == name


def test_unknown_keys_are_refused_by_name() -> None:
    with pytest.raises(InvalidInput) as caught:
        entry("rake")
    assert (caught.value.field, caught.value.value) == ("key", "rake")
