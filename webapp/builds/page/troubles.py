"""Checks that are not clear, each shown at the choice it concerns."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace

from webapp.builds.fitting.checks import places_of
from webapp.builds.fitting.sentences import WordedCheck
from webapp.builds.page.check_view import CheckLine, RemedyLink, key_of
from webapp.common.text.language import tr

Troubles = Mapping[str, tuple[CheckLine, ...]]
"""Checks that are not clear, by the place or the step they are shown at."""

_STEPS = (
    ("drive.axle_position", "axle"),
    ("load.", "load"),
    ("extra.", "extras"),
    ("offered.extra.", "extras"),
    ("bottle.", "extras"),
)
"""Beginnings of codes that are shown at a step and not at a part."""


def troubles_of(
    checks: Iterable[WordedCheck],
    lines: Iterable[CheckLine],
    places: Collection[str],
    *,
    mended: bool,
) -> Troubles:
    """Every line of a check that is not clear, at the place where changing it is likeliest.

    Parameters
    ----------
    checks : iterable of WordedCheck
        Of one build.
    lines : iterable of CheckLine
        Those of them that are not clear, printed.
    places : collection of str
        Where something can be chosen.
    mended : bool
        Whether several changes together are known that make everything fit; where no single one
        helps, a link leads to them.

    Returns
    -------
    mapping of place or step to tuple of CheckLine
    """
    code_of = {key_of(check.code): check.code for check in checks}
    found: dict[str, list[CheckLine]] = {}
    for line in lines:
        told = replace(line, ways=(_TOGETHER,)) if mended and _lost(line) else line
        found.setdefault(place_of_check(code_of[line.key], places), []).append(told)
    return {at: tuple(told) for at, told in found.items()}


def _lost(line: CheckLine) -> bool:
    return line.outcome == "no" and not line.ways


_TOGETHER = RemedyLink(words=tr("Changes that make everything fit"), address="#h-failing")


def place_of_check(code: str, places: Collection[str]) -> str:
    """The place or step at which a check is shown; empty where it belongs to none.

    >>> place_of_check("tyre.rim.front", ["tyre_front", "rim_front"])
    'tyre_front'
    >>> place_of_check("load.rider", [])
    'load'
    """
    step = next((step for start, step in _STEPS if code.startswith(start)), "")
    return step or next((place for place in places_of(code) if place in places), "")
