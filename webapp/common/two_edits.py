"""Two people change the same thing at the same time, and neither loses work.

A form carries the stamp of what it was opened with, and that content itself. When it
comes back and the content has another stamp, each field is in one of three cases: only one of
the two changed it, and that change is kept; both made the same change; or both changed it
differently, which is a clash that a person decides.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from webapp.common.errors import Invalid
from webapp.common.text.language import tr


@dataclass(frozen=True, kw_only=True)
class Clash:
    """A field that both changed, each to something else."""

    name: str
    label: str
    was: str
    theirs: str
    mine: str

    @property
    def was_shown(self) -> str:
        """The former value, in words."""
        return shown(self.was)

    @property
    def theirs_shown(self) -> str:
        """The other person's value, in words."""
        return shown(self.theirs)

    @property
    def mine_shown(self) -> str:
        """What this person typed, in words."""
        return shown(self.mine)


@dataclass(frozen=True, kw_only=True)
class Taken:
    """A field that only the other person changed: their change is kept."""

    name: str
    label: str
    was: str
    now: str

    @property
    def was_shown(self) -> str:
        """The former value, in words."""
        return shown(self.was)

    @property
    def now_shown(self) -> str:
        """The present value, in words."""
        return shown(self.now)


@dataclass(frozen=True, kw_only=True)
class Merged:
    """Both people's changes put together; where they clash, mine is kept."""

    fields: dict[str, str]
    clashes: tuple[Clash, ...]
    taken: tuple[Taken, ...]


@dataclass(frozen=True, kw_only=True)
class EditForm:
    """What a page shows of two edits: two hidden fields, and both changes if they clash."""

    stamp: str
    base: str
    clashes: tuple[Clash, ...]
    taken: tuple[Taken, ...]

    @property
    def met(self) -> bool:
        """Whether somebody else has edited the same meanwhile."""
        return bool(self.clashes or self.taken)


def shown(value: str) -> str:
    """A field's value as people read it.

    >>> shown("40.00"), shown("")
    ('40.00', 'empty')
    """
    return value or tr("empty")


def field_in_words(name: str) -> str:
    """The name of a form's field as people read it.

    >>> field_in_words("m.head_angle")
    'm, head angle'
    """
    return name.replace(".", ", ").replace("_", " ")


def merge(
    base: Mapping[str, str],
    theirs: Mapping[str, str],
    mine: Mapping[str, str],
    *,
    label: Callable[[str], str] = field_in_words,
) -> Merged:
    """Merge two changes of the same form, field by field.

    Parameters
    ----------
    base : mapping of str to str
        The form as both opened it.
    theirs, mine : mapping of str to str
        The form as each of the two changed it; a missing field is an empty one.
    label : callable
        What a field is called on the page.

    Returns
    -------
    Merged

    Examples
    --------
    >>> base = {"discount": "", "delivery": "", "message": "Hello"}
    >>> theirs = base | {"discount": "5 %", "message": "Good day"}
    >>> mine = base | {"delivery": "40.00", "message": "Dear Ada"}
    >>> merged = merge(base, theirs, mine)
    >>> merged.fields
    {'discount': '5 %', 'delivery': '40.00', 'message': 'Dear Ada'}
    >>> [one.name for one in merged.clashes], [one.name for one in merged.taken]
    (['message'], ['discount'])
    """
    fields: dict[str, str] = {}
    clashes: list[Clash] = []
    taken: list[Taken] = []
    for name in dict.fromkeys([*base, *theirs, *mine]):
        was, now, typed = (each.get(name, "") for each in (base, theirs, mine))
        fields[name] = now if typed == was else typed
        if typed == was != now:
            taken.append(Taken(name=name, label=label(name), was=was, now=now))
        elif was != now != typed:
            clashes.append(Clash(name=name, label=label(name), was=was, theirs=now, mine=typed))
    return Merged(fields=fields, clashes=tuple(clashes), taken=tuple(taken))


def stamp_of(content: Any) -> str:
    """A short hash of JSON content.

    >>> stamp_of({"reach": 450}) == stamp_of({"reach": 450}) != stamp_of({"reach": 451})
    True
    """
    text = json.dumps(content, sort_keys=True, ensure_ascii=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()[:20]


def merged_if_changed(
    sent: Mapping[str, str],
    now: Mapping[str, str],
    mine: Mapping[str, str] | None = None,
    *,
    stamp: str | None = None,
    label: Callable[[str], str] = field_in_words,
) -> Merged | None:
    """Both people's changes, when the content has changed since the form was opened.

    Parameters
    ----------
    sent : mapping of str to str
        The form as it came back, with ``stamp`` and ``base``.
    now : mapping of str to str
        The content as it is kept now; its fields are those that exist.
    mine : mapping of str to str, optional
        The form's own fields, where they are not simply those sent.
    stamp : str, optional
        The stamp of the content, where it covers more than ``now``.
    label : callable
        What a field is called on the page.

    Returns
    -------
    Merged or None
        None when nobody else has changed anything: the form may be kept.

    Raises
    ------
    Invalid
        For a hidden field that no page of this service has sent.

    Examples
    --------
    >>> opened = {"reach": "450", "stack": "641"}
    >>> sent = {"stamp": stamp_of(opened), "base": as_base(opened), "reach": "455"}
    >>> merged_if_changed(sent, opened) is None
    True
    >>> merged_if_changed(sent, {"reach": "453", "stack": "639"}).clashes[0].theirs
    '453'
    """
    if sent.get("stamp") == (stamp_of(now) if stamp is None else stamp):
        return None
    base = base_of(sent)
    typed = sent if mine is None else mine
    return merge(
        {name: text for name, text in base.items() if name in now},
        now,
        {name: typed.get(name, base.get(name, "")) for name in now},
        label=label,
    )


def edit_form(
    now: Mapping[str, str],
    sent: Mapping[str, str] | None = None,
    merged: Merged | None = None,
    *,
    stamp: str | None = None,
) -> EditForm:
    """The hidden fields of a page's form, and both changes where somebody else edited the same.

    Parameters
    ----------
    now : mapping of str to str
        The content as it is kept now.
    sent : mapping of str to str, optional
        A refused form, which comes back as it was sent, its stamp too.
    merged : Merged, optional
    stamp : str, optional
        The stamp of the content, where it covers more than ``now``.

    Returns
    -------
    EditForm
    """
    kept = sent or {}
    return EditForm(
        stamp=kept.get("stamp", stamp_of(now) if stamp is None else stamp),
        base=kept.get("base", as_base(now)),
        clashes=merged.clashes if merged else (),
        taken=merged.taken if merged else (),
    )


def base_of(sent: Mapping[str, str]) -> dict[str, str]:
    """What a form was opened with, from its hidden field ``base``.

    Raises
    ------
    Invalid
        For a field that no page of this service has sent.
    """
    try:
        found = json.loads(sent.get("base", "{}"))
    except ValueError:
        found = None
    if not isinstance(found, dict):
        raise Invalid("base", None, tr("open the page again and send its own form"))
    return {str(name): str(value) for name, value in found.items()}


def as_base(content: Mapping[str, str]) -> str:
    """The same as the text of a hidden field."""
    return json.dumps(dict(content), ensure_ascii=True, separators=(",", ":"), sort_keys=True)
