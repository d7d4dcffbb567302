"""One bike: a build in a state, with its cockpit and saddle.

Tolerances, bench checks and explanations all ask the same two things of a bike:
every number that goes into it, and every figure that comes out. `numbers` and
`figures` give both, under the glossary's keys; `moved` changes some of the
numbers; `jacobian` tells how each figure follows each number, exactly.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from types import MappingProxyType
from typing import TypeVar

import numpy as np

from geometry.bike.cockpit import Cockpit, Hands, hands
from geometry.bike.parts import Build, State
from geometry.bike.saddle import Seat, Seated, carried, seated
from geometry.bike.standing import Standing, arguments, solve, stand
from geometry.bike.standover_height import standover
from geometry.core import FloatArray, InputOfBike, InvalidInput, KeyOfInput, Num, plain, within
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

_OF_THE_TURN = frozenset({"turn_cosine", "turn_sine"})
"""Results that only serve to turn points of the frame, and are not shown."""

_STEP = 1e-30
"""Imaginary step: its square vanishes beside 1, so slopes carry no truncation error."""

_AT_ONCE = 1 << 16
"""Numbers to a broadcast array while slopes are taken, which bounds the memory used."""


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
        return np.broadcast_shapes(*(np.shape(value) for value in numbers(self).values()))


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
    found = {}
    for entry in inputs():
        owner, name = _owner(bike, entry.key)
        if owner is not None:
            found[entry.key] = getattr(owner, name)
    return found


def _owner(bike: Bike, key: str) -> tuple[object, str]:
    """The object that holds an input, ``None`` if this bike has none, and its field's name."""
    path, name = _path(key)
    owner: object = bike
    for step in path:
        owner = None if owner is None else getattr(owner, step)
    return owner, name


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
    by_owner: dict[tuple[str, ...], dict[str, Num]] = {}
    for key, change in changes.items():
        path, name = _path(key)
        if _owner(bike, key)[0] is None:
            raise InvalidInput("key", key, InputOfBike())
        by_owner.setdefault(path, {})[name] = change
    for path, own in by_owner.items():
        bike = _with(bike, path, own)
    return bike


Part = TypeVar("Part")


def _with(owner: Part, path: Sequence[str], changes: Mapping[str, Num]) -> Part:
    """A copy of a frozen object, numbers at the end of the path changed, unchecked."""
    twin = _copied(owner)
    if path:
        object.__setattr__(twin, path[0], _with(getattr(owner, path[0]), path[1:], changes))
        return twin
    for name, change in changes.items():
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
    standing = _standing(bike)
    found = _named("Standing", standing)
    if bike.cockpit is not None:
        found |= _named("Hands", hands(standing, bike.cockpit))
    if bike.seat is not None:
        found |= _named("Seated", seated_of(bike, standing))
        found["saddle_height"] = bike.seat.height
    if bike.standover_ahead is not None:
        found["standover"] = standover(standing, bike.build, ahead=bike.standover_ahead)
    return {key: found[key] for key in GLOSSARY if key in found}


def _standing(bike: Bike) -> Standing:
    """The bike on the ground, without the checks that were made when the bike was."""
    build, state = bike.build, bike.state
    solved = solve(**arguments(build, state))._asdict()
    del solved["axle_distance"]
    return Standing(
        front_radius=build.front_radius - state.front_deflection,
        rear_radius=build.rear_radius - state.rear_deflection,
        **solved,
    )


def seated_of(bike: Bike, standing: Standing) -> Seated:
    """The saddle, set level on the unloaded bike and carried along into the bike's state.

    Parameters
    ----------
    bike : Bike
        With its seat.
    standing : Standing
        The bike on the ground in its own state.

    Returns
    -------
    Seated
        Points [mm] from the BB centre.
    """
    assert bike.seat is not None  # noqa: S101  # asked for only where there is a seat
    unloaded = _copied(bike)
    object.__setattr__(unloaded, "state", State.unloaded())
    before = _standing(unloaded)
    return carried(seated(before, bike.build, bike.seat), before=before, after=standing)


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
    keys = ((name, PLACES[f"{kind}.{name}"]) for name in type(found).__dataclass_fields__)
    return {key: plain(getattr(found, name)) for name, key in keys if is_figure(key)}


def jacobian(
    function: Callable[[Bike], Mapping[str, Num]], bike: Bike, keys: Iterable[str]
) -> dict[str, FloatArray]:
    """How each figure follows each number of a bike, exact to machine precision.

    Parameters
    ----------
    function : callable
        From a bike to its figures: `figures`, or another without comparisons
        that matter, ``abs`` or ``arctan2``.
    bike : Bike
        One bike, or arrays of bikes of broadcast shape ``shape``.
    keys : iterable of str
        k inputs, by their keys.

    Returns
    -------
    dict of str to array (k, *shape)
        For each figure its slopes, in its unit to the input's.

    Raises
    ------
    InvalidInput
        A key that is no input of this bike.

    Notes
    -----
    Complex step: ``f'(x) = Im f(x + ih)/h``, free of cancellation. Source:
    Squire and Trapp, SIAM Review 40 (1998) 110.

    Examples
    --------
    Ten millimetres of slot are nearly ten of wheelbase.

    >>> from geometry.examples import trail_build
    >>> slopes = jacobian(figures, Bike(build=trail_build()), ["build.slot_position"])
    >>> round(10 * float(slopes["wheelbase"][0]), 2)
    9.99
    """
    keys, shape = list(keys), bike.shape
    group = max(1, _AT_ONCE // max(1, int(np.prod(shape))))
    groups = [keys[i : i + group] for i in range(0, len(keys), group)]
    found = [_slopes(function, bike, some, shape) for some in groups]
    names = found[0] if found else function(bike)
    empty = np.empty((0, *shape))
    return {name: np.concatenate([empty, *(part[name] for part in found)]) for name in names}


def _slopes(
    function: Callable[[Bike], Mapping[str, Num]],
    bike: Bike,
    keys: Sequence[str],
    shape: tuple[int, ...],
) -> dict[str, FloatArray]:
    """Slopes for a group of inputs, each stepped in its own row of a leading axis."""
    rows = np.eye(len(keys)).reshape(len(keys), len(keys), *(1 for _ in shape))
    steps = {key: 1j * _STEP * row for key, row in zip(keys, rows, strict=True)}
    slopes = {n: np.asarray(y).imag / _STEP for n, y in function(moved(bike, steps)).items()}
    return {name: np.broadcast_to(slope, (len(keys), *shape)) for name, slope in slopes.items()}
