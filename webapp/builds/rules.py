"""Rules of fit between the parts of a build: one line a rule.

A rule compares a property of one place with a property of another; the places
are those of `webapp.builds.choice.PLACES` and ``frame``. `webapp.builds.roles`
says which properties each has. To add a rule, add a line;
those of the drive are in `webapp.builds.rules_drive`. What has to be computed
is judged by `webapp.builds.judging`.
"""

from __future__ import annotations

from geometry.standards import Rule
from webapp.builds.fit_rule import BUILDER, FORK_MAKER, fit_rule, when
from webapp.builds.rules_drive import DRIVE_RULES

RULES: tuple[Rule, ...] = (
    # Front
    fit_rule(
        "headset.frame",
        ("headset.fits", "equal", "frame.head_tube"),
        "head tube fitting",
        "choose a headset made for this head tube",
    ),
    fit_rule(
        "headset.fork",
        ("headset.steerer", "equal", "fork.steerer"),
        "steerer",
        "choose a headset for this steerer, or another fork",
    ),
    fit_rule(
        "fork.length",
        ("fork.axle_to_crown", "within", "frame.fork_lengths"),
        "axle-to-crown along the steering axis",
        "choose a fork of a length the frame is made for",
        source=BUILDER,
        unit="mm",
    ),
    fit_rule(
        "fork.travel",
        ("fork.travel", "at most", "frame.fork_travel"),
        "fork travel",
        "choose a fork with less travel",
        source=BUILDER,
        unit="mm",
    ),
    fit_rule(
        "stem.steerer",
        ("stem.steerer_diameter", "equal", "fork.steerer_clamp_diameter"),
        "steerer clamp",
        "choose a stem for this steerer",
        unit="mm",
    ),
    fit_rule(
        "stem.bar",
        ("handlebar.clamp_diameter", "equal", "stem.bar_diameter"),
        "bar clamp",
        "choose a stem and bar of one clamp diameter",
        unit="mm",
    ),
    # Wheels
    fit_rule(
        "rim.fork",
        ("rim_front.bead_seat_diameter", "in", "fork.wheel_sizes"),
        "front wheel size",
        "choose a rim size the fork takes",
        source=FORK_MAKER,
        unit="mm",
    ),
    fit_rule(
        "rim.frame",
        ("rim_rear.bead_seat_diameter", "in", "frame.wheel_sizes"),
        "rear wheel size",
        "choose a rim size the frame takes",
        source=BUILDER,
        unit="mm",
    ),
    fit_rule(
        "tyre.rim.front",
        ("tyre_front.bead_seat_diameter", "equal", "rim_front.bead_seat_diameter"),
        "front tyre on its rim",
        "choose a tyre of the rim's size",
        source="ISO 5775 bead seat diameter",
        unit="mm",
    ),
    fit_rule(
        "tyre.rim.rear",
        ("tyre_rear.bead_seat_diameter", "equal", "rim_rear.bead_seat_diameter"),
        "rear tyre on its rim",
        "choose a tyre of the rim's size",
        source="ISO 5775 bead seat diameter",
        unit="mm",
    ),
    fit_rule(
        "tyre.width.front",
        ("tyre_front.nominal_width", "within", "rim_front.tyre_range"),
        "front tyre width on its rim",
        "choose a tyre or rim of matching width",
        unit="mm",
        applies=when("rim_front.has_tyre_range", True),
    ),
    fit_rule(
        "tyre.width.rear",
        ("tyre_rear.nominal_width", "within", "rim_rear.tyre_range"),
        "rear tyre width on its rim",
        "choose a tyre or rim of matching width",
        unit="mm",
        applies=when("rim_rear.has_tyre_range", True),
    ),
    fit_rule(
        "tyre.tubeless.front",
        ("tyre_front.tubeless", "in", "rim_front.takes_tubeless"),
        "front tubeless tyre",
        "choose a tubeless rim, or another tyre",
    ),
    fit_rule(
        "tyre.tubeless.rear",
        ("tyre_rear.tubeless", "in", "rim_rear.takes_tubeless"),
        "rear tubeless tyre",
        "choose a tubeless rim, or another tyre",
    ),
    fit_rule(
        "axle.front",
        ("front_hub.axle", "equal", "fork.axle"),
        "front axle",
        "choose a hub for the fork's axle",
    ),
    fit_rule(
        "axle.frame",
        ("axle.standard", "in", "frame.rear_axles"),
        "rear axle fitting",
        "choose one of the axle fittings the frame takes",
        source=BUILDER,
    ),
    fit_rule(
        "axle.hub",
        ("hub.axle", "equal", "axle.standard"),
        "rear axle",
        "choose the axle fitting that goes with the hub",
    ),
    fit_rule(
        "spokes.front",
        ("rim_front.spoke_holes", "equal", "front_hub.spoke_holes"),
        "front spoke holes",
        "choose rim and hub of one spoke count",
    ),
    fit_rule(
        "spokes.rear",
        ("rim_rear.spoke_holes", "equal", "hub.spoke_holes"),
        "rear spoke holes",
        "choose rim and hub of one spoke count",
    ),
    # Seat
    fit_rule(
        "post.diameter",
        ("post.diameter", "equal", "frame.post_diameter"),
        "seat post diameter",
        "choose a post of the frame's diameter",
        source=BUILDER,
        unit="mm",
    ),
    # Drive
    *DRIVE_RULES,
    # Brakes
    fit_rule(
        "brake.front.mount",
        ("brake.front_mount", "equal", "fork.brake_mount"),
        "front brake mount",
        "choose brakes for this fork's mount",
        applies=when("brake.has_front", True),
    ),
    fit_rule(
        "brake.front.rotor",
        ("brake.front_rotor", "within", "fork.rotors"),
        "front rotor",
        "choose a rotor size the fork allows",
        source=FORK_MAKER,
        unit="mm",
        applies=when("brake.has_front", True),
    ),
    fit_rule(
        "brake.front.hub",
        ("brake.front_fixing", "equal", "front_hub.rotor_fixing"),
        "front rotor fixing",
        "choose a front hub for this rotor",
        applies=when("brake.has_front", True),
    ),
    fit_rule(
        "brake.rear.mount",
        ("brake.rear_mount", "equal", "frame.brake_mount"),
        "rear brake mount",
        "choose brakes for the frame's mount",
        applies=when("brake.has_rear", True),
    ),
    fit_rule(
        "brake.rear.rotor",
        ("brake.rear_rotor", "within", "frame.rotors"),
        "rear rotor",
        "choose a rotor size the frame allows",
        source=BUILDER,
        unit="mm",
        applies=when("brake.has_rear", True),
    ),
    fit_rule(
        "brake.rear.hub",
        ("brake.rear_fixing", "equal", "hub.rotor_fixing"),
        "rear rotor fixing",
        "choose a rear hub for this rotor, or a front brake only with a coaster brake",
        applies=when("brake.has_rear", True),
    ),
    fit_rule(
        "brake.two",
        ("brake.ends", "at least", "hub.brakes_needed"),
        "brakes",
        "choose brakes for both wheels, or for the front with a coaster brake",
        source="two independent brakes, ISO 4210-2 [M] and local law",
    ),
    # Positions
    fit_rule(
        "spacers",
        ("positions.spacers", "at most", "frame.most_spacers"),
        "spacers under the stem",
        "use fewer spacers, or a bar with more rise",
        source=BUILDER,
        unit="mm",
    ),
    fit_rule(
        "saddle.rails",
        ("positions.rail", "within", "saddle.rails"),
        "saddle on its rails",
        "set the saddle within its rails",
        source="saddle maker's marks",
        unit="mm",
    ),
)

