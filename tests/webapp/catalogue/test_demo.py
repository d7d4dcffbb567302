"""The demo catalogue: complete, consistent, and behaving as bicycles do.

[CP] marks a rule of thumb of the trade without a printed source.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator, Mapping

import pytest
from sqlalchemy import Engine

from geometry.bike.drawing import closure
from geometry.bike.parts import Build
from geometry.bike.standing import Standing, stand
from webapp.catalogue.reading.frame_inputs import fork_of
from webapp.catalogue.reading.load import list_models, list_revisions, load_catalogue
from webapp.catalogue.reading.trade_names import codes_in
from webapp.catalogue.reading.views import Catalogue, SizeView
from webapp.catalogue.schema.part_kinds import (
    PART_KINDS,
    AxleData,
    BrakeData,
    CrankData,
    DerailleurData,
    ForkData,
    FrontHubData,
    HandlebarData,
    HeadsetData,
    HubData,
    PostData,
    RimData,
    RingData,
    SprocketData,
    StemData,
    TransmissionData,
    TyreData,
)
from webapp.common.paths import DEMO_DATA
from webapp.common.storage.database import reading

RADIUS = 373.0  # the 64-622 tyre of the drawing, as measured


def usual(catalogue: Catalogue, kind: str) -> str:
    part = catalogue.standard(kind)
    assert part is not None, kind
    return part.slug


def standing(catalogue: Catalogue, size: SizeView, fork: str, slot: float) -> Standing:
    headset = catalogue.data(HeadsetData, usual(catalogue, "headset"))
    build = Build(
        frame=size.frame,
        fork=fork_of(catalogue.data(ForkData, fork)),
        lower_headset_stack=headset.lower_stack,
        front_radius=RADIUS,
        rear_radius=RADIUS,
        slot_position=slot,
    )
    return stand(build)


def effective_seat_angle(catalogue: Catalogue, size: SizeView, fork: str, height: float) -> float:
    """BB centre to where the post's axis reaches ``height`` along it, standing [deg]."""
    angle = float(standing(catalogue, size, fork, 0).seat_tube_angle)
    return angle + math.degrees(math.atan(size.data.seat_tube_offset / height))


def along_of(catalogue: Catalogue, fork: str) -> float:
    """Axle-to-crown along the steering axis, by Pythagoras [mm]."""
    data = catalogue.data(ForkData, fork)
    straight = data.axle_to_crown_measured == "straight"
    return math.sqrt(data.axle_to_crown**2 - (data.offset**2 if straight else 0))


def every_revision(engine: Engine) -> Iterator[Catalogue]:
    with reading(engine) as session:
        for model in list_models(session):
            for revision in list_revisions(session, model.slug):
                yield load_catalogue(session, model.slug, revision.number)


def test_both_databases_hold_the_same_catalogue(engine: Engine, shop: Engine) -> None:
    assert [c.revision for c in every_revision(engine)] == [
        c.revision for c in every_revision(shop)
    ]
    for here, there in zip(every_revision(engine), every_revision(shop), strict=True):
        assert [size.data for size in here.sizes] == [size.data for size in there.sizes]
        assert here.parts == there.parts
        assert here.settings == there.settings


def test_models_and_revisions(shop: Engine) -> None:
    names = [(c.model.name, c.revision.number, len(c.sizes)) for c in every_revision(shop)]
    assert names == [("Knapweed", 2, 6), ("Knapweed", 1, 5), ("Burdock", 1, 4)]


def test_every_size_closes_as_printed(shop: Engine) -> None:
    for catalogue in every_revision(shop):
        for size in catalogue.sizes:
            assert abs(float(closure(size.frame).axle)) <= 0.5, (catalogue.model.name, size.slug)


def test_sizes_are_whole_millimetres_and_tenths_of_degrees() -> None:
    for file in DEMO_DATA.glob("*/revision_*.toml"):
        raw = tomllib.loads(file.read_text(encoding="utf-8"))
        for size in raw["size"]:
            numbers = raw["every_size"] | size
            lengths = ("reach", "stack", "head_tube_length", "seat_tube_length", "bb_drop")
            assert all(isinstance(numbers[name], int) for name in lengths), file
            for name in ("head_angle", "seat_tube_angle", "slot_angle"):
                assert round(numbers[name], 1) == numbers[name], file


def test_sizes_grow(shop: Engine) -> None:
    for catalogue in every_revision(shop):
        for name in ("reach", "stack", "head_tube_length", "seat_tube_length"):
            values: list[float] = [getattr(size.data, name) for size in catalogue.sizes]
            assert values == sorted(set(values)), (catalogue.model.name, name)


