"""How many slips of a table are found, how often the first mend is the right one, and how
often a table that is rightly rounded is faulted."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.verify import DrawnSize, check_table
from geometry.verify.table_check_size import cases
from geometry.verify.table_mends import numbers_of
from geometry.verify.table_slips import Numbers
from tests.geometry.verify.invented_tables import Kind, cells, errors_of, invented, slipped


@dataclass
class Rates:
    """Counts of one kind of table.

    ``beyond`` are the slips that move a comparison by more than twice what the printed
    steps of all its values can do together, its run along the sizes among them.
    """

    right_tables: int = 0
    false_alarms: int = 0
    injected: int = 0
    injected_found: int = 0
    beyond: int = 0
    found: int = 0
    mended: int = 0


def rates(kind: Kind, *, tables: int, every: int, seed: int) -> Rates:
    """Count right tables, and one in so many slips of one table."""
    rng, rate = np.random.default_rng(seed), Rates()
    for _ in range(tables):
        rate.right_tables += 1
        rate.false_alarms += bool(check_table(invented(kind, rng)).findings)
    sizes = invented(kind, rng)
    numbers = numbers_of(cases(sizes), at=tuple(map(float, range(kind.sizes)))).every
    slips = [(place, key, by) for place, key in cells(kind) for by in errors_of(key)]
    for place, key, by in slips[seed % every :: every]:
        _count(rate, sizes, place, key, by, is_beyond=_beyond(numbers, place, key, by))
    return rate


def _count(
    rate: Rates, sizes: list[DrawnSize], place: int, key: str, by: float, *, is_beyond: bool
) -> None:
    findings = check_table(slipped(sizes, place, key, by)).findings
    seen = any(one.size == sizes[place].name for one in findings)
    mends = findings[0].mends if findings else ()
    rate.injected += 1
    rate.injected_found += seen
    if is_beyond:
        rate.beyond += 1
        rate.found += seen
        rate.mended += bool(mends) and (mends[0].size, mends[0].key) == (sizes[place].name, key)


def _beyond(numbers: Numbers, place: int, key: str, by: float) -> bool:
    """Whether a slip moves something by more than twice the rounding of all its inputs."""
    column = numbers.keys.index(key)
    slopes, half = numbers.slopes[place], numbers.halves[column]
    together = (np.abs(slopes) * numbers.halves).sum(axis=1)
    if np.any(np.abs(slopes[:, column] * by) > 2 * together):
        return True
    # Against the mean of its two neighbours, or the line through the next two: 2 and 4 halves.
    at_an_end = place in (0, len(numbers.values) - 1)
    return bool(abs(by) > 2 * (4 if at_an_end else 2) * half + 1e-9)
