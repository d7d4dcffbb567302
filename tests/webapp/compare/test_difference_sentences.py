"""What differs, in sentences: order, words, prices, parts."""

from __future__ import annotations

from dataclasses import replace

import pytest

from geometry.glossary.lookup import entry
from tests.webapp.compare.bikes import bike
from webapp.builds.page.figure_rows import KEYS
from webapp.catalogue.reading.views import Catalogue
from webapp.common.text.money import Money
from webapp.compare.bikes import Compared
from webapp.compare.difference_sentences import (
    felt_differences,
    parts_sentence,
    price_caution,
    price_phrase,
    sentence,
)
from webapp.compare.noticeable_differences import FEELS, Feel

ZERO = {feel.key: 100.0 for feel in FEELS}


def changed(base: Compared, price: Money | None, **by: float) -> Compared:
    figures = {key: value + by.get(key, 0.0) for key, value in base.figures("unloaded").items()}
    return replace(base, states={"unloaded": figures}, price=price)


def test_every_feeling_is_of_a_figure_that_is_shown() -> None:
    keys = [feel.key for feel in FEELS]
    assert set(keys) <= set(KEYS)
    assert len(set(keys)) == len(keys)
    for feel in FEELS:
        assert feel.step > 0
        assert feel.reason
        assert set(feel.follows) <= set(keys) - {feel.key}
        assert entry(feel.key).unit in {"mm", "°"}


def test_most_felt_comes_first() -> None:
    other = ZERO | {"reach": 121.0, "head_angle": 98.9, "chainstay_length": 106.0}
    found = [felt.feel.key for felt in felt_differences(ZERO, other)]
    assert found == ["reach", "head_angle", "chainstay_length"]


@pytest.mark.parametrize("feel", FEELS, ids=lambda feel: feel.key)
def test_step_is_felt_both_ways_and_less_is_not(feel: Feel) -> None:
    for way in (1, -1):
        at_step = felt_differences(ZERO, ZERO | {feel.key: 100.0 + way * feel.step})
        assert feel in [felt.feel for felt in at_step]
        below = felt_differences(ZERO, ZERO | {feel.key: 100.0 + way * feel.step * 0.99})
        assert feel not in [felt.feel for felt in below]


def test_what_follows_from_another_figure_is_not_said_again() -> None:
    higher = ZERO | {"stack": 120.0, "grip_height": 120.0}
    assert [felt.feel.key for felt in felt_differences(ZERO, higher)] == ["stack"]
    # Less stack, yet the grips stay: a rider feels neither at the hands.
    kept = ZERO | {"stack": 80.0}
    assert [felt.feel.key for felt in felt_differences(ZERO, kept)] == ["stack"]
    bar = ZERO | {"grip_height": 120.0}
    assert [felt.feel.key for felt in felt_differences(ZERO, bar)] == ["grip_height"]


def test_sentence_says_figures_then_price(trail: Catalogue) -> None:
    a = replace(bike(trail, fork="rigid-long"), price=Money(100000, "EUR"))
    b = changed(a, Money(112000, "EUR"), reach=21.2, head_angle=-1.1)
    assert sentence("B", a, b, state="unloaded") == (
        "B has 21 mm more reach than A, its head angle is 1.1° slacker, "
        "and it costs 120.00 EUR more."
    )


@pytest.mark.parametrize(
    ("by", "said"),
    [
        ({"head_angle": 1.0}, "B’s head angle is 1.0° steeper than A’s, and it costs the same."),
        ({"bb_height": -7.0}, "B’s BB is 7 mm lower than A’s, and it costs the same."),
        (
            {"grips_to_rear_axle": -12.0},
            "B’s grips are 12 mm nearer to the rear axle, compared with A’s, "
            "and it costs the same.",
        ),
        (
            {"reach": 0.4},
            "B is like A: no figure differs by as much as a rider feels; it costs the same.",
        ),
    ],
)
def test_words_of_single_differences(trail: Catalogue, by: dict[str, float], said: str) -> None:
    a = bike(trail)
    assert sentence("B", a, changed(a, a.price, **by), state="unloaded") == said


def test_longer_fork_slackens_in_words(trail: Catalogue) -> None:
    a, b = bike(trail), bike(trail, fork="suspension-150")
    said = sentence("B", a, b, state="unloaded")
    assert "its head angle is 0.9° slacker" in said
    assert "more stack" in said
    back = sentence("B", b, a, state="unloaded")
    assert "its head angle is 0.9° steeper" in back
    assert "less stack" in back


def test_a_rigid_fork_cannot_bottom_and_stands_sagged_on_its_tyres(trail: Catalogue) -> None:
    rigid = bike(trail, fork="rigid-long")
    assert rigid.figures("sagged")["bb_height"] < rigid.figures("unloaded")["bb_height"]
    assert rigid.figures("bottomed") == rigid.figures("sagged")
    assert rigid.points_in("bottomed") == rigid.points_in("sagged")
    sprung = bike(trail)
    assert sprung.figures("sagged") != sprung.figures("unloaded")


EURO, POUND = Money(5000, "EUR"), Money(4000, "GBP")


@pytest.mark.parametrize(
    ("first", "other", "said"),
    [
        (EURO, Money(5001, "EUR"), "costs 0.01 EUR more"),
        (EURO, Money(0, "EUR"), "costs 50.00 EUR less"),
        (EURO, EURO, "costs the same"),
        (EURO, POUND, ""),
        (EURO, None, ""),
        (None, EURO, ""),
    ],
)
def test_price_difference(first: Money | None, other: Money | None, said: str) -> None:
    assert price_phrase(first, other) == said


def test_mixed_currencies_are_not_compared_and_that_is_said(trail: Catalogue) -> None:
    a = bike(trail)
    b = changed(a, POUND, reach=20.0)
    assert sentence("B", a, b, state="unloaded") == "B has 20 mm more reach than A."
    caution = "The prices are not compared: A is priced in EUR, B in GBP."
    assert price_caution("B", a, b) == caution
    assert "not known" in price_caution("B", a, replace(b, price=None))
    assert price_caution("B", a, a) == ""


def test_prices_of_different_scopes_say_so(trail: Catalogue) -> None:
    said = price_caution("B", bike(trail), bike(trail, scope="frame"))
    assert said == "Its price is for the frame alone, that of A for the whole bike."


def test_parts_in_words(trail: Catalogue, tourer: Catalogue) -> None:
    a = bike(trail)
    assert parts_sentence(a, a) == ""
    one = parts_sentence(a, bike(trail, fork="suspension-150", finish="clay"))
    assert one == (
        "Fork: suspension fork 29, 150 mm instead of suspension fork 29, 130 mm; "
        "finish: clay red, powder instead of soot black, powder."
    )
    many = parts_sentence(a, bike(tourer))
    assert many.count(" instead of ") == 4
    assert "more parts differ." in many


def test_parts_that_do_not_fit_are_a_caution(trail: Catalogue) -> None:
    cautions = bike(trail, tyre_rear="64-584").cautions
    assert cautions == ("Its parts do not go together: rear tyre on its rim.",)
