"""Two people at one draft: nobody's work is lost.

A form carries what it was opened with. When the draft has changed since, every
cell is one of three: only one of the two changed it, and that change stands; both
made it the same; or both changed it differently, and a person decides.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from webapp.quote.lifecycle.merge import merge as merge_fields


@dataclass(frozen=True, kw_only=True)
class Clash:
    """One cell that two people changed differently."""

    name: str
    was: str
    theirs: str
    mine: str


@dataclass(frozen=True, kw_only=True)
class Merged:
    """What comes of both people's work.

    Parameters
    ----------
    cells : mapping of name to text
        Both changes; where they clash, mine.
    clashes : tuple of Clash
    taken : tuple of (name, was, now)
        Changes of the other person that stand.
    """

    cells: dict[str, str]
    clashes: tuple[Clash, ...]
    taken: tuple[tuple[str, str, str], ...]


def merge(base: Mapping[str, str], theirs: Mapping[str, str], mine: Mapping[str, str]) -> Merged:
    """Put two people's changes to the same cells together.

    Parameters
    ----------
    base : mapping
        What both began from.
    theirs : mapping
        What is kept now; its cells are those that exist.
    mine : mapping
        What this form brings.

    Returns
    -------
    Merged

    Examples
    --------
    >>> base = {"reach": "450", "stack": "641"}
    >>> merge(base, {"reach": "453", "stack": "641"}, {"reach": "450", "stack": "639"}).cells
    {'reach': '453', 'stack': '639'}
    >>> merge(base, {"reach": "453", "stack": "641"}, {"reach": "455", "stack": "641"}).clashes
    (Clash(name='reach', was='450', theirs='453', mine='455'),)
    """
    given = {name: mine.get(name, base.get(name, "")) for name in theirs}
    both = merge_fields(base, theirs, given)
    return Merged(
        cells={name: both.fields[name] for name in theirs},
        clashes=tuple(
            Clash(name=one.name, was=base.get(one.name, ""), theirs=one.theirs, mine=one.mine)
            for one in both.both
            if one.name in theirs
        ),
        taken=tuple(
            (name, base.get(name, ""), now)
            for name, now in theirs.items()
            if now != base.get(name, "") and given[name] == base.get(name, "")
        ),
    )
