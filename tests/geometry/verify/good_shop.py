"""Spreads with which a good shop reads a bike, shared by the tests of the bench check."""

# Head angle 0.2°, wheelbase 2 mm, trail 2 mm: [R] Moore, Human Control of a Bicycle,
# UC Davis 2012, chapter Physical Parameters. The others are common practice [CP].
SPREADS = {
    "head_angle": 0.2,
    "seat_tube_angle": 0.2,
    "wheelbase": 2.0,
    "rear_centre": 2.0,
    "front_centre": 2.0,
    "chainstay_length": 1.0,
    "bb_height": 2.0,
    "trail": 2.0,
    "reach": 2.0,
    "stack": 2.0,
}
