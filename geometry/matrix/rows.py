"""A matrix's inputs brought to their small axes, before the blocks are solved."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from geometry.bike import (
    BetweenTubes,
    Cockpit,
    Frame,
    Loading,
    TopTube,
    from_head_tube_top,
    front_axle,
    on_seat_axis,
    places_on_axis,
    rear_axle,
)
from geometry.core import FloatArray, InvalidInput, Num, cos, degrees, length, refuse, sin
from geometry.matrix.axes import AxlePositions, Forks, Sizes, WheelPairs
from geometry.matrix.kernel import Prepared

Ends = tuple[tuple[Num, Num], tuple[Num, Num]]


def prepare(
    *,
    sizes: Sizes,
    forks: Forks,
    wheels: WheelPairs,
    positions: AxlePositions,
    states: Sequence[Loading],
    shape: tuple[int, ...],
) -> Prepared:
    """Everything that depends on few axes, in the drawn attitude.

    Parameters
    ----------
    sizes, forks, wheels, positions, states
        As given to `geometry.matrix.solving.solve_matrix`.
    shape : (S, F, W, P, T)
        Their lengths.

    Returns
    -------
    Prepared
        Lengths [mm], angles [deg], on the axes each depends on.
    """
    size_count, _, wheel_count, position_count, _ = shape
    front_x, front_y = _front(sizes.frame, forks, states, shape)
    return Prepared(
        rows=_rows(sizes, forks, shape),
        front_x=front_x,
        front_y=front_y,
        rear=_rear(sizes, positions, states=len(states), count=size_count),
        wheels=_wheels(wheels, states, count=wheel_count, positions=position_count),
        sizes=size_count,
        positions=position_count,
    )


def unreachable(
    sizes: Sizes,
    forks: Forks,
    positions: AxlePositions,
    states: Sequence[Loading],
    shape: tuple[int, ...],
) -> NDArray[np.bool_]:
    """Combinations outside a slot or beyond a travel, of the matrix's shape."""
    slot = _line(sizes.frame.slot_length, shape[0])
    outside = positions.of_sizes(slot) > slot[:, None]
    beyond = _compression(forks, states, shape[1]) > _line(forks.fork.travel, shape[1])[:, None]
    found = np.zeros(shape, dtype=np.bool_)
    if outside.any() or beyond.any():
        found |= outside[:, None, None, :, None] | beyond[None, :, None, None, :]
    return found


def _line(value: Num, count: int) -> FloatArray:
    """A scalar or list as an array (count,)."""
    line = np.empty(count)
    line[:] = value
    return line


def _compression(forks: Forks, states: Sequence[Loading], count: int) -> FloatArray:
    """Travel used [mm], (F, T)."""
    sag, travel = (_line(value, count) for value in (forks.sag, forks.fork.travel))
    return np.stack([state.compression(sag, travel) for state in states], axis=-1)


def _front(
    frame: Frame, forks: Forks, states: Sequence[Loading], shape: tuple[int, ...]
) -> tuple[FloatArray, FloatArray]:
    """Front axle, drawn attitude, (S·F, T)."""
    reach, stack, angle, tube = (
        _line(value, shape[0])[:, None, None]
        for value in (frame.reach, frame.stack, frame.head_angle, frame.head_tube_length)
    )
    along, offset, headset = (
        _line(value, shape[1])[None, :, None]
        for value in (forks.fork.along, forks.fork.offset, forks.lower_headset_stack)
    )
    x, y = front_axle(
        reach=reach,
        stack=stack,
        sine=sin(angle),
        cosine=cos(angle),
        below_top=tube + headset + along - _compression(forks, states, shape[1])[None],
        offset=offset,
    )
    return np.reshape(x, (-1, len(states))), np.reshape(y, (-1, len(states)))


