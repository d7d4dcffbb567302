"""The links within a page's context, led elsewhere or taking something along."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar

_Shown = TypeVar("_Shown")


def links_moved(shown: _Shown, link: Callable[[str], str], *, but: Collection[str] = ()) -> _Shown:
    """The same with every text put through ``link``, which changes those that are addresses.

    Parameters
    ----------
    shown : dataclass or tuple
        A page's context or a part of it, with tuples and dataclasses in it.
    link : callable
        From a text to what stands in its place.
    but : collection of str
        Fields of the dataclasses that stay as they are.

    Returns
    -------
    dataclass or tuple

    Examples
    --------
    >>> links_moved(("/build/a", 5), lambda text: f"{text}?x=1")
    ('/build/a?x=1', 5)

    Places that have names keep them.

    >>> from collections import namedtuple
    >>> Choice = namedtuple("Choice", "name address")
    >>> links_moved(Choice("a", "/build/a"), lambda text: f"{text}?x=1", but={"name"}).address
    '/build/a?x=1'
    """
    moved: _Shown = _moved(shown, link, but)
    return moved


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

    def link(text: str) -> str:
        found = next((begin for begin in moves if text.startswith(begin)), "")
        return f"{moves[found]}{text.removeprefix(found)}" if found else text

    return links_moved(shown, link)


def _moved(value: Any, link: Callable[[str], str], but: Collection[str]) -> Any:
    if isinstance(value, str):
        return link(value)
    if isinstance(value, tuple):
        moved = tuple(_moved(each, link, but) for each in value)
        return moved if not hasattr(value, "_fields") else _named(value, moved, but)
    if is_dataclass(value) and not isinstance(value, type):
        names = (f.name for f in fields(value) if f.name not in but)
        return replace(value, **{name: _moved(getattr(value, name), link, but) for name in names})
    return value


def _named(was: Any, moved: tuple[Any, ...], but: Collection[str]) -> Any:
    """A tuple whose places have names with others in them, but for those that stay."""
    pairs = zip(was._fields, moved, strict=True)
    return was._replace(**{name: value for name, value in pairs if name not in but})
