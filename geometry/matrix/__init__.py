"""Every size with every fork, wheel pair, axle position and state in one call, figure for
figure the same as one build at a time.
"""

from geometry.matrix.axes import AxlePositions, Forks, Sizes, WheelPairs
from geometry.matrix.remedies import BothCoordinates, BuildThatStands, ShareOfSlot
from geometry.matrix.solving import BuildIndex, Matrix, solve_matrix

__all__ = [
    "AxlePositions",
    "BothCoordinates",
    "BuildIndex",
    "BuildThatStands",
    "Forks",
    "Matrix",
    "ShareOfSlot",
    "Sizes",
    "WheelPairs",
    "solve_matrix",
]