def _rear(
    sizes: Sizes, positions: AxlePositions, *, states: int, count: int
) -> dict[str, FloatArray]:
    """Rear axle and what is fixed to it, drawn attitude, (S, P·T)."""
    frame = sizes.frame
    x, y = rear_axle(
        chainstay_length=_line(frame.chainstay_length, count)[:, None],
        bb_drop=_line(frame.bb_drop, count)[:, None],
        slot_angle=_line(frame.slot_angle, count)[:, None],
        slot_position=positions.of_sizes(_line(frame.slot_length, count)),
    )
    found = {"rear_x": x, "rear_y": y, "chainstay_length": length(x, y)}
    if sizes.cockpit is not None:
        grips_x, grips_y = (_line(v, count)[:, None] for v in _grips(sizes.frame, sizes.cockpit))
        found["grips_straight"] = length(grips_x - x, grips_y - y)
    return {name: np.repeat(value, states, axis=1) for name, value in found.items()}


def _wheels(
    wheels: WheelPairs, states: Sequence[Loading], *, count: int, positions: int
) -> dict[str, FloatArray]:
    """Loaded radii, (1, W, P·T)."""
    share = np.array([state.tyre_share for state in states])
    front, rear = (
        _line(radius, count)[:, None] - _line(deflection, count)[:, None] * share
        for radius, deflection in (
            (wheels.front_radius, wheels.front_deflection),
            (wheels.rear_radius, wheels.rear_deflection),
        )
    )
    found = {"front": front, "rear": rear, "difference": front - rear, "radii": front + rear}
    return {name: np.tile(value, (1, positions))[None] for name, value in found.items()}


def _grips(frame: Frame, cockpit: Cockpit) -> tuple[Num, Num]:
    """Grip centres, drawn attitude, scalars or (S,)."""
    up, forward = places_on_axis(cockpit).grips
    return from_head_tube_top(
        reach=frame.reach,
        stack=frame.stack,
        sine=sin(frame.head_angle),
        cosine=cos(frame.head_angle),
        up=up,
        forward=forward,
    )


def _rows(sizes: Sizes, forks: Forks, shape: tuple[int, ...]) -> dict[str, FloatArray]:
    """What depends on size or fork alone, (S·F, 1, 1)."""
    by_size = _bare_rows(sizes.frame) | _rider_rows(sizes)
    rows = {name: np.repeat(_line(value, shape[0]), shape[1]) for name, value in by_size.items()}
    rows["offset"] = np.tile(_line(forks.fork.offset, shape[1]), shape[0])
    return {name: value.reshape(-1, 1, 1) for name, value in rows.items()}


def _bare_rows(frame: Frame) -> dict[str, Num]:
    """Of the bare frame; see `geometry.bike.standing.solve` for the seat axis's distance."""
    seat_sine, seat_cosine = sin(frame.seat_tube_angle), cos(frame.seat_tube_angle)
    return {
        "reach": frame.reach,
        "stack": frame.stack,
        "head_angle": frame.head_angle,
        "head_sine": sin(frame.head_angle),
        "head_cosine": cos(frame.head_angle),
        "seat_tube_angle": frame.seat_tube_angle,
        "seat_sine": seat_sine,
        "seat_cosine": seat_cosine,
        "top_to_seat_axis": frame.reach * seat_sine
        + frame.stack * seat_cosine
        - frame.seat_tube_offset,
    }


def _rider_rows(sizes: Sizes) -> dict[str, Num]:
    """Of saddle, grips, standover and mass centre, as far as they are given."""
    frame = sizes.frame
    rows: dict[str, Num] = {}
    if sizes.saddle_height is not None:
        steeper = degrees(np.arcsin(frame.seat_tube_offset / sizes.saddle_height))
        rows["effective_seat_angle"] = frame.seat_tube_angle + steeper
    if sizes.cockpit is not None:
        rows["grips_x"], rows["grips_y"] = _grips(frame, sizes.cockpit)
    if sizes.mass_centre_x is not None:
        rows["mass_x"] = sizes.mass_centre_x
    if sizes.mass_centre_y is not None:
        rows["mass_y"] = sizes.mass_centre_y
    if sizes.standover_ahead is not None and frame.top_tube is not None:
        rows["ahead"] = sizes.standover_ahead
        rows |= _tube_rows(sizes, frame.top_tube)
    return rows


