"""A page's context with its links leading elsewhere: the rider's pages, used at the counter."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar

_Shown = TypeVar("_Shown")


def led_elsewhere(shown: _Shown, moves: Mapping[str, str]) -> _Shown:
    """The same with the beginning of every address replaced, as ``moves`` says.

    Parameters
    ----------
    shown : dataclass
        A page's context, with tuples and dataclasses in it.
    moves : mapping of str to str
        Beginnings of addresses, and their replacements.

    Returns
    -------
    dataclass

    Examples
    --------
    >>> led_elsewhere(("/build/a?x=1", 5), {"/build/a?": "/counter/new/a?"})
    ('/counter/new/a?x=1', 5)
    """
    moved: _Shown = _moved(shown, moves)
    return moved


def _moved(value: Any, moves: Mapping[str, str]) -> Any:
    if isinstance(value, str):
        found = next((begin for begin in moves if value.startswith(begin)), "")
        return f"{moves[found]}{value.removeprefix(found)}" if found else value
    if isinstance(value, tuple):
        return tuple(_moved(each, moves) for each in value)
    if is_dataclass(value) and not isinstance(value, type):
        changes = {f.name: _moved(getattr(value, f.name), moves) for f in fields(value)}
        return replace(value, **changes)
    return value
