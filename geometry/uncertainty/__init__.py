"""How sure a figure is, from the tolerances of what goes into it, and why it is what it is:
formula, terms and sensitivities.
"""

from geometry.uncertainty.capability_index import FEWEST, Capability, capability
from geometry.uncertainty.explanation import (
    Explanation,
    Influence,
    Term,
    explain,
    explain_all,
)
from geometry.uncertainty.interval import Interval, intervals
from geometry.uncertainty.printing import printed
from geometry.uncertainty.tolerance import (
    Figures,
    Kind,
    Sensitivities,
    Tolerance,
    Tolerances,
    applying,
    sensitivities,
    standard_deviation,
)

__all__ = [
    "FEWEST",
    "Capability",
    "Explanation",
    "Figures",
    "Influence",
    "Interval",
    "Kind",
    "Sensitivities",
    "Term",
    "Tolerance",
    "Tolerances",
    "applying",
    "capability",
    "explain",
    "explain_all",
    "intervals",
    "printed",
    "sensitivities",
    "standard_deviation",
]