def _tube_ends(sizes: Sizes, tube: TopTube) -> Ends:
    """Ends of the top tube's centreline on both axes, drawn attitude."""
    frame = sizes.frame
    seat = on_seat_axis(
        offset=frame.seat_tube_offset,
        sine=sin(frame.seat_tube_angle),
        cosine=cos(frame.seat_tube_angle),
        up=tube.along_seat_tube,
    )
    head = from_head_tube_top(
        reach=frame.reach,
        stack=frame.stack,
        sine=sin(frame.head_angle),
        cosine=cos(frame.head_angle),
        up=-tube.below_head_tube_top,
        forward=0.0,
    )
    return seat, head


def _tube_rows(sizes: Sizes, tube: TopTube) -> dict[str, Num]:
    """The top tube's upper edge: its slope, and its distance square to it from the BB."""
    (seat_x, seat_y), (head_x, head_y) = _tube_ends(sizes, tube)
    run, rise = head_x - seat_x, head_y - seat_y
    long = length(run, rise)
    return {
        "tube_cosine": run / long,
        "tube_sine": rise / long,
        "tube_edge": (seat_y * run - seat_x * rise) / long + tube.diameter / 2,
    }


def check_standover(sizes: Sizes, turn: FloatArray, possible: NDArray[np.bool_]) -> None:
    """Refuse a standover place that lies beyond the top tube of any build.

    Parameters
    ----------
    sizes : Sizes
        With the place and the top tube, if standover is wanted.
    turn : array (S, F, W, P, T) [deg]
        From drawn to standing.
    possible : array of bool
        Builds that count.

    Raises
    ------
    InvalidInput
        ``index`` is the build's place on the five axes.

    Examples
    --------
    >>> from geometry.examples import trail_hardtail
    >>> sizes = Sizes(frame=trail_hardtail(), standover_ahead=600.0)
    >>> one = np.zeros((1, 1, 1, 1, 1))
    >>> check_standover(sizes, one, one == 0)
    Traceback (most recent call last):
    geometry.core.errors.InvalidInput: standover_ahead (row 0, 0, 0, 0, 0) is 600.0: between tubes
    """
    tube = sizes.frame.top_tube
    if sizes.standover_ahead is None or tube is None:
        return
    count = turn.shape[0]
    ends = [tuple(_line(value, count) for value in end) for end in _tube_ends(sizes, tube)]
    ahead = _line(sizes.standover_ahead, count)
    # How far an end can move forward or back is bounded by the largest turn;
    # only a place nearer to an end than that needs every build looked at.
    largest = _largest(turn, possible)
    reach_of_turn = [abs(y) * sin(largest) + abs(x) * (1 - cos(largest)) for x, y in ends]
    clear = (ends[0][0] + reach_of_turn[0] <= ahead) & (ahead <= ends[1][0] - reach_of_turn[1])
    if clear.all():
        return
    sine, cosine = sin(turn), cos(turn)
    seat_x, head_x = (_five(x) * cosine - _five(y) * sine for x, y in ends)
    wrong = possible & ((_five(ahead) < seat_x) | (_five(ahead) > head_x) | (head_x <= seat_x))
    refuse(wrong, InvalidInput, "standover_ahead", _five(ahead), BetweenTubes())


def _largest(turn: FloatArray, possible: NDArray[np.bool_]) -> float:
    """Largest turn of any possible build, either way [deg]."""
    counted = turn if possible.all() else turn[possible]
    return float(max(counted.max(initial=0.0), -counted.min(initial=0.0)))


def _five(value: FloatArray) -> FloatArray:
    """Sizes on the first of five axes."""
    return value.reshape(-1, 1, 1, 1, 1)
