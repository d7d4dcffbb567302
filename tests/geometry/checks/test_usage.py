"""Usage classes of EN 17406 [E]."""

from __future__ import annotations

import pytest

from geometry.checks import Ground, PartOfClass, UsageStated
from geometry.checks.usage import USAGE_CLASSES, usage_check, usage_class
from geometry.core import NumberBetween
from geometry.core.errors import InvalidInput


def test_the_six_classes_and_their_drops() -> None:
    """[E] EN 17406: drops up to 15 cm, below 60 cm, below 120 cm; 6 is road sport."""
    assert list(USAGE_CLASSES) == [1, 2, 3, 4, 5, 6]
    assert [usage_class(n).drop for n in (2, 3, 4)] == [150.0, 600.0, 1200.0]
    assert usage_class(6).ground == Ground.ROAD_SPORT


def test_off_road_classes_cover_those_before_and_road_sport_does_not() -> None:
    for n in range(1, 6):
        assert usage_class(n).covers == set(range(1, n + 1))
    assert 3 not in usage_class(6).covers
    assert 6 not in usage_class(5).covers


def test_checks() -> None:
    assert usage_check(wished=3, part="trail rim", stated=4).outcome == "clear"
    failed = usage_check(wished=4, part="touring rim", stated=2)
    assert failed.outcome == "no"
    assert failed.reason == UsageStated(
        part="touring rim", stated=2, built_for=Ground.GRAVEL, wished=4, riding=Ground.DESCENTS
    )
    assert usage_check(wished=3, part="old rim", stated=None).outcome is None
    assert usage_check(wished=6, part="trail rim", stated=4).remedy == PartOfClass(classes=(6,))


@pytest.mark.parametrize("number", [0, 7, -1])
def test_other_numbers_are_refused(number: int) -> None:
    with pytest.raises(InvalidInput, match="usage_class") as refused:
        usage_class(number)
    assert refused.value.remedy == NumberBetween(lowest=1.0, highest=6.0, unit="")
