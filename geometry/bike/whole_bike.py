"""One bike: a build in a state, with its cockpit and saddle.

Tolerances, bench checks and explanations all ask the same two things of a bike:
every number that goes into it, and every figure that comes out. `numbers` and
`figures` give both, under the glossary's keys; `moved` changes some of the
numbers (`geometry.bike.slopes` tells how each figure follows each number, exactly).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields
from functools import cache
from itertools import groupby
from types import MappingProxyType
from typing import NamedTuple, TypeVar

import numpy as np

from geometry.bike.cockpit import Cockpit, Hands, hands
from geometry.bike.parts import Build, State
from geometry.bike.saddle import Seat, Seated, carried, seated
from geometry.bike.standing import Standing, arguments, solve, stand
from geometry.bike.standover_height import standover
from geometry.core import InputOfBike, InvalidInput, KeyOfInput, Num, plain, within
from geometry.glossary import GLOSSARY, PLACES, inputs

_OWNERS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "build": ("build",),
        "fork": ("build", "fork"),
        "frame": ("build", "frame"),
        "top_tube": ("build", "frame", "top_tube"),
        "drawn_with": ("build", "frame", "drawn_with"),
        "drawn_with.fork": ("build", "frame", "drawn_with", "fork"),
        "state": ("state",),
        "cockpit": ("cockpit",),
        "stem": ("cockpit", "stem"),
        "handlebar": ("cockpit", "handlebar"),
        "seat": ("seat",),
    }
)
"""Where in a `Bike` the owner of an input's key is found."""

_RESULTS = {result.__name__: result for result in (Standing, Hands, Seated)}
"""Kinds of results by their names, as the glossary has them."""

_OF_THE_TURN = frozenset({"turn_cosine", "turn_sine"})
"""Results that only serve to turn points of the frame, and are not shown."""

_INPUTS = frozenset(entry.key for entry in inputs())
_FIGURES = tuple(key for key in GLOSSARY if key not in _INPUTS)
"""Results' keys in the order of a sheet."""


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Bike:
    """A build in a state, with what is known of its cockpit and saddle.

    Parameters
    ----------
    build : Build
        Frame with what is fitted; one, or arrays of builds.
    state : State
        How far fork and tyres are pressed in; unloaded if not given.
    cockpit : Cockpit, optional
        Needed for the grips' figures only.
    seat : Seat, optional
        Needed for the saddle's figures only.
    standover_ahead : float or array, optional [mm]
        Level distance ahead of the BB at which standover is measured; needed
        for standover only, together with the frame's top tube.

    Raises
    ------
    GeometryError
        Whatever `stand`, `seated` or `standover` refuse.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> Bike(build=trail_build()).shape
    ()
    """

    build: Build
    state: State = field(default_factory=State.unloaded)
    cockpit: Cockpit | None = None
    seat: Seat | None = None
    standover_ahead: Num | None = None

    def __post_init__(self) -> None:
        standing = stand(self.build, self.state)
        if self.seat is not None:
            with within("seat"):
                seated(standing, self.build, self.seat)
        if self.standover_ahead is not None:
            standover(standing, self.build, ahead=self.standover_ahead)

    @property
    def shape(self) -> tuple[int, ...]:
        """Broadcast shape of all its numbers; ``()`` for one bike."""
        arrays = [value for value in numbers(self).values() if not isinstance(value, float)]
        return np.broadcast_shapes(*map(np.shape, arrays))


def numbers(bike: Bike) -> dict[str, Num]:
    """Every number that goes into a bike, by its key in the glossary.

    Parameters
    ----------
    bike : Bike

    Returns
    -------
    dict of str to float or array [mm, deg]
        Keys of parts that the bike does not have are left out.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> numbers(Bike(build=trail_build()))["fork.offset"]
    48.0
    """
    found: dict[str, Num] = {}
    for path, own in _inputs_by_owner():
        owner = _owner(bike, path)
        if owner is not None:
            for key, name in own:
                found[key] = getattr(owner, name)
    return found


