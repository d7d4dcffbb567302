"""Two people changed one form: what each changed is kept, what both changed is asked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Both:
    """A field that both changed, each to something else."""

    name: str
    theirs: str
    mine: str


@dataclass(frozen=True, kw_only=True)
class Merged:
    """The fields merged: where both changed one, mine stands and both are listed."""

    fields: dict[str, str]
    both: tuple[Both, ...]


def merge(base: Mapping[str, str], theirs: Mapping[str, str], mine: Mapping[str, str]) -> Merged:
    """Merge two changes of the same form, field by field.

    Parameters
    ----------
    base : mapping of str to str
        The form as both saw it.
    theirs, mine : mapping of str to str
        As each of the two changed it; a missing field is an empty one.

    Returns
    -------
    Merged

    Examples
    --------
    >>> base = {"discount": "", "delivery": "", "message": "Hello"}
    >>> theirs = base | {"discount": "5 %", "message": "Good day"}
    >>> mine = base | {"delivery": "40.00", "message": "Dear Ada"}
    >>> merged = merge(base, theirs, mine)
    >>> merged.fields["discount"], merged.fields["delivery"], merged.both[0].name
    ('5 %', '40.00', 'message')
    """
    fields: dict[str, str] = {}
    both: list[Both] = []
    for name in dict.fromkeys([*base, *theirs, *mine]):
        was, theirs_now, mine_now = (each.get(name, "") for each in (base, theirs, mine))
        fields[name] = theirs_now if mine_now == was else mine_now
        if mine_now not in (was, theirs_now) and theirs_now != was:
            both.append(Both(name=name, theirs=theirs_now, mine=mine_now))
    return Merged(fields=fields, both=tuple(both))
