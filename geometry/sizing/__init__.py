"""Which size suits a body: the length its chart and posture ask for, what each size gives
as it is sold, what changes make of it, the chances of each, and what to measure next.
"""

from geometry.sizing.answer import (
    DRAWS,
    QUANTILES,
    SEED,
    Code,
    Fit,
    Fits,
    Outcome,
    Reason,
    SizeFit,
    Spreads,
    Verdict,
    size_up,
)
from geometry.sizing.check import (
    GROWTH,
    FitCheck,
    backward,
    check_fit,
    growing,
    in_range,
    size_by_chart,
)
from geometry.sizing.evidence import SAYS_RIGHT, Learned, RightPosition, learn, length_given
from geometry.sizing.judging import NONE, Judged, judge, near_enough
from geometry.sizing.length import Needs, Run, asked_length, needed, run_of, usual_bodies
from geometry.sizing.next_measurement import (
    QUESTIONS,
    NextMeasurement,
    next_measurements,
    simulated_reading,
)
from geometry.sizing.posture_figures import Postures, postures
from geometry.sizing.remedies import MoreThanShortest, OneNumberEach, RisingStatures
from geometry.sizing.rules import FIGURES, FitRules
from geometry.sizing.sold import SizeChart, SoldSizes
from geometry.sizing.swaps import Cockpits, farthest, gains, least_swap

__all__ = [
    "DRAWS",
    "FIGURES",
    "GROWTH",
    "NONE",
    "QUANTILES",
    "QUESTIONS",
    "SAYS_RIGHT",
    "SEED",
    "Cockpits",
    "Code",
    "Fit",
    "FitCheck",
    "FitRules",
    "Fits",
    "Judged",
    "Learned",
    "MoreThanShortest",
    "Needs",
    "NextMeasurement",
    "OneNumberEach",
    "Outcome",
    "Postures",
    "Reason",
    "RightPosition",
    "RisingStatures",
    "Run",
    "SizeChart",
    "SizeFit",
    "SoldSizes",
    "Spreads",
    "Verdict",
    "asked_length",
    "backward",
    "check_fit",
    "farthest",
    "gains",
    "growing",
    "in_range",
    "judge",
    "learn",
    "least_swap",
    "length_given",
    "near_enough",
    "needed",
    "next_measurements",
    "postures",
    "run_of",
    "simulated_reading",
    "size_by_chart",
    "size_up",
    "usual_bodies",
]
