"""Checked numbers: finite, and in a sensible range that is declared once.

`number` declares a field of an input object, which then checks itself when it
is made; `checked` is the same check, with the same words, for plain numbers
handed to a function. `refuse` raises for the first bad row of an array.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import cache
from typing import TypedDict, TypeVar, cast

import numpy as np
from numpy.typing import ArrayLike

from geometry.core.angles import Mask, Num
from geometry.core.errors import GeometryError, Index, InvalidInput
from geometry.core.remedies import (
    AnyNumber,
    AtLeast,
    AtMost,
    FiniteNumber,
    MatchingShape,
    MoreThan,
    Remedy,
    SmallerSize,
    WholeNumber,
)

Field = TypeVar("Field")


class Limits(TypedDict):
    """Unit and possible range of a number."""

    unit: str
    above: float | None
    least: float | None
    most: float | None


def number(
    unit: str,
    *,
    above: float | None = None,
    least: float | None = None,
    most: float | None = None,
    default: Field | None = None,
) -> Field:
    """Declare one checked number of an input: its unit and its possible range."""
    limits = {"unit": unit, "above": above, "least": least, "most": most}
    given = dataclasses.MISSING if default is None else default
    return cast("Field", dataclasses.field(default=given, metadata=limits))


def plain(value: Num) -> Num:
    """NumPy scalars as Python floats; arrays as they are.

    >>> plain(np.float64(1.5))
    1.5
    """
    return float(value) if isinstance(value, float) or np.ndim(value) == 0 else value


def first_bad(wrong: Mask) -> Index:
    """Index of the first true element, or ``None`` for a scalar."""
    wrong = np.asarray(wrong)
    return None if wrong.ndim == 0 else tuple(int(i) for i in np.argwhere(wrong)[0])


def value_at(value: Num, index: Index) -> Num:
    """The element of a possibly smaller, broadcast value at ``index``, as a float."""
    array = np.asarray(value)
    if index is None or array.ndim == 0:
        return cast("float", array.item())
    own = zip(index[-array.ndim :], array.shape, strict=True)
    return cast("float", array[tuple(0 if n == 1 else i for i, n in own)].item())


def refuse(wrong: Mask, kind: type[GeometryError], field: str, value: Num, remedy: Remedy) -> None:
    """Raise ``kind`` for the first row where ``wrong`` holds; do nothing if none does.

    Parameters
    ----------
    wrong : bool or array of bool
        True where the value is at fault.
    kind : type of GeometryError
        Error to raise.
    field : str
        Name of the input at fault.
    value : float or array
        The input, so that the error can show the row's own value.
    remedy : Remedy
        What would be right.

    Raises
    ------
    GeometryError
        Of the kind given, with field, value, remedy and row.
    """
    if bool(wrong) if isinstance(wrong, (bool, np.bool_)) else np.asarray(wrong).any():
        index = first_bad(wrong)
        raise kind(field, value_at(value, index), remedy, index)


def check_shapes(values: Mapping[str, Num]) -> tuple[int, ...]:
    """The common shape of named numbers; refuses the first that does not broadcast.

    >>> check_shapes({"reach": np.zeros(3), "stack": 600.0})
    (3,)
    >>> check_shapes({"reach": np.zeros(3), "stack": np.zeros(2)})
    Traceback (most recent call last):
    geometry.core.errors.InvalidInput: stack is of shape (2,): matching shape (shape (3,))
    """
    shape: tuple[int, ...] = ()
    for name, value in values.items():
        if isinstance(value, float) or np.shape(value) == shape:
            continue
        try:
            shape = np.broadcast_shapes(shape, np.shape(value))
        except ValueError:
            found = f"of shape {np.shape(value)}"
            raise InvalidInput(name, found, MatchingShape(shape=str(shape))) from None
    return shape


@contextmanager
def within(prefix: str) -> Iterator[None]:
    """Errors raised inside name their field from ``prefix`` on (``fork.offset``).

    >>> with within("fork"):
    ...     checked("offset", float("nan"), "mm")
    Traceback (most recent call last):
    geometry.core.errors.InvalidInput: fork.offset is nan: finite number (unit mm)
    """
    try:
        yield
    except GeometryError as error:
        field = f"{prefix}.{error.field}"
        raise type(error)(field, error.value, error.remedy, error.index) from error


def normalised(name: str, value: ArrayLike) -> Num:
    """A value as float or float64 array; anything that is no number is refused."""
    try:
        array = np.asarray(value, dtype=np.float64)
    except (TypeError, ValueError, OverflowError):
        raise InvalidInput(name, value, AnyNumber()) from None
    return float(array) if array.ndim == 0 else array


LARGEST = 1e6
"""No number of a bicycle is larger, in any unit used here; squares stay finite."""


def check_limits(name: str, value: Num, limits: Limits) -> None:
    """Refuse values that are not finite or lie outside the field's range."""
    above, least, most = limits["above"], limits["least"], limits["most"]
    if isinstance(value, float):
        if _fits(value, above, least, most):
            return
    elif value.size and all(_fits(v, above, least, most) for v in (value.min(), value.max())):
        return
    unit = limits["unit"]
    finite = np.isfinite(value)
    refuse(~finite, InvalidInput, name, value, FiniteNumber(unit=unit))
    smaller = SmallerSize(most=LARGEST, unit=unit)
    refuse(np.abs(value) > LARGEST, InvalidInput, name, value, smaller)
    bounds = (
        (above, np.less_equal, MoreThan),
        (least, np.less, AtLeast),
        (most, np.greater, AtMost),
    )
    for bound, lies_beyond, remedy in bounds:
        if bound is not None:
            wrong = lies_beyond(value, bound)
            refuse(wrong, InvalidInput, name, value, remedy(bound=bound, unit=unit))


