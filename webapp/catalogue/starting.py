"""What a new shop begins with: neutral settings and one riding style, nothing to sell.

Common practice, to be reviewed and changed in the office; no builder's choice is in it.
"""

from __future__ import annotations

from typing import Any

from sqlmodel import Session

from webapp.catalogue.reading.shop_name import PROGRAM
from webapp.catalogue.writing.shop import put_settings, put_style
from webapp.common.text.language import tr

FIRST_MAIL = "builder@shop.invalid"
"""Mail address of a new shop until it has its own (RFC 2606: no mail is delivered there)."""

SETTINGS: dict[str, Any] = {
    "letterhead": {"name": PROGRAM, "lines": [], "email": FIRST_MAIL},
    "tax_name": tr("Tax"),
    "tax_percent": "0",
    "deposit_percent": "30",
    "quote_valid_days": 30,
    "lead_time_weeks": 12,
    "cautions": [
        tr(
            "This sheet is a guide. The limits stated by the builder and the part makers, local "
            "law and a trained mechanic come first."
        ),
        tr(
            "Before the first ride a trained mechanic checks on the bike itself: all torques, the "
            "insertion of the post, the axles, brakes, chain or belt, and the room around both "
            "tyres."
        ),
    ],
    "fit_notice": tr(
        "Fit advice is about bicycle sizes and is not medical advice. With pain or after an "
        "injury, ask a qualified bike fitter or a clinician."
    ),
}

STYLE = "general"
WINDOWS: dict[str, Any] = {
    "trunk_angle": {"low": 45, "high": 72, "weight": 0.5},
    "elbow_flexion": {"low": 8, "high": 42, "weight": 0.5},
    "shoulder_angle": {"low": 45, "high": 63, "weight": 1},
    "bar_above_saddle": {"low": -100, "high": 110, "weight": 0.25},
    "standing_trunk_angle": {"low": 28, "high": 53, "weight": 1},
    "standing_elbow_flexion": {"low": 35, "high": 88, "weight": 0.25},
    "grips_to_rear_axle": {"low": 740, "high": 960, "weight": 0},
    "stem_departure": {"low": -15, "high": 15, "weight": 4},
    "straddle_room_least": 40,
    "straddle_room_clear": 60,
    "knee_flexion": 30,
    "saddle_tolerance": 5,
    "standing_hip_behind": 150,
    "standing_knee_flexion": 35,
}
"""Windows of common practice, wide enough for most ways of riding."""


def begin_shop(session: Session, *, who: str) -> None:
    """Give an empty catalogue what a shop needs before its builder says anything.

    Parameters
    ----------
    session : Session
        A writing session.
    who : str
    """
    put_settings(session, who=who, data=SETTINGS)
    put_style(session, who=who, slug=STYLE, name=tr("Everyday riding"), position=0, windows=WINDOWS)
