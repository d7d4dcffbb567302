"""The rider: a body estimated from the little that is known, the linkage made of it, the
posture it takes, the windows a posture should lie in, joints and saddle height.
"""

from geometry.rider.body import (
    LANDMARKS,
    TOLD_STATURE_BIAS,
    TROUSERS_BELOW,
    Bodies,
    BodyModel,
    Landmark,
    Measurement,
    Sex,
    Way,
    fit_body_model,
    mean_bodies,
    measuring_error,
    standard_model,
    to_natural_scale,
)
from geometry.rider.body_estimate import BodyBelief, BodyCaution, CautionCode, condition
from geometry.rider.joints import RiderPoints, rider_points, seated_hip, standing_hip
from geometry.rider.posture import ArmPosture, reach_posture
from geometry.rider.remedies import AtLeastLeastRoom, HumanMeasure, MoreThanLowEdge, ShorterCranks
from geometry.rider.saddle_heights import (
    PostAxis,
    PublishedSaddleHeights,
    knee_flexion,
    published_saddle_heights,
    saddle_height,
)
from geometry.rider.segments import SHOE_SOLE, Linkage, linkage
from geometry.rider.windows import PostureWindows, Window

__all__ = [
    "LANDMARKS",
    "SHOE_SOLE",
    "TOLD_STATURE_BIAS",
    "TROUSERS_BELOW",
    "ArmPosture",
    "AtLeastLeastRoom",
    "Bodies",
    "BodyBelief",
    "BodyCaution",
    "BodyModel",
    "CautionCode",
    "HumanMeasure",
    "Landmark",
    "Linkage",
    "Measurement",
    "MoreThanLowEdge",
    "PostAxis",
    "PostureWindows",
    "PublishedSaddleHeights",
    "RiderPoints",
    "Sex",
    "ShorterCranks",
    "Way",
    "Window",
    "condition",
    "fit_body_model",
    "knee_flexion",
    "linkage",
    "mean_bodies",
    "measuring_error",
    "published_saddle_heights",
    "reach_posture",
    "rider_points",
    "saddle_height",
    "seated_hip",
    "standard_model",
    "standing_hip",
    "to_natural_scale",
]
