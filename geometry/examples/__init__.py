"""Invented frames, builds, riders and sizes, which doctests, tests and calibration build on."""

from geometry.examples.fitting import STYLES, TRAIL, example_grid
from geometry.examples.trail_bike import trail_build, trail_cockpit, trail_fork, trail_hardtail

__all__ = [
    "STYLES",
    "TRAIL",
    "example_grid",
    "trail_build",
    "trail_cockpit",
    "trail_fork",
    "trail_hardtail",
]
