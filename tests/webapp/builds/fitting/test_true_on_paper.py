"""What a sheet tells a mechanic is one thing, can be done, and is the same wherever it is told."""

from __future__ import annotations

import re

import pytest

from tests.webapp.builds.fitting.judged_builds import (
    COASTER,
    checks_of,
    chosen,
    closed,
    setup_of,
)
from webapp.builds.assembly_notes import AssemblyNote, assembly_notes
from webapp.builds.choice.build_choice import BuildChoice, read_choice
from webapp.builds.evaluation import compute
from webapp.builds.fitting.calculations.axle_position import axle_positions_of
from webapp.builds.page.picture import figures_drawn
from webapp.builds.solving.tolerances import tolerances_of
from webapp.catalogue.reading.views import Catalogue
from webapp.drawing.labels import printed


def note(catalogue: Catalogue, choice: BuildChoice, label: str) -> AssemblyNote:
    return next(each for each in assembly_notes(compute(catalogue, choice)) if each.label == label)


def test_one_depth_of_the_post_and_its_cable_beside_it(trail: Catalogue) -> None:
    """The workshop's depth is that of the check; the cable's room is said, not added in silence."""
    choice = chosen(trail, size="s", post="dropper-200", saddle_height="700")
    setup = setup_of(trail, size="s", post="dropper-200", saddle_height="700")
    told = checks_of(trail, choice)["post.bottle"].reason
    found = re.search(r"goes (\d+) mm in and its cable needs (\d+) mm below it", told)
    assert found is not None, told
    assert float(found[2]) == setup.assembly.seat_range.cable_room > 0
    depth = setup.assembly.seat_range.insertion(float(setup.assembly.seat.height))
    assert float(found[1]) == pytest.approx(depth, abs=0.5)


@pytest.mark.parametrize("height", ["400", "1000"])
def test_a_depth_that_cannot_be_set_is_no_instruction(trail: Catalogue, height: str) -> None:
    """1000 mm would want a post pulled out of its frame: the sheet said −68.9 mm and the like."""
    depth = note(trail, chosen(trail, size="m", saddle_height=height), "Post insertion")
    assert not re.search(r"\d", depth.value)
    assert "cannot be set" in depth.value


def test_no_note_tells_a_length_below_nothing(trail: Catalogue) -> None:
    for fields in ({"saddle_height": "1000"}, {"saddle_height": "400"}, dict(COASTER)):
        for each in assembly_notes(compute(trail, chosen(trail, fields, size="m"))):
            assert not re.match(r"[−-]\d", each.value), each


def test_an_axle_that_is_fixed_has_no_tolerance_of_setting(
    tourer: Catalogue, trail: Catalogue
) -> None:
    for catalogue, has in ((tourer, False), (trail, True)):
        setup = setup_of(catalogue)
        frame = catalogue.revision.data.tolerances
        assert ("build.slot_position" in tolerances_of(frame, setup.assembly)) == has


def test_two_bottles_take_two_mounts(trail: Catalogue, tourer: Catalogue) -> None:
    for catalogue in (trail, tourer):
        bottles = [
            part.slug for part in catalogue.offered("extra")
            if getattr(part.data, "use", "") == "bottle"
        ]  # fmt: skip
        for size in catalogue.sizes:
            choice = read_choice(catalogue, {"size": [size.slug], "extra": bottles}).strict()
            found = checks_of(catalogue, choice)
            mounts = [
                re.search(r"the (\w[\w ]*) has room", found[f"bottle.{slug}"].reason)
                for slug in bottles
            ]
            named = [each[1] for each in mounts if each]
            assert len(named) == len(set(named))
            taken = [slug for slug in bottles if "taken" in found[f"bottle.{slug}"].reason]
            assert len(taken) == max(0, len(bottles) - len(size.data.bottle_mounts))
            assert all(found[f"bottle.{slug}"].outcome == "no" for slug in taken)


def test_the_sheet_says_where_the_axle_gives_the_chain_its_play(trail: Catalogue) -> None:
    choice = chosen(trail, closed(trail, COASTER, size="m"))
    setup = setup_of(trail, closed(trail, COASTER, size="m"))
    row = next(row for row in axle_positions_of(setup) if row.is_at(choice.slot))
    told = note(trail, choice, "Slack of the chain").note
    slack, taut = (float(text) for text in re.findall(r"from ([\d.]+) to ([\d.]+) mm", told)[0])
    assert (slack, taut) == (round(row.new - row.allowance, 1), round(row.new, 1))


def test_the_drawing_prints_a_length_as_the_table_does(trail: Catalogue) -> None:
    drawn = figures_drawn(compute(trail, chosen(trail, size="m")))
    for key, value in (drawn | {"reach": 442.5, "stack": 442.46}).items():
        if "angle" not in key:
            assert float(printed(key, value).replace("−", "-")) == round(value, 1)
