"""Figures ready to print, their names, and the text equivalent of a drawing."""

from __future__ import annotations

import math
from collections.abc import Mapping

from geometry.bike import Hands, Seated, Standing
from webapp.common.text.language import tr
from webapp.common.text.units import LengthUnit, format_length, number
from webapp.drawing.dimensioning.dimensions import Figure

NAMES: dict[str, str] = {
    "wheelbase": tr("wheelbase"),
    "rear_centre": tr("rear centre"),
    "front_centre": tr("front centre"),
    "chainstay_length": tr("chainstay"),
    "reach": tr("reach"),
    "stack": tr("stack"),
    "head_angle": tr("head angle"),
    "seat_tube_angle": tr("seat tube angle"),
    "effective_seat_angle": tr("effective seat angle"),
    "bb_height": tr("BB height"),
    "bb_drop": tr("BB drop"),
    "trail": tr("trail"),
    "standover": tr("standover"),
    "saddle_height": tr("saddle height"),
    "grips_to_rear_axle": tr("grips to rear axle"),
    "axle_to_crown": tr("axle to crown"),
}
"""Every figure a drawing can show, in the order its words give them."""

_SHORT = {"effective_seat_angle": tr("seat angle"), "seat_tube_angle": tr("seat angle")}
"""Names as lettered where the drawing itself shows which is meant."""

_ANGLES = frozenset({"head_angle", "seat_tube_angle", "effective_seat_angle"})
_STANDING = (
    "wheelbase",
    "rear_centre",
    "front_centre",
    "chainstay_length",
    "reach",
    "stack",
    "head_angle",
    "bb_height",
    "bb_drop",
    "trail",
)
_PLACES: dict[LengthUnit, int] = {"mm": 1, "cm": 1, "in": 2}
_UNITS: dict[LengthUnit, str] = {"mm": "millimetres", "cm": "centimetres", "in": "inches"}


def standard_figures(
    standing: Standing,
    *,
    hands: Hands | None = None,
    seated: Seated | None = None,
    saddle_height: float | None = None,
    standover: float | None = None,
    axle_to_crown: float | None = None,
) -> dict[str, float]:
    """The figures of a build that its drawing shows, by key [mm, deg].

    Parameters
    ----------
    standing : Standing
        The build on the ground; one build.
    hands, seated : optional
        Bar and saddle; without them their figures are left out.
    saddle_height : float, optional [mm]
        As set, BB centre to saddle top.
    standover : float, optional [mm]
        At the place the builder states.
    axle_to_crown : float, optional [mm]
        Of the fork, along the steering axis, in the state drawn.

    Returns
    -------
    dict of str to float
        Keys of `NAMES`.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> from geometry.bike import stand
    >>> round(standard_figures(stand(trail_build()))["reach"])
    470
    """
    found = {key: float(getattr(standing, key)) for key in _STANDING}
    if seated is None:
        found["seat_tube_angle"] = float(standing.seat_tube_angle)
    else:
        found["effective_seat_angle"] = float(seated.effective_seat_angle)
    if hands is not None:
        found["grips_to_rear_axle"] = float(hands.to_rear_axle)
    given = {
        "saddle_height": saddle_height,
        "standover": standover,
        "axle_to_crown": axle_to_crown,
    }
    return found | {key: float(value) for key, value in given.items() if value is not None}


def printed(key: str, value: float, unit: LengthUnit = "mm", *, whole: bool = False) -> str:
    """A figure as it stands on a drawing: whole millimetres, angles to a tenth.

    Parameters
    ----------
    key : str
        Of `NAMES`.
    value : float [mm or deg]
    unit : {"mm", "cm", "in"}
        The reader's.
    whole : bool
        Whole millimetres, halves upwards, where there is no room for more.

    Returns
    -------
    str
        Without the unit, which the drawing states once.

    Examples
    --------
    >>> printed("reach", 453.4), printed("head_angle", 68.03), printed("reach", 452.4, "in")
    ('453.4', '68.0°', '17.81')
    >>> printed("reach", 442.5), printed("reach", 442.0)
    ('442.5', '442')
    >>> printed("reach", 442.5, whole=True)
    '443'
    """
    if key in _ANGLES:
        return f"{number(value, 1)}°"
    if whole and unit == "mm":
        return number(math.floor(value + 0.5), 0)
    shown = format_length(value, unit, _PLACES[unit]).removesuffix(f" {unit}")
    # As the table prints it, so that no two figures of one length differ.
    return shown.removesuffix(".0") if unit == "mm" else shown


def figures_of(
    values: Mapping[str, float], unit: LengthUnit, *, whole: bool = False
) -> dict[str, Figure]:
    """Printed figures by key, in the order of `NAMES`; unknown keys raise KeyError."""
    for key in values:
        NAMES[key]
    return {
        key: Figure(key, _SHORT.get(key, name), printed(key, values[key], unit, whole=whole))
        for key, name in NAMES.items()
        if key in values
    }


def in_words(values: Mapping[str, float], unit: LengthUnit = "mm") -> str:
    """All figures of a side elevation as sentences.

    Parameters
    ----------
    values : mapping of str to float [mm or deg]
        Keys of `NAMES`.
    unit : {"mm", "cm", "in"}
        The reader's.

    Returns
    -------
    str

    Examples
    --------
    >>> in_words({"reach": 453.4, "head_angle": 68.0})
    'Side elevation from the drive side, front to the right.
    Lengths in millimetres: reach 453.4. Angles: head angle 68.0°.'
    """
    return printed_in_words(figures_of(values, unit), unit)


def printed_in_words(shown: Mapping[str, Figure], unit: LengthUnit) -> str:
    """Printed figures, as `figures_of` has them, as `in_words` says them."""
    lengths = [f"{NAMES[key]} {f.value}" for key, f in shown.items() if key not in _ANGLES]
    angles = [f"{NAMES[key]} {f.value}" for key, f in shown.items() if key in _ANGLES]
    said = [tr("Side elevation from the drive side, front to the right.")]
    if lengths:
        said.append(
            tr("Lengths in {unit}: {lengths}.", unit=_UNITS[unit], lengths=", ".join(lengths))
        )
    if angles:
        said.append(tr("Angles: {angles}.", angles=", ".join(angles)))
    return " ".join(said)
