"""Tables of invented builders: regular as builders draw them, exact, then rightly rounded.

Three ways of working: a hardtail with one pair of angles and every derived column,
in whole mm; a tourer whose angles change with the size, with half of them; an
all-road frame printed to 0.1 mm and 0.01° that states hardly anything twice.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from geometry.bike import Bike, Build, DrawnWith, Fork, Frame, TopTube, closure, figures
from geometry.verify import DrawnSize

ANGLES = ("frame.head_angle", "frame.seat_tube_angle")
DRAWN = (
    "reach",
    "stack",
    "head_angle",
    "head_tube_length",
    "seat_tube_angle",
    "seat_tube_length",
    "chainstay_length",
    "bb_drop",
)


@dataclass(frozen=True, kw_only=True)
class Kind:
    """How one builder draws and prints."""

    sizes: int
    reach: tuple[float, float]
    head_tube: tuple[float, float]
    head_angle: tuple[float, float]
    seat_tube_angle: tuple[float, float]
    seat_tube: tuple[float, float]
    chainstay: tuple[float, float]
    bb_drop: tuple[float, float]
    fork: tuple[float, float]
    radius: float
    published: tuple[str, ...]
    mm: int
    degrees: int


KINDS: Mapping[str, Kind] = {
    "hardtail": Kind(
        sizes=5, reach=(430, 25), head_tube=(95, 10),
        head_angle=(65.4, 0), seat_tube_angle=(76.2, 0),
        seat_tube=(380, 30), chainstay=(432, 0), bb_drop=(58, 0), fork=(530, 44), radius=371,
        published=("effective_top_tube", "front_centre", "rear_centre", "wheelbase", "bb_height"),
        mm=0, degrees=1,
    ),
    "tourer": Kind(
        sizes=6, reach=(368, 9), head_tube=(110, 22),
        head_angle=(70.2, 0.3), seat_tube_angle=(74.4, -0.3),
        seat_tube=(470, 24), chainstay=(445, 2), bb_drop=(72, -1), fork=(420, 52), radius=355,
        published=("effective_top_tube", "front_centre_straight", "wheelbase", "trail"),
        mm=0, degrees=1,
    ),
    "allroad": Kind(
        sizes=7, reach=(362, 7.5), head_tube=(98, 17),
        head_angle=(71.25, 0.1), seat_tube_angle=(73.9, -0.15),
        seat_tube=(440, 21), chainstay=(427, 0), bb_drop=(76, 0), fork=(397, 47.5), radius=349.5,
        published=("wheelbase",), mm=1, degrees=2,
    ),
}  # fmt: skip


def invented(kind: Kind, rng: np.random.Generator) -> list[DrawnSize]:
    """One table, printed: every number exact and regular first, then rounded as it is printed."""
    shift = {name: rng.uniform(-0.5, 0.5) for name in DRAWN}
    bend = rng.uniform(-0.04, 0.04, size=3)
    masses = (rng.uniform(2.2, 2.6), rng.uniform(0.07, 0.11))
    exact = [_exact(kind, place, shift, bend) for place in range(kind.sizes)]
    return [
        _printed(kind, frame, place, masses[0] + place * masses[1])
        for place, frame in enumerate(exact)
    ]


def _exact(kind: Kind, place: int, shift: Mapping[str, float], bend: np.ndarray) -> Frame:
    """One size before it is rounded; its stack closes the drawing."""

    def at(run: tuple[float, float], name: str, curve: float = 0.0) -> float:
        own = shift[name] * (0.1 if "angle" in name else 1.0)
        return run[0] + own + run[1] * (place + curve * place * (place - 1) / 2)

    fork = Fork(axle_to_crown=kind.fork[0], offset=kind.fork[1])
    seat_tube = at(kind.seat_tube, "seat_tube_length", bend[2])
    along = at(kind.head_tube, "head_tube_length", bend[1]) + 12.0 + kind.fork[0]
    frame = Frame(
        reach=at(kind.reach, "reach", bend[0]),
        stack=along * 0.92 + kind.bb_drop[0],
        head_angle=at(kind.head_angle, "head_angle"),
        head_tube_length=at(kind.head_tube, "head_tube_length", bend[1]),
        seat_tube_angle=at(kind.seat_tube_angle, "seat_tube_angle"),
        seat_tube_length=seat_tube,
        chainstay_length=at(kind.chainstay, "chainstay_length"),
        bb_drop=at(kind.bb_drop, "bb_drop"),
        drawn_with=DrawnWith(
            fork=fork, lower_headset_stack=12.0, front_radius=kind.radius, rear_radius=kind.radius
        ),
        top_tube=TopTube(below_head_tube_top=40.0, along_seat_tube=300.0, diameter=34.9),
    )
    return dataclasses.replace(frame, stack=float(frame.stack - closure(frame).axle))


def _printed(kind: Kind, frame: Frame, place: int, mass: float) -> DrawnSize:
    parts = frame.drawn_with
    build = Build(
        frame=frame,
        fork=parts.fork,
        lower_headset_stack=parts.lower_headset_stack,
        front_radius=parts.front_radius,
        rear_radius=parts.rear_radius,
    )
    computed = figures(Bike(build=build))
    short: dict[str, Any] = {
        name: round(float(getattr(frame, name)), kind.degrees if "angle" in name else kind.mm)
        for name in DRAWN
    }
    decimals = {f"frame.{n}": kind.degrees if "angle" in n else kind.mm for n in DRAWN}
    return DrawnSize(
        name=f"{place + 1}",
        frame=dataclasses.replace(frame, **short),
        published={key: round(float(computed[key]), kind.mm) for key in kind.published},
        decimals=decimals | dict.fromkeys(kind.published, kind.mm) | {"mass": 2},
        further={"mass": round(mass, 2)},
    )


def cells(kind: Kind) -> list[tuple[int, str]]:
    """Every cell of a table: place of the size, key of the column."""
    keys = [f"frame.{name}" for name in DRAWN] + list(kind.published)
    return [(place, key) for place in range(kind.sizes) for key in keys]


def slipped(sizes: list[DrawnSize], place: int, key: str, by: float) -> list[DrawnSize]:
    """The table with one cell off by so much."""
    size = sizes[place]
    if key.startswith("frame."):
        name = key.removeprefix("frame.")
        value = getattr(size.frame, name) + by
        wrong = dataclasses.replace(size, frame=dataclasses.replace(size.frame, **{name: value}))
    else:
        wrong = dataclasses.replace(
            size, published={**size.published, key: size.published[key] + by}
        )
    return [*sizes[:place], wrong, *sizes[place + 1 :]]


def errors_of(key: str) -> Iterator[float]:
    """What is injected: 1, 2 and 5 mm, 0.2 and 0.5°, to either side."""
    for size in (0.2, 0.5) if key in ANGLES else (1.0, 2.0, 5.0):
        yield size
        yield -size
