"""The drive: length of a chain or belt loop, rings and gears, the sliding slot, where the
axle comes to lie in it, and the checks of all these.
"""

from geometry.drive.axle_position import (
    CHAIN,
    WEAR_LIMIT,
    AxlePositions,
    Fitting,
    closing_positions,
    ranked,
)
from geometry.drive.gearing import (
    USUAL_CADENCE,
    Gears,
    gears,
    hub_ratio_check,
    reaction_arm_check,
    ring_check,
)
from geometry.drive.loop import Drive, derailleur_chain_links
from geometry.drive.remedies import BeltLengthsSold, LongerLoop, ReachesSlotLine, WheelsOfDriveApart
from geometry.drive.slot import Slot, centre_at
from geometry.drive.slot_checks import agreement, slot_check
from geometry.drive.statements import (
    ArmFixed,
    ArmLoose,
    AxleSetAt,
    ChooseAnotherPair,
    FixingNotKnown,
    FrameWithFixing,
    HalfLink,
    HubRatio,
    KeepHubRatio,
    LargestRingNotKnown,
    NoCountCloses,
    OtherPair,
    PairCloses,
    PairNeverCloses,
    RingAtMost,
    RingBesideStay,
    SetAxleAt,
    SmallestRatioNotKnown,
    TensionerOrLongerSlot,
)

__all__ = [
    "CHAIN",
    "USUAL_CADENCE",
    "WEAR_LIMIT",
    "ArmFixed",
    "ArmLoose",
    "AxlePositions",
    "AxleSetAt",
    "BeltLengthsSold",
    "ChooseAnotherPair",
    "Drive",
    "Fitting",
    "FixingNotKnown",
    "FrameWithFixing",
    "Gears",
    "HalfLink",
    "HubRatio",
    "KeepHubRatio",
    "LargestRingNotKnown",
    "LongerLoop",
    "NoCountCloses",
    "OtherPair",
    "PairCloses",
    "PairNeverCloses",
    "ReachesSlotLine",
    "RingAtMost",
    "RingBesideStay",
    "SetAxleAt",
    "Slot",
    "SmallestRatioNotKnown",
    "TensionerOrLongerSlot",
    "WheelsOfDriveApart",
    "agreement",
    "centre_at",
    "closing_positions",
    "derailleur_chain_links",
    "gears",
    "hub_ratio_check",
    "ranked",
    "reaction_arm_check",
    "ring_check",
    "slot_check",
]
