"""Which figures and inputs each figure's formula is made of."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

_DROP = ("frame.chainstay_length", "frame.bb_drop", "frame.slot_angle", "build.slot_position")
_TUBE = ("top_tube.below_head_tube_top", "top_tube.along_seat_tube", "top_tube.diameter")

TERMS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "reach": ("frame.reach", "frame.stack", "turn"),
        "stack": ("frame.stack", "frame.reach", "turn"),
        "effective_top_tube": ("reach", "stack", "seat_tube_angle", "frame.seat_tube_offset"),
        "head_angle": ("frame.head_angle", "turn"),
        "seat_tube_angle": ("frame.seat_tube_angle", "turn"),
        "effective_seat_angle": ("seat_tube_angle", "frame.seat_tube_offset", "saddle_height"),
        "chainstay_length": ("rear_centre", "bb_drop"),
        "rear_centre": (*_DROP, "turn"),
        "front_centre": ("wheelbase", "rear_centre"),
        "front_centre_straight": ("front_centre", "bb_drop_front"),
        "wheelbase": ("front_radius", "rear_radius"),
        "bb_drop": (*_DROP, "turn"),
        "bb_drop_front": ("bb_drop", "front_radius", "rear_radius"),
        "bb_height": ("rear_radius", "bb_drop"),
        "standover": ("bb_height", *_TUBE),
        "trail": ("front_radius", "head_angle", "fork.offset"),
        "mechanical_trail": ("trail", "head_angle", "front_radius", "fork.offset"),
        "wheel_flop": ("trail", "head_angle"),
        "front_radius": ("build.front_radius", "state.front_deflection"),
        "rear_radius": ("build.rear_radius", "state.rear_deflection"),
        "turn": ("front_radius", "rear_radius"),
        "grips_to_rear_axle": ("rear_centre",),
        "grips_to_rear_axle_straight": ("grips_to_rear_axle", "bb_drop"),
        "grip_height": ("bb_height",),
        "grip_out": ("handlebar.width", "handlebar.grip_from_end"),
        "saddle_height": ("seat.height",),
        "saddle_above_ground": ("bb_height", "saddle_height", "effective_seat_angle"),
        "post_above_bb": (
            "saddle_height",
            "seat.saddle_stack",
            "seat.post_offset",
            "frame.seat_tube_offset",
        ),
        "closure_axle": (
            "frame.stack",
            "frame.head_angle",
            "frame.bb_drop",
            "drawn_with.front_radius",
            "drawn_with.rear_radius",
        ),
        "closure_head_angle": (
            "frame.stack",
            "frame.head_tube_length",
            "drawn_with.lower_headset_stack",
            "drawn_with.fork.axle_to_crown",
            "drawn_with.fork.offset",
        ),
    }
)
"""Terms of each figure's formula that are figures or inputs themselves."""
