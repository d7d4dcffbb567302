"""Loads: the builder's limits for a heavy rider, luggage on mounts, the front share, riding."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.webapp.builds.fitting.judged_builds import checks_of, chosen, setup_of
from webapp.builds.evaluation import compute
from webapp.builds.fitting.calculations.front_share import loading_of
from webapp.builds.fitting.calculations.loads import PERSONAL, bike_mass
from webapp.builds.suggestions.check_remedies import remedies_of
from webapp.catalogue.reading.views import Catalogue

HEAVY = {"stature": "190 cm", "weight": "115 kg", "size": "l", "post": "dropper-200"}


def test_heavy_rider_is_answered_with_the_builders_limit(trail: Catalogue) -> None:
    checks = checks_of(trail, chosen(trail, HEAVY, luggage="12", extra="rear-rack"))
    rider, bike = checks["load.rider"], checks["load.bike"]
    assert (rider.figure, rider.limit, rider.outcome) == (127, 130, "tight")
    assert bike.limit == 148
    assert bike.outcome == "tight"
    assert (checks["load.luggage"].figure, checks["load.luggage"].limit) == (12, 15)


def test_over_the_limit_cannot_be_ordered(trail: Catalogue) -> None:
    over = chosen(trail, HEAVY | {"weight": "131 kg"})
    assert checks_of(trail, over)["load.rider"].outcome == "no"
    assert not compute(trail, over).can_be_ordered
    assert compute(trail, chosen(trail, HEAVY)).can_be_ordered


def test_weight_nobody_told_is_not_known_and_does_not_block(trail: Catalogue) -> None:
    choice = chosen(trail, stature="175 cm")
    checks = checks_of(trail, choice)
    for code in PERSONAL:
        assert checks[code].outcome is None
        assert "weight" in checks[code].remedy
    assert "130 kg" in checks["load.rider"].reason
    assert compute(trail, choice).can_be_ordered


def test_bike_weighs_what_its_parts_weigh(trail: Catalogue) -> None:
    setup = setup_of(trail, extra="rear-rack")
    mass = bike_mass(setup)
    parts = [part.data.mass or 0.0 for place, part in setup.assembly.parts.items()]
    assert mass.missing == ()
    assert mass.total == pytest.approx(sum(parts) + (setup.assembly.size.data.mass or 0) + 0.75)
    assert 11 < mass.total < 16  # a steel trail bike


def test_part_without_a_mass_leaves_the_whole_unknown(trail: Catalogue) -> None:
    fork = trail.part("fork", "suspension-130")
    unweighed = replace(fork, data=fork.data.model_copy(update={"mass": None}))
    listed = tuple(unweighed if p.slug == fork.slug else p for p in trail.parts["fork"])
    scant = replace(trail, parts={**trail.parts, "fork": listed})
    found = checks_of(scant, chosen(scant, HEAVY))["load.bike"]
    assert found.outcome is None
    assert fork.name in found.reason


def test_luggage_needs_something_that_carries_it(trail: Catalogue, tourer: Catalogue) -> None:
    bare = checks_of(trail, chosen(trail, luggage="12"))["load.luggage"]
    assert bare.outcome is None
    assert "rear rack 15 kg" in bare.remedy
    assert "load.luggage" not in checks_of(trail, chosen(trail))
    both = chosen(tourer, {"extra": ["rear-rack", "low-rider"]}, luggage="38")
    # the rack carries 25 kg of the frame's 27, the low-rider 15
    assert checks_of(tourer, both)["load.luggage"].limit == 40
    rear = chosen(tourer, extra="rear-rack", luggage="26")
    assert checks_of(tourer, rear)["load.luggage"].outcome == "no"


def test_only_racks_that_carry_the_luggage_are_proposed(tourer: Catalogue) -> None:
    for weight, helps in (("26", ["low-rider"]), ("39.5", []), ("45", [])):
        choice = chosen(tourer, extra="rear-rack", luggage=weight)
        remedies = remedies_of(compute(tourer, choice)).get("load.luggage", ())
        assert [set(r.choice.extras) - {"rear-rack"} for r in remedies] == [{h} for h in helps]


def test_front_share_is_that_of_seated_riders(trail: Catalogue, tourer: Catalogue) -> None:
    """28 to 34 % for an upright or seated rider [R: Meijaard 2007, Moore 2012], more leaning."""
    for catalogue in (trail, tourer):
        fields = {"stature": "175 cm", "weight": "75 kg"}
        check = checks_of(catalogue, chosen(catalogue, fields))["load.front_share"]
        assert check.limit == 25
        assert check.figure is not None
        assert 27 < check.figure < 40


def test_longer_chainstay_and_rear_luggage_move_the_share(trail: Catalogue) -> None:
    fields = {"stature": "175 cm", "weight": "75 kg"}
    short, long_ = (
        checks_of(trail, chosen(trail, fields, slot=slot))["load.front_share"].figure
        for slot in ("0", "24")
    )
    assert short is not None
    assert long_ is not None
    assert long_ > short  # the rear axle goes back from under the rider
    loaded = checks_of(trail, chosen(trail, fields, luggage="12", extra="rear-rack"))
    assert "with 12 kg over the rear" in loaded["load.front_share"].reason


def test_riding_is_held_against_frame_and_parts(trail: Catalogue, tourer: Catalogue) -> None:
    assert checks_of(trail, chosen(trail))["load.usage"].figure == 4
    assert checks_of(tourer, chosen(tourer))["load.usage"].figure == 3
    for usage, outcome in (("2", "clear"), ("3", "clear"), ("4", "no")):
        checks = checks_of(tourer, chosen(tourer, usage=usage))
        assert checks["load.usage.frame"].outcome == outcome
        assert checks["load.usage.fork"].outcome == outcome


def test_a_wheel_lifts_where_the_moments_balance(trail: Catalogue) -> None:
    """Front lift and pitch-over add up to wheelbase over the height of the mass centre."""
    query = {"stature": "175 cm", "weight": "75 kg"}
    found = {}
    for luggage in (0.0, 20.0):
        setup = setup_of(trail, query)
        bike = bike_mass(setup).masses
        told = loading_of(setup, rider=75.0, bike=bike, luggage=luggage)
        assert told is not None
        found[luggage] = told
        height = float(told.front_share) / float(told.front_lift)
        assert float(told.pitch_over) == pytest.approx((1 - float(told.front_share)) / height)
    assert float(found[20.0].front_lift) < float(found[0.0].front_lift)  # over the rear axle