def _fits(value: float, above: float | None, least: float | None, most: float | None) -> bool:
    """The same check for one number in order, which most are; NaN does not fit."""
    return (
        abs(value) <= LARGEST
        and (above is None or value > above)
        and (least is None or value >= least)
        and (most is None or value <= most)
    )


class Checked:
    """Normalises and checks every declared number when an input is made.

    The numbers of one input must broadcast against each other.
    """

    __slots__ = ()

    def __post_init__(self) -> None:
        arrays = {}
        for name, limits, lowest, highest in _declared(type(self)):  # type: ignore[arg-type]  # a class is its own key
            value = getattr(self, name)
            if type(value) is float:
                if not lowest <= value <= highest:
                    check_limits(name, value, limits)
                continue
            value = normalised(name, value)
            object.__setattr__(self, name, value)
            check_limits(name, value, limits)
            if not isinstance(value, float):
                arrays[name] = value
        if arrays:
            check_shapes(arrays)


@cache
def _declared(kind: type[Checked]) -> tuple[tuple[str, Limits, float, float], ...]:
    """The numbers that a class of inputs declares, each with the ends of what is surely right."""
    return tuple(
        (field.name, cast("Limits", field.metadata), *_surely_right(cast("Limits", field.metadata)))
        for field in dataclasses.fields(kind)  # type: ignore[arg-type]  # subclasses are dataclasses
        if "unit" in field.metadata
    )


def _surely_right(limits: Limits) -> tuple[float, float]:
    """Smallest and largest number within all limits."""
    above, least, most = limits["above"], limits["least"], limits["most"]
    lowest = -LARGEST if least is None else max(least, -LARGEST)
    if above is not None:
        lowest = max(lowest, float(np.nextafter(above, np.inf)))
    return lowest, LARGEST if most is None else min(most, LARGEST)


def checked(
    name: str,
    value: Num,
    unit: str,
    *,
    above: float | None = None,
    least: float | None = None,
    most: float | None = None,
) -> Num:
    """A value as float or float64 array, refused when it is no usable number.

    Parameters
    ----------
    name : str
        Field to name in the error.
    value : float or array_like [unit]
        Any shape.
    unit : str
        For the error's words.
    above, least, most : float, optional [unit]
        Bounds: strictly more than, at least, at most.

    Returns
    -------
    float or array [unit]
        Of the shape given.

    Raises
    ------
    InvalidInput
        Not a number, not finite, or out of bounds; ``index`` names the row.

    Examples
    --------
    >>> checked("crank_length", 170, "mm", above=0)
    170.0
    >>> checked("crank_length", -170, "mm", above=0)
    Traceback (most recent call last):
    geometry.core.errors.InvalidInput: crank_length is -170.0: more than (bound 0, unit mm)
    """
    if type(value) is float and _fits(value, above, least, most):
        return value
    number_or_array = normalised(name, value)
    check_limits(
        name, number_or_array, {"unit": unit, "above": above, "least": least, "most": most}
    )
    return number_or_array


def whole(name: str, value: Num, unit: str, *, least: float) -> Num:
    """A whole number, as float or float64 array, of at least ``least``.

    Parameters
    ----------
    name : str
        Field to name in the error.
    value : int or array_like [unit]
        Any shape.
    unit : str
        What is counted.
    least : float [unit]
        Smallest allowed count.

    Returns
    -------
    float or array [unit]

    Raises
    ------
    InvalidInput
        Not a number, not finite, too small or not whole.

    Examples
    --------
    >>> whole("ring", 32, "teeth", least=8)
    32.0
    """
    count = checked(name, value, unit, least=least)
    refuse(count != np.round(count), InvalidInput, name, count, WholeNumber(unit=unit))
    return count