def test_second_revision_is_a_real_change(shop: Engine) -> None:
    newer, older, _ = every_revision(shop)
    assert [size.slug for size in newer.sizes][:-1] == [size.slug for size in older.sizes]
    for new, old in zip(newer.sizes, older.sizes, strict=False):
        assert new.data.slot_length > old.data.slot_length
        for moved, before in zip(new.data.bottle_mounts, old.data.bottle_mounts, strict=True):
            assert (moved.boss_from_bb or 0) < (before.boss_from_bb or 0)
    assert newer.revision.changelog


def test_long_travel_build(knapweed: Catalogue) -> None:
    """[CP] 150 mm: head angle 65–66°, effective seat angle 73–75°, chainstay 425–455 mm."""
    for size in knapweed.sizes:
        for slot in (0.0, size.data.slot_length):
            found = standing(knapweed, size, "suspension-150", slot)
            assert 65 <= found.head_angle <= 66
            assert 425 <= round(float(found.chainstay_length)) <= 455
        for height in (600.0, 800.0):
            assert 73 <= effective_seat_angle(knapweed, size, "suspension-150", height) <= 75


def test_short_travel_build(knapweed: Catalogue) -> None:
    """[CP] a fork 40 mm shorter: near 67–68° and 75–76°."""
    for size in knapweed.sizes:
        found = standing(knapweed, size, "suspension-110", 0)
        assert 67 <= found.head_angle <= 68
        for height in (600.0, 800.0):
            assert 75 <= effective_seat_angle(knapweed, size, "suspension-110", height) <= 76


@pytest.mark.parametrize(
    ("short", "long"),
    [("rigid-short", "rigid-long"), ("suspension-110", "suspension-130"),
     ("suspension-130", "suspension-150")],
)  # fmt: skip
def test_longer_fork(knapweed: Catalogue, short: str, long: str) -> None:
    """[CP] 20 mm more fork slackens by about 1° and lifts the BB by 7 to 10 mm.

    The lift is the fork's rise at the front axle times rear centre over
    wheelbase; on a short stay and a long reach that is 6 to 7 mm, the low end.
    """
    for size in knapweed.sizes:
        low = standing(knapweed, size, short, size.data.slot_length)
        high = standing(knapweed, size, long, size.data.slot_length)
        assert high.head_angle - low.head_angle == pytest.approx(-1, abs=0.25)
        lift = float(high.bb_height) - float(low.bb_height)
        more = along_of(knapweed, long) - along_of(knapweed, short)
        rise = more * math.sin(math.radians(float(low.head_angle)))
        lever = float(low.rear_centre) / float(low.wheelbase)
        assert lift == pytest.approx(rise * lever, abs=0.5)
        assert 6 <= lift <= 10


def test_sliding_the_axle(knapweed: Catalogue) -> None:
    """[CP] 10 mm back: nearly 10 mm of stay and wheelbase, angles by hundredths."""
    for size in knapweed.sizes:
        near = standing(knapweed, size, "suspension-130", 0)
        far = standing(knapweed, size, "suspension-130", 10)
        assert 9.5 < far.chainstay_length - near.chainstay_length <= 10
        assert 9.5 < far.wheelbase - near.wheelbase <= 10.1
        assert 0 < abs(float(far.head_angle) - float(near.head_angle)) < 0.1


def test_choices_named_in_the_catalogue_exist(knapweed: Catalogue, burdock: Catalogue) -> None:
    forks = [knapweed.data(ForkData, part.slug) for part in knapweed.offered("fork")]
    assert sorted(fork.travel for fork in forks) == [0, 0, 110, 130, 150]
    assert {fork.axle_to_crown_measured for fork in forks} == {"along", "straight"}
    rims = {knapweed.data(RimData, part.slug).bead_seat_diameter for part in knapweed.parts["rim"]}
    assert rims == {622, 584}
    tyres = [knapweed.data(TyreData, part.slug) for part in knapweed.parts["tyre"]]
    for rim in rims:
        widths = [t.nominal_width for t in tyres if t.bead_seat_diameter == rim]
        assert (min(widths), max(widths)) == (54 if rim == 622 else 57, 74)
    assert {tyre.measured_radius is None for tyre in tyres} == {True, False}
    assert all(size.data.slot_length == 24 for size in knapweed.sizes)
    assert all(size.data.slot_length == 0 for size in burdock.sizes)
    assert all(catalogue.parts[kind] for kind in PART_KINDS for catalogue in (knapweed, burdock))
    assert [style.slug for style in knapweed.styles] == [
        "trail", "in-between", "long-distance", "loaded",
    ]  # fmt: skip


def test_everything_offered_has_a_price(knapweed: Catalogue, burdock: Catalogue) -> None:
    for catalogue in (knapweed, burdock):
        for kind in PART_KINDS:
            for part in catalogue.offered(kind):
                assert part.price is not None, (kind, part.slug)
                assert part.price.currency == catalogue.currency


