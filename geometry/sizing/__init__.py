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
from geometry.sizing.check import FitCheck, check_fit
from geometry.sizing.evidence import Learned, RightPosition
from geometry.sizing.length import Needs, Run, asked_length, needed, run_of, usual_bodies
from geometry.sizing.next_measurement import NextMeasurement
from geometry.sizing.posture_figures import Postures, postures
from geometry.sizing.remedies import MoreThanShortest, OneNumberEach, RisingStatures
from geometry.sizing.rules import FIGURES, FitRules
from geometry.sizing.size_suitability import NONE, SizeSuitability, judge_sizes
from geometry.sizing.sold import SizeChart, SoldSizes
from geometry.sizing.swaps import Cockpits, farthest

__all__ = [
    "DRAWS",
    "FIGURES",
    "NONE",
    "QUANTILES",
    "SEED",
    "Cockpits",
    "Code",
    "Fit",
    "FitCheck",
    "FitRules",
    "Fits",
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
    "SizeSuitability",
    "SoldSizes",
    "Spreads",
    "Verdict",
    "asked_length",
    "check_fit",
    "farthest",
    "judge_sizes",
    "needed",
    "postures",
    "run_of",
    "size_up",
    "usual_bodies",
]