def _owner(bike: Bike, path: Sequence[str]) -> object:
    """The object at the end of a path, ``None`` if this bike has none."""
    owner: object = bike
    for step in path:
        owner = None if owner is None else getattr(owner, step)
    return owner


@cache
def _inputs_by_owner() -> tuple[tuple[tuple[str, ...], tuple[tuple[str, str], ...]], ...]:
    """Paths to the owners of all inputs, each with its inputs' keys and fields, in order."""
    by_path = groupby((entry.key for entry in inputs()), key=lambda key: _path(key)[0])
    return tuple((path, tuple((key, _path(key)[1]) for key in keys)) for path, keys in by_path)


@cache
def _path(key: str) -> tuple[tuple[str, ...], str]:
    """Path to the owner of an input, and the field's name."""
    prefix, _, name = key.rpartition(".")
    if key not in GLOSSARY or prefix not in _OWNERS:
        raise InvalidInput("key", key, KeyOfInput())
    return _OWNERS[prefix], name


def moved(bike: Bike, changes: Mapping[str, Num]) -> Bike:
    """The same bike with some of its numbers changed by so much.

    Nothing is checked: a slope or a trial value is no input. It serves complex
    steps too.

    Parameters
    ----------
    bike : Bike
    changes : mapping of str to float or array [mm, deg]
        What to add to each input, by its key.

    Returns
    -------
    Bike

    Raises
    ------
    InvalidInput
        A key that is no input of this bike.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> moved(Bike(build=trail_build()), {"fork.offset": 7.0}).build.fork.offset
    55.0
    """
    tree = _Changes({}, {})
    owners: dict[tuple[str, ...], dict[str, Num]] = {}
    for key, change in changes.items():
        path, name = _path(key)
        own = owners.get(path)
        if own is None:
            if _owner(bike, path) is None:
                raise InvalidInput("key", key, InputOfBike())
            own = owners[path] = tree.at(path).numbers
        own[name] = change
    return _with(bike, tree)


Part = TypeVar("Part")


class _Changes(NamedTuple):
    """What to add to numbers of an object, and the changes of objects that it holds."""

    numbers: dict[str, Num]
    held: dict[str, _Changes]

    def at(self, path: Sequence[str]) -> _Changes:
        """The changes of the object at the end of a path."""
        found = self
        for step in path:
            found = found.held.setdefault(step, _Changes({}, {}))
        return found


def _with(owner: Part, changes: _Changes) -> Part:
    """A copy of a frozen object with some of its numbers changed, unchecked."""
    twin = _copied(owner)
    for name, held in changes.held.items():
        object.__setattr__(twin, name, _with(getattr(owner, name), held))
    for name, change in changes.numbers.items():
        object.__setattr__(twin, name, getattr(owner, name) + change)
    return twin


def _copied(owner: Part) -> Part:
    """A frozen object again, unchecked; quicker than what copies any object."""
    twin = object.__new__(type(owner))
    for name in type(owner).__dataclass_fields__:  # type: ignore[attr-defined]  # all are dataclasses
        object.__setattr__(twin, name, getattr(owner, name))
    return twin


def as_drawn(bike: Bike) -> Bike:
    """The same bike with the fork, headset, wheels and axle position of its drawing.

    Nothing is checked, as in `moved`, so that slopes can be taken by what the
    frame is drawn with.

    Parameters
    ----------
    bike : Bike

    Returns
    -------
    Bike

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> as_drawn(Bike(build=trail_build(9.0))).build.slot_position
    0.0
    """
    drawn = bike.build.frame.drawn_with
    build, twin = _copied(bike.build), _copied(bike)
    for name in (
        "fork",
        "lower_headset_stack",
        "front_radius",
        "rear_radius",
        "slot_position",
    ):
        object.__setattr__(build, name, getattr(drawn, name))
    object.__setattr__(twin, "build", build)
    return twin


