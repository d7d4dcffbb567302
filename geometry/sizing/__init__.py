"""Which size suits a body: how far its posture on every size and cockpit is from the
builder's windows, the chances of each size, and what to measure next.
"""

from geometry.sizing.answer import SEED, Fit, SizeAnswer, Verdict, size_figures, size_up
from geometry.sizing.distance import Judgement, judge
from geometry.sizing.next_measurement import NextMeasurement
from geometry.sizing.posture_figures import CockpitGrid, Seating, seat
from geometry.sizing.sentences import (
    WINDOW_WORDS,
    Outcome,
    Reason,
    SizeFigures,
    Unit,
    amount,
    straddle_outcome,
)

__all__ = [
    "SEED",
    "WINDOW_WORDS",
    "CockpitGrid",
    "Fit",
    "Judgement",
    "NextMeasurement",
    "Outcome",
    "Reason",
    "Seating",
    "SizeAnswer",
    "SizeFigures",
    "Unit",
    "Verdict",
    "amount",
    "judge",
    "seat",
    "size_figures",
    "size_up",
    "straddle_outcome",
]
