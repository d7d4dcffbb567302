"""Post, dropper and bottles: the range against the saddle it gives, the longest that fits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

import numpy as np
import pytest

from geometry.bike.saddle import seated
from geometry.bike.standing import stand
from tests.webapp.builds.fitting.judged_builds import checks_of, chosen, setup_of
from webapp.builds.fitting.calculations.post import bottle_fits, longest_droppers
from webapp.builds.fitting.options import options
from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.schema.part_kinds import PostData

RIDERS = (655.0, 715.0, 785.0)  # saddle heights of a short, a middling and a long leg [mm]


@pytest.mark.parametrize("post", ["dropper-125", "dropper-200", "rigid-31"])
def test_range_is_where_the_clamp_is(trail: Catalogue, post: str) -> None:
    """At the range's ends the clamp lies as far up the axis as post and insertion put it."""
    setup = setup_of(trail, post=post)
    data = setup.data("post", PostData)
    assert data is not None
    reach, size = setup.assembly.seat_range, setup.assembly.size.data
    shaft = data.below_collar or data.length
    deepest = min(shaft, size.post.depth - data.cable_room)
    for height, depth in ((reach.lowest, deepest), (reach.highest, data.min_insertion)):
        seat = replace(setup.assembly.seat, height=height)
        clamp = seated(stand(setup.assembly.build), setup.assembly.build, seat).post_above_bb
        assert clamp == pytest.approx(size.seat_tube_length + data.length - depth, abs=1e-6)
        assert reach.insertion(height) == pytest.approx(depth, abs=1e-6)


def test_bosses_inside_the_bore_end_it(catalogues: Mapping[tuple[str, int], Catalogue]) -> None:
    first, second = (setup_of(catalogues["knapweed", n]) for n in (1, 2))
    assert first.assembly.seat_range.tube.depth == 213  # boss_depth of revision 1, size m
    assert second.assembly.seat_range.tube.depth == 292  # the bore: bosses stay out of it


def test_longest_dropper_for_three_riders_in_every_size(trail: Catalogue) -> None:
    """The table says of each size and rider what trying every dropper on its own says."""
    table = longest_droppers(setup_of(trail), RIDERS)
    droppers = [part for part in trail.offered("post") if part.slug.startswith("dropper")]
    for row, size in zip(table, trail.sizes, strict=True):
        for found, height in zip(row, RIDERS, strict=True):
            fitting = [
                float(part.slug[-3:])
                for part in droppers
                if checks_of(
                    trail,
                    chosen(trail, size=size.slug, post=part.slug, saddle_height=str(height)),
                )["post.range"].outcome
                != "no"
            ]
            assert (np.nan if not fitting else max(fitting)) == pytest.approx(found, nan_ok=True)
    assert not np.all(table == table[0, 0])  # sizes and riders differ


def test_longer_dropper_excludes_the_seat_tubes_bottle(trail: Catalogue) -> None:
    low = chosen(trail, size="l", post="dropper-200", saddle_height="700")
    check = checks_of(trail, low)["post.bottle"]
    assert check.outcome == "tight"
    assert check.remedy.startswith("no bottle on the seat tube, or a dropper of at most")
    rigid = checks_of(trail, chosen(trail, post="rigid-31"))
    assert "post.bottle" not in rigid


def test_bottles_on_every_mount(trail: Catalogue) -> None:
    fits = bottle_fits(setup_of(trail, size="m"))
    for mount, answers in zip(fits.mounts, fits.answers, strict=True):
        for length, answer in zip((190, 250), answers, strict=True):
            assert answer == ("fits" if length <= mount.length else "too large")
    for size, outcome in (("m", "clear"), ("xs", "no")):
        found = checks_of(trail, chosen(trail, size=size, extra="bottle-800"))
        assert found["bottle.bottle-800"].outcome == outcome


def test_a_dropper_whose_lengths_disagree_is_left_out_and_spoils_no_page(trail: Catalogue) -> None:
    usual = trail.part(PostData, "dropper-125")
    lengths = usual.data.model_dump() | {"below_collar": usual.data.length - 10.0}
    wrong = replace(usual, slug="wrong", data=PostData.model_validate(lengths))
    parts = {**trail.parts, "post": (*trail.parts["post"], wrong)}
    known = replace(trail, parts=MappingProxyType(parts))
    found = longest_droppers(setup_of(known), RIDERS)
    assert np.array_equal(found, longest_droppers(setup_of(trail), RIDERS), equal_nan=True)
    option = next(each for each in options(setup_of(known))["post"] if each.part.slug == "wrong")
    assert "cannot be combined" in option.reason
