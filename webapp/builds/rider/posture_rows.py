"""Posture of one rider on one build as rows for people, each beside its window."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from geometry.rider import PostureWindows, Window
from webapp.builds.rider.posture import RiderOnBuild
from webapp.common.text.language import tr
from webapp.common.text.units import number

_ROWS: tuple[tuple[str, str, str, str], ...] = (
    (
        "trunk_angle",
        tr("Trunk angle"),
        "°",
        tr("seated, hip to shoulder from the level; 90 is upright"),
    ),
    ("elbow_flexion", tr("Elbow"), "°", tr("seated, 0 is a straight arm")),
    ("shoulder_angle", tr("Shoulder"), "°", tr("seated, between trunk and upper arm")),
    ("knee_flexion", tr("Knee"), "°", tr("pedal at its lowest, 0 is a straight leg")),
    ("bar_above_saddle", tr("Grips above saddle"), "mm", tr("negative is below")),
    ("straddle_room", tr("Room over the top tube"), "mm", tr("standing over the bike in shoes")),
    ("standing_trunk_angle", tr("Trunk angle, standing"), "°", tr("on level pedals")),
    ("standing_elbow_flexion", tr("Elbow, standing"), "°", tr("on level pedals")),
    ("grips_to_rear_axle", tr("Grips to rear axle"), "mm", tr("level, seated and standing alike")),
)

POSTURE_NAMES: Mapping[str, tuple[str, str]] = {key: (name, unit) for key, name, unit, _ in _ROWS}
"""What each figure of a posture is called, and its unit."""

RIDDEN_MEANING: Mapping[str, tuple[str, str]] = {
    "trunk_angle": (
        tr("sit {} more upright: lighter hands, more wind"),
        tr("lean {} further forward: more weight on the hands, less wind"),
    ),
    "elbow_flexion": (
        tr("bend the elbows {} more: they take up more of the trail"),
        tr("ride with arms {} straighter: they take up less of the trail"),
    ),
    "shoulder_angle": (
        tr("reach {} further out from the trunk: stretched, tiring on a long day"),
        tr("hold the hands {} closer in: relaxed, less room to move"),
    ),
    "standing_trunk_angle": (
        tr("stand {} more upright: easy on the back, less weight on the front wheel"),
        tr("stand {} lower over the front: more grip in turns, harder on the back"),
    ),
    "standing_elbow_flexion": (
        tr("stand with elbows {} more bent: more give over rocks and drops"),
        tr("stand with arms {} straighter: less give over rocks and drops"),
    ),
}
"""What a larger and a smaller figure mean on the trail, after "you", with the amount."""

_LENGTHS: Mapping[str, tuple[str, str]] = {
    "bar_above_saddle": (
        tr("have the grips {} higher: easy on the neck, a light front wheel uphill"),
        tr("have the grips {} lower: a planted front wheel, harder on the neck"),
    ),
    "grips_to_rear_axle": (
        tr("have the grips {} further from the rear axle: steadier, slower to lift the front"),
        tr("have the grips {} nearer the rear axle: livelier, quicker to lift the front"),
    ),
}
_MEANING = {**RIDDEN_MEANING, **_LENGTHS}

KNEE_TOLERANCE = 5.0
"""Knee flexion this near the one wanted is as wanted [°]: Hamley and Thomas's 25 to 35°."""


@dataclass(frozen=True, kw_only=True)
class PostureRow:
    """One figure of a posture: printed, with its window and what that says of it.

    ``outcome`` is ``clear``, ``tight``, ``no``, or empty where the builder only shows it.
    """

    key: str
    name: str
    what: str
    shown: str
    unit: str
    window: str
    outcome: str
    verdict: str

    @property
    def verdict_kind(self) -> str:
        """What its verdict looks like."""
        return self.outcome or "shown"


def posture_rows(on: RiderOnBuild) -> tuple[PostureRow, ...]:
    """Every figure of a rider's posture on a build.

    Parameters
    ----------
    on : RiderOnBuild

    Returns
    -------
    tuple of PostureRow
        In the order: seated, over the top tube, standing.
    """
    return tuple(
        PostureRow(
            key=key,
            name=name,
            what=what,
            shown=number(on.figures[key], 0),
            unit=unit,
            window=_window_words(key, on.windows),
            outcome=(judged := _judged(key, on.figures, on.windows))[0],
            verdict=judged[1],
        )
        for key, name, unit, what in _ROWS
    )


def _window_words(key: str, windows: PostureWindows) -> str:
    if key == "straddle_room":
        return tr(
            "at least {straddle_room_least:.0f}", straddle_room_least=windows.straddle_room_least
        )
    window = _window(key, windows)
    return tr("{lowest} to {highest}", lowest=number(window.low, 0), highest=number(window.high, 0))


def _window(key: str, windows: PostureWindows) -> Window:
    if key == "knee_flexion":
        wanted = windows.knee_flexion
        return Window(wanted - KNEE_TOLERANCE, wanted + KNEE_TOLERANCE)
    found: Window = getattr(windows, key)
    return found


def _judged(key: str, figures: Mapping[str, float], windows: PostureWindows) -> tuple[str, str]:
    """Outcome of a figure, and the same in words."""
    value = figures[key]
    if key == "straddle_room":
        outcome = straddle_outcome(value, windows)
        return outcome, {"clear": tr("clear"), "tight": tr("tight"), "no": tr("too little")}[
            outcome
        ]
    window = _window(key, windows)
    if window.weight == 0.0:
        return "", tr("shown only")
    if window.low <= value <= window.high:
        return "clear", tr("inside")
    if key == "knee_flexion":
        return "no", tr("leg too straight") if value < window.low else tr("leg too bent")
    more, less = _MEANING[key]
    unit = " mm" if key in _LENGTHS else "°"
    words, edge = (less, window.low) if value < window.low else (more, window.high)
    return "no", tr("you {format}", format=words.format(f"{abs(value - edge):.0f}{unit}"))


def straddle_outcome(room: float, windows: PostureWindows) -> str:
    """Whether there is room to stand over the top tube: clear, tight or no."""
    if room < windows.straddle_room_least:
        return "no"
    return "tight" if room < windows.straddle_room_clear else "clear"
