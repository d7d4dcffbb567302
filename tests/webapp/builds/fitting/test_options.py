"""Options and ways: what is said of another choice is what judging that very build says."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from geometry.core.errors import GeometryError
from tests.webapp.builds.fitting.judged_builds import (
    BELT,
    COASTER,
    SMALL_WHEELS,
    Fields,
    checks_of,
    chosen,
    setup_of,
)
from webapp.builds.choice.places import PLACES
from webapp.builds.evaluation import compute
from webapp.builds.fitting.calculations.questions import QUESTIONS
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.checks import label_of, places_of
from webapp.builds.fitting.options import Option, extra_options, options
from webapp.builds.suggestions.check_remedies import MOST, remedies_of
from webapp.builds.suggestions.repair import find_repair
from webapp.catalogue.reading.frame_inputs import frame_of
from webapp.catalogue.reading.views import Catalogue

BUILDS: tuple[Fields, ...] = (
    {},
    {**COASTER, "slot": "4.1"},
    BELT,
    {**SMALL_WHEELS, "slot": "24", "mud": "2"},
    {"size": "xs", "post": "dropper-125", "saddle_height": "640"},
)
# The axle can be moved, and riders and luggage are nobody's part.
NOT_BY_PARTS = ("drive.axle_position", "load.rider", "load.bike", "load.luggage")


def every_option(setup: Setup) -> Iterator[tuple[str, Option]]:
    judged = options(setup)
    for place in PLACES:
        for option in judged[place.name]:
            yield place.name, option


@pytest.mark.parametrize("fields", BUILDS, ids=range(len(BUILDS)))
def test_option_is_refused_exactly_when_its_build_is(trail: Catalogue, fields: Fields) -> None:
    setup = setup_of(trail, fields)
    refused = 0
    for place, option in every_option(setup):
        try:
            found = checks_of(trail, setup.with_part(place, option.part.slug))
        except GeometryError:
            assert option.reason, option.part.name
            continue
        failing = [
            check
            for check in found.values()
            if check.outcome == "no"
            and place in places_of(check.code)
            and check.code not in NOT_BY_PARTS
            and not check.code.startswith("extra.")
        ]
        assert bool(option.reason) == bool(failing), (place, option.part.slug, failing)
        if option.reason:
            refused += 1
            assert option.reason in {check.reason for check in failing}
    assert refused


BROKEN: tuple[Fields, ...] = (
    {"tyre_rear": "69-622"},  # tight only
    COASTER,
    {"tyre_rear": "74-622"},
    {"fork": "suspension-110"},
    {**BELT, "sprocket": "belt-27"},
    {"saddle_height": "790"},
    {"size": "l", "saddle_height": "600"},
    {"luggage": "10"},
    {"extra": "mudguards-29"},
    {"ring": "single-36", **{k: v for k, v in COASTER.items() if k != "ring"}},
)


@pytest.mark.parametrize("fields", BROKEN, ids=range(len(BROKEN)))
def test_every_change_offered_makes_its_check_clear(trail: Catalogue, fields: Fields) -> None:
    result = compute(trail, chosen(trail, fields))
    offered = remedies_of(result)
    assert offered
    for code, mends in offered.items():
        assert 0 < len(mends) <= MOST
        for mend in mends:
            found = checks_of(trail, mend.choice).get(code)
            cleared = found is None or found.outcome == "clear" or code == "load.luggage"
            assert cleared, (code, mend.words)
            assert found is None or found.outcome is not None


def test_half_link_is_offered_where_only_it_closes(trail: Catalogue) -> None:
    """A slot shorter than the 6.35 mm between two counts, where the even ones miss it."""
    size = trail.size("m")
    data = size.data.model_copy(update={"chainstay_length": 437.3, "slot_length": 6.2})
    drawn = trail.revision.data.drawn_with.model_copy(update={"slot_position": 0})
    frame = frame_of(data, drawn)
    listed = tuple(replace(s, data=data, frame=frame) if s.slug == "m" else s for s in trail.sizes)
    short = replace(trail, sizes=listed)
    result = compute(short, chosen(short, COASTER))
    codes = {check.code: check.outcome for check in result.checks}
    assert codes["drive.slot"] == "no"
    assert "drive.axle_position" not in codes
    first = remedies_of(result)["drive.slot"][0]
    assert first.words.startswith("add: half link")
    mended = checks_of(short, first.choice)
    assert mended["drive.slot"].outcome == mended["drive.axle_position"].outcome == "clear"


def test_extra_is_refused_exactly_when_ticking_it_fails(
    trail: Catalogue, tourer: Catalogue
) -> None:
    for catalogue, fields in ((trail, {}), (trail, COASTER), (tourer, {}), (trail, {"size": "xs"})):
        setup = setup_of(catalogue, fields)
        judged = extra_options(setup)
        refused = {slug for slug, option in judged.items() if option.reason}
        failing = set()
        for slug in judged:
            checks = checks_of(catalogue, chosen(catalogue, fields, extra=slug))
            own = {c for c in checks if c.startswith(("extra.", "bottle.", "tyre.mudguard"))}
            if any(checks[code].outcome == "no" for code in own):
                failing.add(slug)
        assert refused == failing
    assert refused  # the smallest size has no room for the larger bottle


def test_a_way_out_sets_the_axle_too(trail: Catalogue) -> None:
    way = find_repair(trail, chosen(trail, COASTER))
    assert way is not None
    assert (way.changes, way.axle) == ((), 4.1)
    assert compute(trail, way.choice).can_be_ordered


def test_a_way_out_mends_what_is_computed(trail: Catalogue) -> None:
    front = {"fork": "suspension-110", "tyre_front": "69-622"}
    for fields in ({"tyre_rear": "74-622"}, {"saddle_height": "790"}, front):
        way = find_repair(trail, chosen(trail, fields))
        assert way is not None
        assert compute(trail, way.choice).failed == ()


def test_a_way_out_leaves_out_what_nothing_makes_fit(trail: Catalogue) -> None:
    way = find_repair(trail, chosen(trail, size="xs", extra="bottle-800", tyre_rear="74-622"))
    assert way is not None
    assert ("Without", "bottle, 800 ml") in way.changes
    assert compute(trail, way.choice).failed == ()


def test_every_question_has_a_name_of_its_own() -> None:
    labels = [question.label for question in QUESTIONS.values()]
    assert len(set(labels)) == len(labels)
    assert label_of("bottle.bottle-600") == "bottle on its mount"
    assert label_of("extra.mounts.rear-rack") == "mount"
    assert places_of("extra.mounts.rear-rack") == ()


def test_every_check_is_named(trail: Catalogue, tourer: Catalogue) -> None:
    for catalogue, fields in ((trail, COASTER), (trail, BELT), (tourer, {"usage": "3"})):
        for code in checks_of(catalogue, chosen(catalogue, fields)):
            assert label_of(code) != code
