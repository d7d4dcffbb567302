"""Invented frames, builds, riders and sizes, which doctests, tests and calibration build on."""

from geometry.examples.fitting import RULES, TRAIL, example_cockpits, example_run, example_sizes
from geometry.examples.trail_bike import trail_build, trail_cockpit, trail_fork, trail_hardtail

__all__ = [
    "RULES",
    "TRAIL",
    "example_cockpits",
    "example_run",
    "example_sizes",
    "trail_build",
    "trail_cockpit",
    "trail_fork",
    "trail_hardtail",
]
