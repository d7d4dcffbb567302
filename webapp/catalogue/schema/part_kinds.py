"""The kinds of part and the class of data behind each.

To add a kind: write its class beside its neighbours in one of the ``parts_*``
modules and name it here; tables, pages and checks read the list from here.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from webapp.catalogue.schema.cockpit_parts import (
    HandlebarData,
    PedalData,
    PostData,
    SaddleData,
    StemData,
)
from webapp.catalogue.schema.drive_parts import (
    CrankData,
    DerailleurData,
    PitchKind,
    RingData,
    SprocketData,
    TransmissionData,
)
from webapp.catalogue.schema.extra_parts import ExtraData, FinishData, LabourData
from webapp.catalogue.schema.wheel_parts import (
    AxleData,
    BrakeData,
    BrakeEnd,
    Drive,
    ForkData,
    ForkTolerance,
    ForkTyre,
    FrontHubData,
    HeadsetData,
    HubData,
    PartData,
    RimData,
    TyreData,
)

PART_KINDS: Mapping[str, type[PartData]] = MappingProxyType(
    {
        "fork": ForkData,
        "headset": HeadsetData,
        "rim": RimData,
        "tyre": TyreData,
        "front-hub": FrontHubData,
        "hub": HubData,
        "axle": AxleData,
        "brake": BrakeData,
        "stem": StemData,
        "handlebar": HandlebarData,
        "post": PostData,
        "saddle": SaddleData,
        "pedal": PedalData,
        "crank": CrankData,
        "ring": RingData,
        "sprocket": SprocketData,
        "transmission": TransmissionData,
        "derailleur": DerailleurData,
        "finish": FinishData,
        "extra": ExtraData,
        "labour": LabourData,
    }
)
"""Every kind of part in the order it is listed, with its class of data."""

__all__ = [
    "PART_KINDS",
    "AxleData",
    "BrakeData",
    "BrakeEnd",
    "CrankData",
    "DerailleurData",
    "Drive",
    "ExtraData",
    "FinishData",
    "ForkData",
    "ForkTolerance",
    "ForkTyre",
    "FrontHubData",
    "HandlebarData",
    "HeadsetData",
    "HubData",
    "LabourData",
    "PartData",
    "PedalData",
    "PitchKind",
    "PostData",
    "RimData",
    "RingData",
    "SaddleData",
    "SprocketData",
    "StemData",
    "TransmissionData",
    "TyreData",
]
