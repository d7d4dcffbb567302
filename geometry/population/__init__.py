"""Sizes and many riders: which people the sizes fit, how a change affects them, how many of
each size to make, and what the riders' own verdicts say of the builder's numbers.
"""

from geometry.population.batch import (
    MOST_FRAMES,
    BatchCosts,
    BatchSplit,
    SplitSize,
    belief_in_shares,
    split_batch,
)
from geometry.population.change import GroupShift, Shift, shift, shifts_by_group
from geometry.population.forecasts import ForecastBin, reliability
from geometry.population.learning import (
    Learnt,
    Posterior,
    Verdicts,
    learn,
    still_needed,
    verdict_chances,
)
from geometry.population.moved_chart import chart_moves
from geometry.population.people import People, draw_people
from geometry.population.remedies import MoreThanLowLimit, SamePeople, WeightsOfOne
from geometry.population.rides import (
    LEARNT_WINDOWS,
    Ride,
    line_numbers,
    line_verdicts,
    ride_of,
    window_number,
    window_verdicts,
)
from geometry.population.served import Cell, Coverage, Served, SizeShare, cells, coverage, serve

__all__ = [
    "LEARNT_WINDOWS",
    "MOST_FRAMES",
    "BatchCosts",
    "BatchSplit",
    "Cell",
    "Coverage",
    "ForecastBin",
    "GroupShift",
    "Learnt",
    "MoreThanLowLimit",
    "People",
    "Posterior",
    "Ride",
    "SamePeople",
    "Served",
    "Shift",
    "SizeShare",
    "SplitSize",
    "Verdicts",
    "WeightsOfOne",
    "belief_in_shares",
    "cells",
    "chart_moves",
    "coverage",
    "draw_people",
    "learn",
    "line_numbers",
    "line_verdicts",
    "reliability",
    "ride_of",
    "serve",
    "shift",
    "shifts_by_group",
    "split_batch",
    "still_needed",
    "verdict_chances",
    "window_number",
    "window_verdicts",
]
