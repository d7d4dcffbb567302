"""What a bench check refuses, and at which field."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from geometry.bike.whole_bike import Bike
from geometry.core.errors import InvalidInput
from geometry.examples.trail_bike import trail_build
from geometry.verify.bench_result import Reading, bench_check

BIKE = Bike(build=trail_build(9.0))


class TestBadInput:
    def test_no_readings(self) -> None:
        with pytest.raises(InvalidInput) as caught:
            bench_check(BIKE, [], {})
        assert caught.value.field == "readings"

    def test_something_this_bike_does_not_have(self) -> None:
        with pytest.raises(InvalidInput) as caught:
            bench_check(
                Bike(build=trail_build()), [Reading(key="grip_height", value=1.0, spread=1.0)], {}
            )
        assert caught.value.value == "grip_height"

    def test_an_array_of_bikes(self) -> None:
        many = dataclasses.replace(trail_build(), slot_position=np.array([0.0, 5.0]))
        with pytest.raises(InvalidInput) as caught:
            bench_check(Bike(build=many), [Reading(key="trail", value=1.0, spread=1.0)], {})
        assert caught.value.field == "bike"

    @pytest.mark.parametrize("spread", [0.0, -1.0, float("nan")])
    def test_spreads_that_are_none(self, spread: float) -> None:
        with pytest.raises(InvalidInput) as caught:
            Reading(key="trail", value=100.0, spread=spread)
        assert caught.value.field == "spread"

    @pytest.mark.parametrize("value", [float("nan"), float("inf"), "about 100"])
    def test_values_that_are_no_numbers(self, value: float) -> None:
        with pytest.raises(InvalidInput) as caught:
            Reading(key="trail", value=value, spread=1.0)
        assert caught.value.field == "value"
