"""Numbers compared with one another: a built bike with its drawing, and a published table with
itself.
"""

from geometry.verify.bench_causes import Cause, Estimate, Explanation
from geometry.verify.bench_next import Telling, next_reading
from geometry.verify.bench_plan import Plan, observed
from geometry.verify.bench_readings import Gauge
from geometry.verify.bench_result import (
    BenchReport,
    Compared,
    Contradiction,
    Reading,
    Verdict,
    bench_check,
)
from geometry.verify.relations import RELATIONS, Relation
from geometry.verify.remedies import CausesToTellApart, FigureOfDrawing, PlaceOfStandover
from geometry.verify.table_check import Finding, Mend, TableCheck, check_table
from geometry.verify.table_check_size import DrawnSize, What

__all__ = [
    "RELATIONS",
    "BenchReport",
    "Cause",
    "CausesToTellApart",
    "Compared",
    "Contradiction",
    "DrawnSize",
    "Estimate",
    "Explanation",
    "FigureOfDrawing",
    "Finding",
    "Gauge",
    "Mend",
    "PlaceOfStandover",
    "Plan",
    "Reading",
    "Relation",
    "TableCheck",
    "Telling",
    "Verdict",
    "What",
    "bench_check",
    "check_table",
    "next_reading",
    "observed",
]
