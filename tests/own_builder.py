"""An invented builder in Norway: two models and a fork of its own, as typed into the forms."""

from __future__ import annotations

MARK = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 6"><path d="M0 6 4 0l5 6z"/></svg>'

SHARED = {"offset": "50", "lower_headset_stack": "12", "mass_rider": "120", "mass_whole": "135"}
ROAD = {**SHARED, "axle_to_crown": "400", "tyre_width": "45", "fork_shortest": "390",
        "fork_longest": "430", "tyre_recommended": "45", "tyre_largest": "50"}  # fmt: skip
TRAIL = {**SHARED, "axle_to_crown": "430", "offset": "45", "tyre_width": "57",
         "fork_shortest": "420", "fork_longest": "450", "tyre_recommended": "57",
         "tyre_largest": "60"}  # fmt: skip
FITTINGS = {"head_tube": "zs44/zs56", "rear_axle": "12x142-through",
            "bottom_bracket": "68-threaded", "post_diameter": "27.2",
            "rear_brake": "flat-mount"}  # fmt: skip
ROAD_TABLE = {
    "reach": "375 388 401", "stack": "559 581 605", "head_angle": "71 71,5 72",
    "head_tube_length": "120 141 165", "seat_tube_angle": "74 73,5 73",
    "seat_tube_length": "460 500 540", "chainstay_length": "430 430 430", "bb_drop": "72 72 72",
    "top_tube.below_head_tube_top": "40 40 40", "top_tube.along_seat_tube": "420 460 500",
    "top_tube.diameter": "32 32 32", "post.depth": "300 340 380", "stem_length": "70 80 90",
    "riders.shortest": "1600 1700 1800", "riders.tallest": "1720 1820 1930",
}  # fmt: skip
TRAIL_TABLE = {
    "reach": "400 425", "stack": "559 573", "head_angle": "68,5 68,5",
    "head_tube_length": "110 125", "seat_tube_angle": "75 75", "seat_tube_length": "430 460",
    "chainstay_length": "440 440", "bb_drop": "62 62", "top_tube.below_head_tube_top": "40 40",
    "top_tube.along_seat_tube": "390 420", "top_tube.diameter": "35 35",
    "post.depth": "270 300", "stem_length": "50 50",
}  # fmt: skip
FORK = {"part_name": "own rigid fork, 400 mm", "part_price": "3 200",
        "axle_to_crown": "400", "axle_to_crown_measured": "along", "offset": "50",
        "steerer": "tapered-1.5", "steerer_clamp_diameter": "28,6",
        "axle": "12x100-through", "tyres.0.bead_seat_diameter": "622",
        "tyres.0.widest": "50"}  # fmt: skip
