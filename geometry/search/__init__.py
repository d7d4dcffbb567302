"""The build nearest to a position among all possible ones: exact, without computing each of
them, since the stance depends on few parts and cockpit and seat are rigid in the frame.
"""

from geometry.search.best_trades import trades
from geometry.search.counting import combinations, failed
from geometry.search.parts import Fronts, Package, Refusal, Seats, Stances, Sum
from geometry.search.ranking import Bounds, Found, Search, Target
from geometry.search.remedies import LeastBelowMost, StancesBySeats

__all__ = [
    "Bounds",
    "Found",
    "Fronts",
    "LeastBelowMost",
    "Package",
    "Refusal",
    "Search",
    "Seats",
    "Stances",
    "StancesBySeats",
    "Sum",
    "Target",
    "combinations",
    "failed",
    "trades",
]
