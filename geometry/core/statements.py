"""Statements as codes with typed values; the caller makes sentences of them.

Each kind of statement is a small class of its own; its fields are the values that a
sentence about it may name, in the unit the field's comment says. A value may be one of
a few named things (an enum), or statements again.
"""

from __future__ import annotations

import dataclasses
import re
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Statement:
    """A code, which is the name of the class, with values.

    Examples
    --------
    >>> @dataclass(frozen=True, kw_only=True)
    ... class RingAtMost(Statement):
    ...     most: float
    >>> print(RingAtMost(most=33.0))
    ring at most (most 33)
    """

    @classmethod
    def code(cls) -> str:
        """The code in plain letters: ``ring_at_most``."""
        return re.sub(r"(?<!^)(?=[A-Z])", "_", cls.__name__).lower()

    def __str__(self) -> str:
        """Readable for someone who works with this package alone."""
        values = ", ".join(
            f"{field.name} {_plain(getattr(self, field.name))}"
            for field in dataclasses.fields(self)
        )
        return self.code().replace("_", " ") + (f" ({values})" if values else "")


@dataclass(frozen=True, kw_only=True)
class AnyOf(Statement):
    """Several ways, each enough by itself."""

    ways: tuple[Statement, ...]


def _plain(value: object) -> str:
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, tuple):
        return ", or ".join(map(_plain, value))
    return str(value)
