"""Loadings, sag either way, and what a longer fork changes."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from geometry.bike.parts import Fork, State
from geometry.bike.standing import stand
from geometry.bike.states import LOADINGS, SAGGED, Loading, sag_of
from geometry.core.errors import ContradictoryInput, InvalidInput
from geometry.examples.trail_bike import trail_build, trail_fork


def test_the_three_states() -> None:
    fork = trail_fork()
    pressed = [
        loading.state(fork, sag=30.0, front_deflection=5.0, rear_deflection=7.0)
        for loading in LOADINGS
    ]
    assert [state.fork_compression for state in pressed] == [0.0, 30.0, 125.0]
    assert [state.front_deflection for state in pressed] == [0.0, 5.0, 5.0]
    assert [state.rear_deflection for state in pressed] == [0.0, 7.0, 7.0]


def test_sag_from_fraction_or_millimetres_is_one() -> None:
    fork = trail_fork()
    assert sag_of(fork, fraction=0.24) == sag_of(fork, sag=30.0) == 30.0
    by_share = State.sagged(fork, fraction=0.24).fork_compression
    assert SAGGED.state(fork, sag=30.0).fork_compression == by_share


def test_a_loading_between() -> None:
    half = Loading(name="half way", sag_share=0.5, travel_share=0.5, tyre_share=0.5)
    found = half.state(trail_fork(), sag=40.0, front_deflection=6.0)
    assert (found.fork_compression, found.front_deflection) == (82.5, 3.0)


def test_unusable_sag_is_refused() -> None:
    fork = trail_fork()
    for given in ({}, {"sag": 30.0, "fraction": 0.2}, {"sag": 125.5}):
        with pytest.raises(ContradictoryInput) as caught:
            sag_of(fork, **given)
        assert caught.value.field == "sag"
    for field, given in (("sag", {"sag": -1.0}), ("sag_fraction", {"fraction": math.nan})):
        with pytest.raises(InvalidInput) as refused:
            sag_of(fork, **given)
        assert refused.value.field == field
    with pytest.raises(ContradictoryInput) as row:
        sag_of(Fork(axle_to_crown=505.0, offset=48.0, travel=np.array([115.0, 20.0])), sag=30.0)
    assert row.value.index == (1,)
    with pytest.raises(InvalidInput):
        Loading(name="too much", travel_share=1.1)


def test_a_longer_fork_between_two_builds() -> None:
    build = trail_build()
    longer = dataclasses.replace(build, fork=dataclasses.replace(build.fork, axle_to_crown=540.0))
    before, after = stand(build), stand(longer)
    # By hand: 20 mm more along the steering axis put the front axle 20 sin HA lower and
    # 20 cos HA further ahead of the rear one; with wheels of one size, the bike turns up
    # by the slope of that line. HA and wheelbase are those of the drawing, 68° and 1180 mm.
    steer = math.radians(68.0)
    lower, ahead = 20.0 * math.sin(steer), 20.0 * math.cos(steer)
    by_hand = math.degrees(math.atan2(lower, 1180.0 + ahead))  # 0.895°
    assert before.head_angle - after.head_angle == pytest.approx(by_hand, abs=0.001)
    assert after.bb_height > before.bb_height
