"""Where the mass is, what each wheel carries of it, and when a wheel lifts."""

from geometry.loads.remedies import MassInAll, PointPerMass
from geometry.loads.statements import (
    FrontShare,
    LoadLess,
    NothingMore,
    Permitted,
    PermittedNotKnown,
    RiderForward,
)
from geometry.loads.wheel_loads import (
    Joints,
    Leg,
    Loading,
    Point,
    front_share_check,
    loading,
    mass_centre,
    permissible_check,
    rider_mass_centre,
)

__all__ = [
    "FrontShare",
    "Joints",
    "Leg",
    "LoadLess",
    "Loading",
    "MassInAll",
    "NothingMore",
    "Permitted",
    "PermittedNotKnown",
    "Point",
    "PointPerMass",
    "RiderForward",
    "front_share_check",
    "loading",
    "mass_centre",
    "permissible_check",
    "rider_mass_centre",
]
