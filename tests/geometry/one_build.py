"""The axes of a matrix that holds one build, to be varied by the tests of the matrix."""

from __future__ import annotations

from typing import Any

from geometry.examples.trail_bike import trail_fork, trail_hardtail
from geometry.matrix.axes import AxlePositions, Forks, Sizes, WheelPairs

Axes = dict[str, Any]
"""Arguments of `geometry.matrix.solving.solve_matrix`."""


def one_build(**changed: Any) -> Axes:
    """Axes of one trail hardtail, with others in their place where named."""
    axes = {
        "sizes": Sizes(frame=trail_hardtail()),
        "forks": Forks(fork=trail_fork(), lower_headset_stack=12.0, sag=25.0),
        "wheels": WheelPairs(front_radius=370.0, rear_radius=370.0),
        "positions": AxlePositions(),
    }
    return {**axes, **changed}
