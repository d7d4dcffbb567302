"""Sizes and cockpits as arrays are the very builds that are solved one by one."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

import pytest

from geometry.bike.standing import stand
from webapp.builds.choice.build_choice import read_choice
from webapp.builds.solving.figures import solve_states
from webapp.builds.solving.solver_inputs import UNLOADED, assemble
from webapp.catalogue.reading.views import Catalogue
from webapp.fit.candidate_builds import fit_grid
from webapp.rider.saddle_line import saddle_line


@pytest.mark.parametrize("slot", ["0", "20"])
@pytest.mark.parametrize("fork", ["suspension-130", "suspension-150"])
def test_every_cockpit_stands_where_its_build_does(trail: Catalogue, slot: str, fork: str) -> None:
    choice = read_choice(trail, {"slot": [slot], "fork": [fork]}).strict()
    fitted = fit_grid(trail, choice)
    for at, size in enumerate(trail.sizes):
        for cockpit in (0, 17, len(fitted.fittings) - 1):
            fitting = fitted.fittings[cockpit]
            parts = {"stem": fitting.stem.slug, "handlebar": fitting.handlebar.slug}
            one = replace(
                choice,
                size=size.slug,
                parts=MappingProxyType({**choice.parts, **parts}),
                spacers=fitting.spacers,
            )
            ahead = trail.revision.data.standover_at
            figures = solve_states(assemble(trail, one), standover_at=ahead)[UNLOADED]
            x, y = figures.hands.grips
            assert fitted.grid.grip_x[at, cockpit] == pytest.approx(x, abs=1e-9)
            assert fitted.grid.grip_y[at, cockpit] == pytest.approx(y, abs=1e-9)
            assert fitted.grid.standover[at] == pytest.approx(figures.figures["standover"])


def test_every_stem_bar_and_height_is_tried(trail: Catalogue) -> None:
    fitted = fit_grid(trail, read_choice(trail, {}).choice)
    stems = {each.stem.slug for each in fitted.fittings}
    bars = {each.handlebar.slug for each in fitted.fittings}
    heights = {each.spacers for each in fitted.fittings}
    assert stems == {part.slug for part in trail.offered("stem")}
    assert bars == {part.slug for part in trail.offered("handlebar")}
    assert (min(heights), max(heights)) == (0.0, trail.revision.data.spacers.most)
    assert len(fitted.fittings) == len(stems) * len(bars) * len(heights)


def test_it_is_solved_once_a_catalogue(trail: Catalogue) -> None:
    choice = read_choice(trail, {}).choice
    fitted = fit_grid(trail, choice)
    assert fit_grid(trail, replace(choice, size="xl", spacers=0.0, saddle_height=800)) is fitted
    assert fit_grid(trail, replace(choice, slot=10.0)) is not fitted
    assert fit_grid(replace(trail), choice) is not fitted


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
