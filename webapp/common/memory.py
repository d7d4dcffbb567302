"""A cache for what follows from values that never change."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Any, Generic, TypeVar

T = TypeVar("T")


class Same(Generic[T]):
    """A value as part of a key, compared by identity.

    >>> one, other = [1], [1]
    >>> Same(one) == Same(one), Same(one) == Same(other)
    (True, False)
    """

    __slots__ = ("value",)

    def __init__(self, value: T) -> None:
        self.value = value  # held, so that its identity is not given to another

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and self.value is other.value

    def __hash__(self) -> int:
        return id(self.value)


class Memory:
    """Values by everything they follow from; when it is full, those not asked for lately go.

    There are two halves. When the newer one is full it replaces the older, and a new one begins;
    a value found in the older half is moved to the newer.

    Several threads may use one: at worst two work out the same value, and the first is kept.

    Parameters
    ----------
    most : int
        How many values are kept, at least two.

    Examples
    --------
    >>> memory = Memory(most=2)
    >>> memory.of("one", lambda: [1]) is memory.of("one", lambda: [1])
    True
    """

    def __init__(self, most: int) -> None:
        self.most = most
        self.newer: dict[Hashable, Any] = {}
        self.older: dict[Hashable, Any] = {}

    def __len__(self) -> int:
        return len(self.newer) + len(self.older)

    def find(self, key: Hashable) -> Any:
        """The value of a key; `NOTHING` when none is kept."""
        found = self.newer.get(key, NOTHING)
        if found is NOTHING:
            found = self.older.get(key, NOTHING)
            if found is not NOTHING:
                found = self.keep(key, found)
        return found

    def of(self, key: Hashable, make: Callable[[], T]) -> T:
        """The value of a key, made when it is not kept.

        Parameters
        ----------
        key : hashable
            Everything that the value follows from.
        make : callable
            What it raises is passed on, and nothing is kept.
        """
        found: T = self.find(key)
        return found if found is not NOTHING else self.keep(key, make())

    def of_very(self, name: Hashable, things: tuple[object, ...], make: Callable[[], T]) -> T:
        """The value that follows from these very objects, compared by identity.

        As `of` with each in a `Same`, and in less time: they are held with the value, so that
        while it is kept, the identity of none is given to another.

        Parameters
        ----------
        name : hashable
            What is made of them, with all else that the value follows from.
        things : tuple of object
        make : callable

        Examples
        --------
        >>> memory, one, other = Memory(most=4), [1], [1]
        >>> [memory.of_very("sum", (each,), lambda: object()) is memory.of_very("sum", (one,), list)
        ...  for each in (one, other)]
        [True, False]
        """
        key = (name, *map(id, things))
        found = self.newer.get(key) or self.find(key)
        if found is NOTHING:
            found = self.keep(key, (make(), things))
        value: T = found[0]
        return value

    def nested(self, name: str, *, most: int) -> Memory:
        """A separate cache inside this one, for large values, with a lower limit.

        >>> memory = Memory(most=100)
        >>> memory.nested("tables", most=2) is memory.nested("tables", most=2)
        True
        """
        return self.of(("room", name), lambda: Memory(most=most))

    def put(self, key: Hashable, value: T) -> T:
        """Keep a value in place of the one that was kept."""
        self.newer.pop(key, None)
        return self.keep(key, value)

    def keep(self, key: Hashable, value: T) -> T:
        """Keep a value; the one that was kept first, if another thread was quicker."""
        if len(self.newer) >= max(1, self.most // 2):
            self.newer, self.older = {}, self.newer
        kept: T = self.newer.setdefault(key, value)
        return kept


NOTHING = object()
"""What is found where nothing is kept."""