@pytest.mark.parametrize("model", ["knapweed", "burdock"])
def test_usual_choices_go_together(model: str, request: pytest.FixtureRequest) -> None:
    catalogue: Catalogue = request.getfixturevalue(model)
    frame = catalogue.revision.data
    fork = catalogue.data(ForkData, usual(catalogue, "fork"))
    headset = catalogue.data(HeadsetData, usual(catalogue, "headset"))
    hub = catalogue.data(HubData, usual(catalogue, "hub"))
    front = catalogue.data(FrontHubData, usual(catalogue, "front-hub"))
    axle = catalogue.data(AxleData, usual(catalogue, "axle"))
    brake = catalogue.data(BrakeData, usual(catalogue, "brake"))
    stem = catalogue.data(StemData, usual(catalogue, "stem"))
    bar = catalogue.data(HandlebarData, usual(catalogue, "handlebar"))
    crank = catalogue.data(CrankData, usual(catalogue, "crank"))
    ring = catalogue.data(RingData, usual(catalogue, "ring"))
    sprocket = catalogue.data(SprocketData, usual(catalogue, "sprocket"))
    chain = catalogue.data(TransmissionData, usual(catalogue, "transmission"))
    derailleur = catalogue.data(DerailleurData, usual(catalogue, "derailleur"))
    rim = catalogue.data(RimData, usual(catalogue, "rim"))
    tyre = catalogue.data(TyreData, usual(catalogue, "tyre"))
    assert headset.fits == frame.fork.steerer_fits
    assert headset.steerer == fork.steerer
    assert fork.steerer_clamp_diameter == stem.steerer_diameter
    assert stem.bar_diameter == bar.clamp_diameter
    assert front.axle == fork.axle
    assert hub.axle == axle.standard in frame.rear_axles
    assert brake.front is not None
    assert brake.rear is not None
    assert frame.rear_brake is not None
    assert brake.front.mount == fork.brake_mount
    assert brake.rear.mount == frame.rear_brake.mount
    assert frame.rear_brake.rotor_min <= brake.rear.rotor <= frame.rear_brake.rotor_max
    assert brake.front.rotor_fixing == front.rotor_fixing
    assert brake.rear.rotor_fixing == hub.rotor_fixing
    assert catalogue.data(PostData, usual(catalogue, "post")).diameter == frame.post_diameter
    assert frame.bottom_bracket.standard in crank.bottom_bracket
    assert crank.ring_mount == ring.mount
    assert sprocket.mount == hub.sprocket_mount
    assert ring.fits == sprocket.fits == chain.fits == derailleur.fits
    assert derailleur.speeds == len(sprocket.teeth)
    assert derailleur.mount == frame.derailleur_mount
    assert ring.teeth <= frame.rings.largest_chain
    assert tyre.bead_seat_diameter == rim.bead_seat_diameter
    assert tyre.bead_seat_diameter in {room.bead_seat_diameter for room in frame.tyre_room}


def test_single_speed_coaster_32_20_goes_together(knapweed: Catalogue) -> None:
    hub = knapweed.data(HubData, "single-coaster-135")
    ring = knapweed.data(RingData, "single-32")
    sprocket = knapweed.data(SprocketData, "lug-20")
    assert (ring.teeth, sprocket.teeth) == (32, (20,))
    assert sprocket.mount == hub.sprocket_mount
    assert ring.fits == sprocket.fits == knapweed.data(TransmissionData, "chain-wide").fits
    assert hub.axle == knapweed.data(AxleData, "nutted-10x135").standard
    assert hub.axle in knapweed.revision.data.rear_axles
    assert hub.needs_reaction_arm
    assert knapweed.revision.data.reaction_arm_mount


def test_hub_gear_with_belt_goes_together(knapweed: Catalogue) -> None:
    hub = knapweed.data(HubData, "hub-gear-6-135")
    ring, sprocket = knapweed.data(RingData, "belt-44"), knapweed.data(SprocketData, "belt-24")
    belt = knapweed.data(TransmissionData, "belt")
    assert ring.fits == sprocket.fits == belt.fits
    assert sprocket.mount == hub.sprocket_mount
    assert hub.smallest_ratio is not None
    assert ring.teeth / sprocket.teeth[0] >= hub.smallest_ratio
    assert knapweed.revision.data.belt_opening
    assert ring.teeth <= (knapweed.revision.data.rings.largest_belt or 0)


def test_every_code_has_a_name_in_the_trade(
    catalogues: Mapping[tuple[str, int], Catalogue],
) -> None:
    for catalogue in catalogues.values():
        frame = catalogue.revision.data
        codes = set(codes_in(type(frame), frame.model_dump(mode="json")))
        for kind in catalogue.parts:
            for part in catalogue.offered(kind):
                codes |= set(codes_in(PART_KINDS[kind], part.data.model_dump(mode="json")))
        assert codes
        assert codes <= set(catalogue.trade_names.given)
