"""Random frames and builds for the proof tests: wide, and none of them closes."""

from __future__ import annotations

import numpy as np

from geometry.bike.parts import Build, DrawnWith, Fork, Frame, State, TopTube


def random_fork(rng: np.random.Generator) -> Fork:
    """A fork of either axle-to-crown convention, also turned round or rigid."""
    return Fork(
        axle_to_crown=rng.uniform(370, 600),
        offset=rng.uniform(-30, 75),
        travel=rng.choice([0.0, rng.uniform(60, 200)]),
        axle_to_crown_measured=("along", "straight")[rng.integers(2)],
    )


def random_frame(rng: np.random.Generator) -> Frame:
    """A frame with or without a sliding axle, its slot inclined."""
    slot = float(rng.choice([0.0, rng.uniform(5, 30)]))
    return Frame(
        reach=rng.uniform(350, 520),
        stack=rng.uniform(520, 700),
        head_angle=rng.uniform(60, 76),
        head_tube_length=rng.uniform(80, 220),
        seat_tube_angle=rng.uniform(66, 80),
        seat_tube_offset=rng.uniform(-40, 40),
        seat_tube_length=rng.uniform(360, 560),
        chainstay_length=rng.uniform(395, 480),
        bb_drop=rng.uniform(-15, 90),
        slot_length=slot,
        slot_angle=rng.uniform(-25, 25),
        drawn_with=DrawnWith(
            fork=random_fork(rng),
            lower_headset_stack=rng.uniform(0, 20),
            front_radius=rng.uniform(300, 385),
            rear_radius=rng.uniform(300, 385),
            slot_position=slot * rng.uniform(0, 1),
        ),
        top_tube=TopTube(
            below_head_tube_top=rng.uniform(20, 60),
            along_seat_tube=rng.uniform(300, 500),
            diameter=rng.uniform(25, 45),
        ),
    )


def random_build(rng: np.random.Generator) -> Build:
    """A random frame with another fork, other wheels, the axle anywhere in its slot."""
    frame = random_frame(rng)
    return Build(
        frame=frame,
        fork=random_fork(rng),
        lower_headset_stack=rng.uniform(0, 20),
        front_radius=rng.uniform(300, 385),
        rear_radius=rng.uniform(300, 385),
        slot_position=frame.slot_length * rng.choice([0.0, rng.uniform(0, 1), 1.0]),
    )


def random_state(rng: np.random.Generator, build: Build) -> State:
    """Any share of the travel used, both tyres pressed in a little."""
    return State(
        fork_compression=build.fork.travel * rng.choice([0.0, rng.uniform(0, 1), 1.0]),
        front_deflection=rng.uniform(0, 15),
        rear_deflection=rng.uniform(0, 15),
    )
