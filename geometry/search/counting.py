"""How many builds there are, and how many fail which check, counted without building them."""

from __future__ import annotations

from collections.abc import Iterable

from geometry.search.parts import Masks, Refusal


def combinations(considered: Masks, fronts: int, seats: int) -> int:
    """How many builds a search judges.

    Parameters
    ----------
    considered : array (N,) of bool
        Stances that count.
    fronts, seats : int
        How many of each.

    Returns
    -------
    int

    Examples
    --------
    >>> import numpy as np
    >>> combinations(np.array([True, True, False]), 40, 5)
    400
    """
    return int(considered.sum()) * fronts * seats


def failed(
    refusals: Iterable[Refusal], considered: Masks, fronts: int, seats: int
) -> dict[str, int]:
    """How many builds fail each check; one that fails several counts in each.

    Parameters
    ----------
    refusals : iterable of Refusal
    considered : array (N,) of bool
        Stances that count.
    fronts, seats : int
        How many of each.

    Returns
    -------
    dict of str to int
        By code; checks that all pass are left out.

    Notes
    -----
    What fails at a stance and a front fails with every seat, and so on.

    Examples
    --------
    >>> import numpy as np
    >>> steep = np.array([[True], [False]])
    >>> steep = Refusal(code="steep", along="stance", fails=steep, group=np.array([0, 1, 1]))
    >>> failed([steep], np.array([True, True, True]), 40, 5)
    {'steep': 200}
    """
    found: dict[str, int] = {}
    for refusal in refusals:
        each = {"stance": fronts * seats, "front": seats, "seat": fronts}[refusal.along]
        rows = refusal.fails.sum(axis=1)
        count = int(rows[refusal.group[considered]].sum()) * each
        if count:
            found[refusal.code] = found.get(refusal.code, 0) + count
    return found