def figures(bike: Bike) -> dict[str, Num]:
    """Every figure of a bike, by its key in the glossary.

    Parameters
    ----------
    bike : Bike

    Returns
    -------
    dict of str to float or array [mm, deg]
        Those of the standing bike, and of grips, saddle and standover where
        the bike has what they need; points, and the turn's sine and cosine,
        are left out.

    Notes
    -----
    The very functions the rest of the package uses: `solve`, `hands`,
    `seated`, `standover`.

    Examples
    --------
    >>> from geometry.examples import trail_build, trail_cockpit
    >>> found = figures(Bike(build=trail_build(), cockpit=trail_cockpit()))
    >>> round(found["head_angle"], 2), round(found["grips_to_rear_axle"])
    (68.0, 876)
    """
    return stood(bike).figures


class Stood(NamedTuple):
    """A bike on the ground.

    Parameters
    ----------
    standing : Standing
    hands : Hands or None
        None without a cockpit.
    seated : Seated or None
        None without a seat; set level on the unloaded bike, carried along into the bike's state.
    figures : dict of str to float or array [mm, deg]
        As `figures` has them.
    """

    standing: Standing
    hands: Hands | None
    seated: Seated | None
    figures: dict[str, Num]


def stood(bike: Bike) -> Stood:
    """A bike's points and figures, all of them worked out once.

    Parameters
    ----------
    bike : Bike

    Returns
    -------
    Stood

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> found = stood(Bike(build=trail_build(), seat=Seat(height=740.0)))
    >>> found.figures["saddle_above_ground"] == found.seated.height
    True
    """
    standing = _standing(bike.build, bike.state)
    found = _named("Standing", standing)
    grips = saddle = None
    if bike.cockpit is not None:
        grips = hands(standing, bike.cockpit)
        found |= _named("Hands", grips)
    if bike.seat is not None:
        saddle = _seated(bike, bike.seat, standing)
        found |= _named("Seated", saddle)
        found["saddle_height"] = bike.seat.height
    if bike.standover_ahead is not None:
        found["standover"] = standover(standing, bike.build, ahead=bike.standover_ahead)
    return Stood(standing, grips, saddle, {key: found[key] for key in _FIGURES if key in found})


def _standing(build: Build, state: State) -> Standing:
    """A build on the ground, without the checks that were made when the bike was."""
    solved = solve(**arguments(build, state))._asdict()
    del solved["axle_distance"]
    solved["front_radius"] = build.front_radius - state.front_deflection
    solved["rear_radius"] = build.rear_radius - state.rear_deflection
    return Standing(**{name: plain(value) for name, value in solved.items()})


def _seated(bike: Bike, seat: Seat, standing: Standing) -> Seated:
    """The saddle, set level on the unloaded bike and carried along into the bike's state."""
    unloaded = State.unloaded()
    before = standing if bike.state is unloaded else _standing(bike.build, unloaded)
    return carried(seated(before, bike.build, seat), before=before, after=standing)


def is_figure(key: str) -> bool:
    """Whether a result is one number of the bike: no point, no cosine of the turn.

    Parameters
    ----------
    key : str
        A result's key in the glossary.

    Returns
    -------
    bool

    Examples
    --------
    >>> is_figure("trail"), is_figure("grips"), is_figure("turn_sine")
    (True, False, False)
    """
    return not GLOSSARY[key].point and key not in _OF_THE_TURN


def _named(kind: str, found: Standing | Hands | Seated) -> dict[str, Num]:
    """The plain figures of a result, by their keys."""
    return {key: plain(getattr(found, name)) for name, key in _fields_of(kind)}


@cache
def _fields_of(kind: str) -> tuple[tuple[str, str], ...]:
    """The fields of a kind of result that are plain figures, each with its key."""
    keys = ((each.name, PLACES[f"{kind}.{each.name}"]) for each in fields(_RESULTS[kind]))
    return tuple((name, key) for name, key in keys if is_figure(key))
