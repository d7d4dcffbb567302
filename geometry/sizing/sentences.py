"""Sizing in words: reasons, differences and a summary, each with its figure.

Texts are plain English with rounded millimetres and degrees; the exact figure and
its unit travel beside each text, so that a page may say it in other units.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from geometry.rider import PostureWindows, Window

Outcome = Literal["clear", "tight", "no"]
Unit = Literal["mm", "°"]

SMALL: Mapping[Unit, float] = {"mm": 3.0, "°": 1.0}
"""Smaller differences are not felt and go unmentioned."""

NEGLIGIBLE = 0.5
"""A post that misses by less is as good as right [mm]."""


@dataclass(frozen=True)
class SizeFigures:
    """Figures of one body on one size with one cockpit.

    Parameters
    ----------
    size : str
        Name.
    cockpit : int
        Which cockpit of the grid, from 0.
    posture : mapping of str to float
        Figures by the name of their window [° or mm].
    distance : float
        From the windows, see `geometry.sizing.distance.posture_distance` [1].
    reachable : bool
        Whether the arms reach the grips at all.
    reach_surplus : float
        Grips ahead of where they would suit the middle of the windows [mm].
    saddle_height, saddle_miss : float
        Wanted height, and how far the post misses it [mm].
    straddle_room : float
        Over the top tube, shod [mm].
    """

    size: str
    cockpit: int
    posture: Mapping[str, float]
    distance: float
    reachable: bool
    reach_surplus: float
    saddle_height: float
    saddle_miss: float
    straddle_room: float


@dataclass(frozen=True)
class Reason:
    """One reason for or against a size.

    Parameters
    ----------
    code : str
        What it is about; a figure's name or a check's.
    text : str
        In plain words, without a full stop.
    value : float
        The figure [unit].
    unit : {'mm', '°'}
        Unit of the figure.
    outcome : {'clear', 'tight', 'no'}
        How grave it is.
    """

    code: str
    text: str
    value: float
    unit: Unit
    outcome: Outcome


WINDOW_WORDS: Mapping[str, tuple[Unit, str, str]] = {
    "trunk_angle": ("°", "leans {} further forward than {}", "sits {} more upright than {}"),
    "elbow_flexion": ("°", "arms {} straighter than {}", "elbows {} more bent than {}"),
    "shoulder_angle": ("°", "hands {} closer in than {}", "hands {} further out than {}"),
    "bar_above_saddle": ("mm", "grips {} lower than {}", "grips {} higher than {}"),
    "standing_trunk_angle": (
        "°",
        "standing, leans {} further forward than {}",
        "standing, {} more upright than {}",
    ),
    "standing_elbow_flexion": (
        "°",
        "standing, arms {} straighter than {}",
        "standing, elbows {} more bent than {}",
    ),
    "grips_to_rear_axle": (
        "mm",
        "grips {} nearer the rear axle than {}",
        "grips {} further from the rear axle than {}",
    ),
    "stem_departure": ("mm", "stem {} shorter than {}", "stem {} longer than {}"),
}
"""For each window: unit, words below it, words above it; first the amount, then
what it is compared with."""


def amount(value: float, unit: Unit) -> str:
    """A figure rounded for reading, without its sign.

    Parameters
    ----------
    value : float
        [mm] or [°].
    unit : {'mm', '°'}
        Which of them.

    Returns
    -------
    str

    Examples
    --------
    >>> amount(-20.6, "mm"), amount(3.4, "°")
    ('21 mm', '3°')
    """
    space = "" if unit == "°" else " "
    return f"{abs(value):.0f}{space}{unit}"


def straddle_outcome(room: float, windows: PostureWindows) -> Outcome:
    """Whether there is room to stand over the top tube.

    Parameters
    ----------
    room : float
        Over the top tube, shod [mm].
    windows : PostureWindows
        Least and clear room.

    Returns
    -------
    {'clear', 'tight', 'no'}

    Examples
    --------
    >>> from geometry.examples import TRAIL
    >>> [straddle_outcome(room, TRAIL) for room in (40.0, 60.0, 80.0)]
    ['no', 'tight', 'clear']
    """
    if room < windows.straddle_room_least:
        return "no"
    return "tight" if room < windows.straddle_room_clear else "clear"


def post_outcome(miss: float, windows: PostureWindows) -> Outcome:
    """Whether some post brings the saddle to the rider's height.

    Parameters
    ----------
    miss : float
        Wanted height beyond the posts' range [mm].
    windows : PostureWindows
        Tolerance.

    Returns
    -------
    {'clear', 'tight', 'no'}

    Examples
    --------
    >>> from geometry.examples import TRAIL
    >>> [post_outcome(miss, TRAIL) for miss in (0.0, 4.0, -9.0)]
    ['clear', 'tight', 'no']
    """
    if abs(miss) > windows.saddle_tolerance:
        return "no"
    return "clear" if abs(miss) < NEGLIGIBLE else "tight"


def reasons(figures: SizeFigures, windows: PostureWindows) -> tuple[Reason, ...]:
    """Why a size suits or does not, the gravest first.

    Parameters
    ----------
    figures : SizeFigures
        Of the expected body.
    windows : PostureWindows
        The riding style's windows.

    Returns
    -------
    tuple of Reason
        Never empty: reach and straddle room are always told.

    Examples
    --------
    >>> from geometry.examples import TRAIL
    >>> middles = {name: getattr(TRAIL, name).middle for name in WINDOW_WORDS}
    >>> stretched = SizeFigures(
    ...     "L", 0, {**middles, "trunk_angle": 45.0}, 10.4, True, 21.2, 750.0, 0.0, 85.0)
    >>> for reason in reasons(stretched, TRAIL):
    ...     print(reason.outcome, reason.text)
    no leans 3° further forward than trail asks
    clear stretched by 21 mm against the middle of what trail asks
    clear 85 mm of room over the top tube
    """
    found = [*_window_reasons(figures, windows), _reach(figures, windows), _room(figures, windows)]
    if post_outcome(figures.saddle_miss, windows) != "clear":
        found.append(_post(figures.saddle_miss, windows))
    if not figures.reachable:
        text = "the arms do not reach the grips"
        found.append(Reason("reachable", text, figures.reach_surplus, "mm", "no"))
    gravity = ("no", "tight", "clear")
    return tuple(sorted(found, key=lambda reason: gravity.index(reason.outcome)))


def _window_reasons(figures: SizeFigures, windows: PostureWindows) -> list[Reason]:
    """One reason for each weighted figure outside its window."""
    found = []
    for name, (unit, below, above) in WINDOW_WORDS.items():
        window: Window = getattr(windows, name)
        value = figures.posture[name]
        if window.weight > 0.0 and not window.low <= value <= window.high:
            words, edge = (below, window.low) if value < window.low else (above, window.high)
            text = words.format(amount(value - edge, unit), f"{windows.style} asks")
            found.append(Reason(name, text, value, unit, "no"))
    return found


def _reach(figures: SizeFigures, windows: PostureWindows) -> Reason:
    """Grips too far ahead or too near, in millimetres."""
    surplus = figures.reach_surplus
    word = "stretched" if surplus > 0.0 else "cramped"
    text = f"{word} by {amount(surplus, 'mm')} against the middle of what {windows.style} asks"
    if abs(surplus) < SMALL["mm"]:
        text = f"reach in the middle of what {windows.style} asks"
    return Reason("reach_surplus", text, surplus, "mm", "clear")


def _room(figures: SizeFigures, windows: PostureWindows) -> Reason:
    """Room over the top tube, in millimetres."""
    room = figures.straddle_room
    outcome = straddle_outcome(room, windows)
    text = f"{amount(room, 'mm')} of room over the top tube"
    if room < 0.0:
        text = f"the top tube is {amount(room, 'mm')} too high to stand over"
    if outcome != "clear":
        text += f"; at least {amount(windows.straddle_room_least, 'mm')} is asked"
    return Reason("straddle_room", text, room, "mm", outcome)


def _post(miss: float, windows: PostureWindows) -> Reason:
    """Post too short or unable to go low enough, in millimetres."""
    words = "the highest post ends {} below" if miss > 0.0 else "the lowest post ends {} above"
    text = words.format(amount(miss, "mm")) + " the saddle height"
    return Reason("saddle_miss", text, miss, "mm", post_outcome(miss, windows))


def differences(smaller: SizeFigures, larger: SizeFigures) -> tuple[Reason, ...]:
    """What the larger of two sizes feels like beside the smaller.

    Parameters
    ----------
    smaller, larger : SizeFigures
        The same body on both.

    Returns
    -------
    tuple of Reason
        One for each figure that differs enough to be felt.

    Examples
    --------
    >>> same = dict.fromkeys(WINDOW_WORDS, 50.0)
    >>> medium = SizeFigures("M", 0, same, 0.1, True, 0.0, 750.0, 0.0, 95.0)
    >>> large = SizeFigures(
    ...     "L", 0, {**same, "trunk_angle": 47.0}, 0.1, True, 0.0, 750.0, 0.0, 70.0)
    >>> [reason.text for reason in differences(medium, large)]
    ['leans 3° further forward than on M', '25 mm less room over the top tube than on M']
    """
    found = []
    for name, (unit, below, above) in WINDOW_WORDS.items():
        change = larger.posture[name] - smaller.posture[name]
        if abs(change) >= SMALL[unit]:
            words = below if change < 0.0 else above
            text = words.format(amount(change, unit), f"on {smaller.size}")
            found.append(Reason(name, text, change, unit, "clear"))
    room = larger.straddle_room - smaller.straddle_room
    if abs(room) >= SMALL["mm"]:
        word = "less" if room < 0.0 else "more"
        text = f"{amount(room, 'mm')} {word} room over the top tube than on {smaller.size}"
        found.append(Reason("straddle_room", text, room, "mm", "clear"))
    return tuple(found)


def summary(
    leading: Sequence[tuple[str, float]],
    *,
    none: float,
    figures: Sequence[SizeFigures],
    windows: PostureWindows,
) -> str:
    """The answer in a sentence or two.

    Parameters
    ----------
    leading : sequence of (str, float)
        The size or two sizes and their chances [fraction]; empty when none suits.
    none : float
        Probability that no size is acceptable [fraction].
    figures : sequence of SizeFigures
        Every size, for the reason when none suits.
    windows : PostureWindows
        The riding style's windows.

    Returns
    -------
    str

    Examples
    --------
    >>> from geometry.examples import TRAIL
    >>> summary([("M", 0.84)], none=0.01, figures=(), windows=TRAIL)
    'M, 84 in 100.'
    >>> summary([("M", 0.48), ("L", 0.41)], none=0.11, figures=(), windows=TRAIL)
    'Between M, 48 in 100, and L, 41 in 100. In 11 of 100 none of these sizes would suit.'
    """
    if not leading:
        return f"None of these sizes. {_why_none(figures, windows)}"
    told = [f"{size}, {100.0 * chance:.0f} in 100" for size, chance in leading]
    text = f"{told[0]}." if len(told) == 1 else f"Between {', and '.join(told)}."
    if none >= NONE_TOLD:
        text += f" In {100.0 * none:.0f} of 100 none of these sizes would suit."
    return text


NONE_TOLD = 0.05
"""From here on the chance that no size suits is part of the summary [1]."""


def _why_none(figures: Sequence[SizeFigures], windows: PostureWindows) -> str:
    """Why no size suits: straddle room, post, or posture."""
    room = max(each.straddle_room for each in figures)
    misses = [each.saddle_miss for each in figures]
    if straddle_outcome(room, windows) == "no":
        least = amount(windows.straddle_room_least, "mm")
        have = f"leaves {amount(room, 'mm')}" if room >= 0.0 else "leaves no room"
        return f"The lowest top tube {have} to stand over it; at least {least} is asked."
    if all(post_outcome(miss, windows) == "no" for miss in misses):
        nearest = min(misses, key=abs)
        return f"{_post(nearest, windows).text.capitalize()}."
    return f"On every size something leaves what {windows.style} asks."
