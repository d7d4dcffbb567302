"""Where grips, saddle and axles of a bike are, from measurements with a tape or from published
numbers: the points, how sure they are, which measurements contradict each other, and what to
measure next.
"""

from geometry.position.contradictions import Suspect
from geometry.position.fixing import Fixed, fix_points, most_telling
from geometry.position.published import FIGURES, Number, Placed, place_published
from geometry.position.remedies import (
    AboveAxle,
    BelowSaddle,
    ClosesTriangle,
    CoversHeights,
    LessThanStraight,
    MoreThanBbDrop,
)
from geometry.position.tape import KINDS, LONGEST, UNKNOWNS, Measured

__all__ = [
    "FIGURES",
    "KINDS",
    "LONGEST",
    "UNKNOWNS",
    "AboveAxle",
    "BelowSaddle",
    "ClosesTriangle",
    "CoversHeights",
    "Fixed",
    "LessThanStraight",
    "Measured",
    "MoreThanBbDrop",
    "Number",
    "Placed",
    "Suspect",
    "fix_points",
    "most_telling",
    "place_published",
]
