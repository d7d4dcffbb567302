"""Every size with every fork, wheel pair, axle position and state in one call, figure for
figure the same as one build at a time.
"""

from geometry.matrix.axes import AxlePositions, Forks, Sizes, WheelPairs
from geometry.matrix.solving import BuildIndex, Matrix, solve_matrix

__all__ = [
    "AxlePositions",
    "BuildIndex",
    "Forks",
    "Matrix",
    "Sizes",
    "WheelPairs",
    "solve_matrix",
]