_MUDGUARD = when("extra.use", "mudguard")

EXTRA_RULES: tuple[Rule, ...] = (
    fit_rule(
        "extra.mounts",
        ("extra.mount", "in", "bike.mounts"),
        "mount",
        "leave it out, or choose a fork that has the mount",
        applies=when("extra.has_mount", True),
    ),
    fit_rule(
        "extra.fork",
        ("extra.mount", "in", "fork.mounts"),
        "mount at the fork",
        "leave it out, or choose a fork with this mount",
        applies=_MUDGUARD,
    ),
    fit_rule(
        "extra.wheel",
        ("rim_rear.bead_seat_diameter", "in", "extra.wheel_sizes"),
        "wheel size",
        "choose the one made for this wheel size",
        unit="mm",
        applies=when("extra.for_some_wheels", True),
    ),
    fit_rule(
        "extra.width",
        ("extra.width", "at least", "tyre_rear.width_on_rim"),
        "mudguard over the tyre",
        "choose a narrower tyre, or a wider mudguard",
        unit="mm",
        applies=_MUDGUARD,
    ),
    fit_rule(
        "extra.half_link",
        ("extra.fits", "in", "transmission.half_links"),
        "half link",
        "leave the half link out",
        applies=when("extra.use", "half-link"),
    ),
)
"""Rules of fit of one extra; each extra of a build is judged in its turn."""
