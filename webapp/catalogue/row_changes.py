"""One row of the catalogue before and after a change, identified by names, not by row numbers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from types import MappingProxyType
from typing import Any

PART, OFFER, PRICE, COST = "part", "offer", "price", "cost"
OWN: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        PART: ("name", "state", "replaced_by", "data"),
        OFFER: ("position", "standard"),
        PRICE: ("minor",),
        COST: ("minor", "currency"),
    }
)
"""The columns of each table that a change holds."""

FRAME = "frame"
Values = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class RowChange:
    """One row: its key, its values before and after (None: not there).

    ``key`` is ``kind/slug`` of a part or its cost, ``model/kind/slug`` of an offer,
    ``list/kind/slug`` or ``list/frame/model/size`` of a price.
    """

    table: str
    key: str
    before: Values | None
    after: Values | None

    @property
    def reversed(self) -> RowChange:
        """The change that takes it back."""
        return RowChange(table=self.table, key=self.key, before=self.after, after=self.before)


def as_data(changes: Iterable[RowChange]) -> list[Values]:
    """Changes as plain data."""
    return [asdict(change) for change in changes]


def from_data(rows: Iterable[Mapping[str, Any]]) -> tuple[RowChange, ...]:
    """The inverse of `as_data`."""
    return tuple(RowChange(**row) for row in rows)
