"""Errors of the geometry package, one tree.

    GeometryError                 field, value, remedy, index
    ├── InvalidInput              not a usable number: NaN, infinite, wrong sign, out of range
    ├── ContradictoryInput        numbers that cannot belong to one drawing or one build
    └── NoSolution                a well-posed question that has no answer

Each error names the field it is about, the value found there and what would be
right, so that a form can point at the field and an interface can say the same in
the reader's language. For arrays ``index`` tells which row was at fault.
"""

from __future__ import annotations

from geometry.core.remedies import Remedy

Index = tuple[int, ...] | None


class GeometryError(ValueError):
    """Something asked of the geometry package cannot be computed.

    Parameters
    ----------
    field : str
        Name of the input at fault, dotted when nested (``"fork.offset"``).
    value : object
        What was found there.
    remedy : Remedy
        What would be right, as a code with values.
    index : tuple of int, optional
        Row of the input array that was at fault, ``None`` for scalars.
    """

    def __init__(self, field: str, value: object, remedy: Remedy, index: Index = None) -> None:
        self.field = field
        self.value = value
        self.remedy = remedy
        self.index = index
        super().__init__(str(self))

    def __str__(self) -> str:
        row = "" if self.index is None else f" (row {', '.join(map(str, self.index))})"
        return f"{self.field}{row} is {self.value}: {self.remedy}"


class InvalidInput(GeometryError):
    """A value is not a usable number for its field."""


class ContradictoryInput(GeometryError):
    """Values that are each possible cannot belong to one drawing or one build."""


class NoSolution(GeometryError):
    """The question is well posed and has no answer."""
