"""Sizes as sold are the very builds that are solved one by one, sunk in by their rider."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

import numpy as np
import pytest

from geometry.bike import stand
from webapp.builds.choice.build_choice import read_choice
from webapp.builds.evaluation import compute
from webapp.builds.solving.figures import solve_states
from webapp.builds.solving.solver_inputs import SAGGED, UNLOADED, assemble
from webapp.catalogue.reading.views import Catalogue
from webapp.fit.candidate_builds import as_sold, candidate_builds
from webapp.rider.saddle_line import saddle_line


@pytest.mark.parametrize("slot", ["0", "20"])
@pytest.mark.parametrize("fork", ["suspension-130", "rigid-long"])
def test_every_cockpit_stands_where_its_build_does(trail: Catalogue, slot: str, fork: str) -> None:
    choice = read_choice(trail, {"slot": [slot], "fork": [fork]}).strict()
    found = candidate_builds(trail, choice)
    for at, size in enumerate(trail.sizes):
        stood = found.stands[at]
        for cockpit in (stood.cockpits.sold, 0, len(stood.fittings) - 1):
            fitting = stood.fittings[cockpit]
            parts = {"stem": fitting.stem.slug, "handlebar": fitting.handlebar.slug}
            sold = as_sold(trail, choice, size)
            one = replace(
                sold,
                parts=MappingProxyType({**sold.parts, **parts}),
                spacers=fitting.spacers,
            )
            ahead = trail.revision.data.standover_at
            states = solve_states(assemble(trail, one), standover_at=ahead)
            x, y = states[SAGGED].hands.grips
            rows = stood.cockpits.rows
            assert rows.grip_x[cockpit] == pytest.approx(x, abs=1e-9)
            assert rows.grip_y[cockpit] == pytest.approx(y, abs=1e-9)
            standover = states[UNLOADED].figures["standover"]
            assert found.sold.standover[at] == pytest.approx(standover)
        assert found.sold.grip_x[at] == pytest.approx(rows.grip_x[stood.cockpits.sold])


def test_a_size_stands_with_what_it_is_sold_with(trail: Catalogue) -> None:
    found = candidate_builds(trail, read_choice(trail, {"crank": ["trail-175"]}).choice)
    for size, stood in zip(trail.sizes, found.stands, strict=True):
        sold = size.data.as_sold
        assert sold is not None
        assert stood.assembly.parts["crank"].slug == sold.crank
        assert stood.sold.stem.slug == sold.stem
        assert stood.sold.spacers == sold.spacers
        assert tuple(each.post.slug for each in stood.posts if each.sold) == sold.posts


def test_cockpits_keep_to_what_the_size_may_carry(trail: Catalogue) -> None:
    found = candidate_builds(trail, read_choice(trail, {}).choice)
    for size, stood in zip(trail.sizes, found.stands, strict=True):
        sold = size.data.as_sold
        assert sold is not None
        lengths = {float(getattr(each.stem.data, "length")) for each in stood.fittings}  # noqa: B009
        assert min(lengths) >= sold.stem_shortest
        assert max(lengths) <= sold.stem_longest
        heights = {each.spacers for each in stood.fittings}
        assert (min(heights), max(heights)) == (0.0, trail.revision.data.spacers.most)
        assert np.sum(stood.cockpits.effort == 0.0) == 1


def test_without_data_of_its_own_a_size_is_sold_with_the_usual_parts(trail: Catalogue) -> None:
    bare = tuple(
        replace(size, data=size.data.model_copy(update={"as_sold": None})) for size in trail.sizes
    )
    plain = replace(trail, sizes=bare)
    found = candidate_builds(plain, read_choice(plain, {}).choice)
    for stood in found.stands:
        assert stood.sold.stem.standard
        assert all(each.sold for each in stood.posts)
        lengths = {float(getattr(each.stem.data, "length")) for each in stood.fittings}  # noqa: B009
        assert lengths == {35.0, 40.0, 50.0}


def test_it_is_solved_once_a_catalogue(trail: Catalogue) -> None:
    choice = read_choice(trail, {}).choice
    found = candidate_builds(trail, choice)
    other = replace(choice, size="xl", spacers=0.0, saddle_height=800)
    assert candidate_builds(trail, other) is found
    assert candidate_builds(trail, replace(choice, slot=10.0)) is not found
    assert candidate_builds(replace(trail), choice) is not found


@pytest.mark.parametrize("height", [620.0, 755.0, 860.0])
@pytest.mark.parametrize(("setback", "rail"), [(0.0, 0.0), (25.0, 0.0), (15.0, -12.0)])
def test_saddle_heights_of_axis_and_seat_turn_into_each_other(
    trail: Catalogue, height: float, setback: float, rail: float
) -> None:
    assembly = assemble(trail, read_choice(trail, {}).choice)
    seat = replace(assembly.seat, height=height, post_offset=setback, rail_position=rail)
    line = saddle_line(stand(assembly.build), assembly.build, seat)
    assert line.to_post(line.from_post(height)) == pytest.approx(height, abs=1e-9)
    # Behind the axis the seat is further from the BB, on it as far.
    assert (line.from_post(height) > height + 1e-6) == (setback > 0)


def test_toe_room_is_that_of_the_builds_own_check(tourer: Catalogue) -> None:
    choice = read_choice(tourer, {}).strict()
    found = candidate_builds(tourer, choice)
    for at, size in enumerate(tourer.sizes):
        checks = compute(tourer, as_sold(tourer, choice, size)).checks
        toe = next(check for check in checks if check.code.startswith("feet.toe"))
        assert toe.outcome == "clear"
        assert toe.figure == pytest.approx(found.sold.toe_room[at])
        assert toe.limit == pytest.approx(found.sold.toe_least[at])


def test_without_pedals_nothing_is_said_of_toes(tourer: Catalogue) -> None:
    choice = read_choice(tourer, {"pedal": [""]}).choice
    choice = replace(choice, parts=MappingProxyType({**choice.parts, "pedal": ""}))
    assert np.isinf(candidate_builds(tourer, choice).sold.toe_room).all()
