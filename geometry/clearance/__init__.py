"""What must not touch: tyre and stays, post and frame, bottles, pedals and ground, toes and
wheel; and how these checks read their numbers off a build.
"""

from geometry.clearance.bottles import Bottle, BottleMount, bottle_check, dropper_and_bottle_check
from geometry.clearance.from_build import slot_of, wheels_of
from geometry.clearance.pedals import Pedal, Wheel, pedal_lean_check
from geometry.clearance.post import (
    Post,
    PostRange,
    SeatTube,
    insertion,
    largest_travel,
    least_insertion,
    post_check,
    post_range,
)
from geometry.clearance.toe import Toe, View, toe_check, toe_clearance
from geometry.clearance.tyre_checks import (
    STANDARD_GAP,
    TyreLevels,
    Use,
    levels_at,
    room_remedy,
    tyre_gap_check,
    tyre_levels_check,
)
from geometry.clearance.tyre_room import Gaps, StayRoom, fork_gaps, stay_gaps

__all__ = [
    "STANDARD_GAP",
    "Bottle",
    "BottleMount",
    "Gaps",
    "Pedal",
    "Post",
    "PostRange",
    "SeatTube",
    "StayRoom",
    "Toe",
    "TyreLevels",
    "Use",
    "View",
    "Wheel",
    "bottle_check",
    "dropper_and_bottle_check",
    "fork_gaps",
    "insertion",
    "largest_travel",
    "least_insertion",
    "levels_at",
    "pedal_lean_check",
    "post_check",
    "post_range",
    "room_remedy",
    "slot_of",
    "stay_gaps",
    "toe_check",
    "toe_clearance",
    "tyre_gap_check",
    "tyre_levels_check",
    "wheels_of",
]
