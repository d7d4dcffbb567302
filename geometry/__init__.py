"""Bicycle geometry: every figure of one exact build, computed and never looked up.

Lengths are millimetres, angles degrees, masses kilograms, forces newtons at
every public edge. Side view from the drive side: x forward, y up, z to the
rider's right, origin at the bottom bracket (BB) centre; a positive rotation
lifts the front. One function serves one build and arrays of builds. The package
needs NumPy and the standard library only, and touches no file, database or web.

What most uses need is exported here; each package below (`geometry.bike.whole_bike`,
`geometry.drive` and so on) exports the rest of its topic.

Examples
--------
>>> from geometry import Build
>>> from geometry import stand
>>> from geometry.examples import trail_fork, trail_hardtail
>>> build = Build(
...     frame=trail_hardtail(),
...     fork=trail_fork(),
...     lower_headset_stack=12.0,
...     front_radius=370.0,
...     rear_radius=370.0,
... )
>>> round(stand(build).bb_height, 1)
304.0
"""

from geometry.bike import (
    Bike,
    Build,
    Cockpit,
    DrawnWith,
    Fork,
    Frame,
    Handlebar,
    Hands,
    Seat,
    Seated,
    Standing,
    State,
    Stem,
    TopTube,
    closure,
    figures,
    hands,
    seated,
    stand,
    standover,
)
from geometry.checks import Check
from geometry.core import ContradictoryInput, GeometryError, InvalidInput, NoSolution
from geometry.glossary import entry
from geometry.matrix import solve_matrix
from geometry.rider import Measurement, PostureWindows, Window, condition, linkage
from geometry.sizing import size_up
from geometry.uncertainty import Tolerance, explain, intervals
from geometry.verify import bench_check, check_table

__all__ = [
    "Bike",
    "Build",
    "Check",
    "Cockpit",
    "ContradictoryInput",
    "DrawnWith",
    "Fork",
    "Frame",
    "GeometryError",
    "Handlebar",
    "Hands",
    "InvalidInput",
    "Measurement",
    "NoSolution",
    "PostureWindows",
    "Seat",
    "Seated",
    "Standing",
    "State",
    "Stem",
    "Tolerance",
    "TopTube",
    "Window",
    "bench_check",
    "check_table",
    "closure",
    "condition",
    "entry",
    "explain",
    "figures",
    "hands",
    "intervals",
    "linkage",
    "seated",
    "size_up",
    "solve_matrix",
    "stand",
    "standover",
]
