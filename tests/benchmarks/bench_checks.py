"""Time of judging every other choice of a build at once, against judging that build alone.

    python -m tests.benchmarks.bench_checks

Aim: all options of a build within 50 ms. Both times are given in plain passes of NumPy too, by
which runs on different days compare: the ratio of the two rises when one build alone gets quicker.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

import numpy as np

from geometry.bike.parts import Build
from geometry.bike.standing import stand
from geometry.checks.rules import Part, Rule, judge_rule
from geometry.clearance.from_build import slot_of, wheels_of
from geometry.clearance.pedals import Pedal, pedal_ground_clearance
from geometry.clearance.post import Post, SeatTube, largest_travel
from geometry.clearance.toe import toe_clearance
from geometry.clearance.tyre_room import StayRoom, stay_gaps
from geometry.drive.axle_position import closing_positions, ranked
from geometry.examples.trail_bike import trail_build, trail_fork, trail_hardtail

REPEATS = 30
CRANKS = np.array([155.0, 160.0, 165.0, 170.0, 175.0])
TYRES = np.linspace(340.0, 385.0, 40)
RULES = [
    Rule(
        code=f"rule.{i}",
        left=f"hub.p{i}",
        right=f"frame.p{i}",
        relation="equal",
        source="builder",
    )
    for i in range(30)
]


def fastest(work: Callable[[], object]) -> float:
    """Least time of many runs [ms]."""
    times = []
    for _ in range(REPEATS):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return 1e3 * min(times)


def questions(*, radii: np.ndarray, cranks: np.ndarray, hubs: int, rings: np.ndarray) -> None:
    """Ask everything of the builds that these choices make."""
    frame, pedals = trail_hardtail(), Pedal(crank_length=cranks, centre=140.0, outer=190.0)
    wheels = {"front_radius": radii[:, None], "rear_radius": radii[:, None]}
    build = Build(frame=frame, fork=trail_fork(), lower_headset_stack=12.0, **wheels)
    standing = stand(build)
    rear, front = wheels_of(standing, rear_width=58.0, front_width=60.0)
    pedal_ground_clearance(rear=rear, front=front, pedal=pedals)
    axis_x, axis_y = standing.head_tube_top
    toe_clearance(
        wheel=front, head_angle=standing.head_angle, axis_x=axis_x, axis_y=axis_y, pedal=pedals
    )
    slot = slot_of(frame)
    room = StayRoom(
        slot=slot,
        behind=np.array([40.0, 160.0]),
        between=np.array([80.0, 110.0]),
        bridge=42.0,
    )
    stay_gaps(room, slot_position=0.0, radius=radii, width=58.0)
    ranked(
        closing_positions(slot, ring=rings[:, None], sprocket=np.arange(14.0, 24.0)),
        chainstay=430.0,
    )
    tube = SeatTube(length=420.0, depth=250.0)
    posts = Post(body=270.0, head=np.arange(180.0, 260.0), least_insertion=90.0)
    largest_travel(tube, posts, saddle_height=730.0, saddle_stack=45.0)
    parts = {"frame": Part(name="frame", properties={f"p{i}": 148 for i in range(30)})}
    options = [Part(name=f"hub {n}", properties={f"p{i}": 148 for i in range(30)})
               for n in range(hubs)]  # fmt: skip
    for option in options:
        for rule in RULES:
            judge_rule(rule, {**parts, "hub": option})


def main() -> None:
    """Measure and print."""
    own = trail_build()
    alone = fastest(
        lambda: questions(
            radii=np.array([float(own.rear_radius)]),
            cranks=CRANKS[:1],
            hubs=1,
            rings=np.array([32.0]),
        )
    )
    every = fastest(
        lambda: questions(radii=TYRES, cranks=CRANKS, hubs=40, rings=np.arange(28.0, 46.0))
    )
    plain = fastest(lambda: np.sort(np.sin(np.arange(1e5))))
    sys.stdout.write(
        f"one build {alone:.1f} ms; {TYRES.size} tyres × {CRANKS.size} cranks, 40 hubs, "
        f"18 rings × 10 sprockets, 80 posts {every:.1f} ms; ratio {every / alone:.1f}; "
        f"{alone / plain:.1f} and {every / plain:.1f} plain passes of {plain:.1f} ms\n"
    )


if __name__ == "__main__":
    main()
