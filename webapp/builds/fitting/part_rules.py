"""Rules of fit between the parts of a build: one line a rule.

A rule compares a property of one place with a property of another; the places
are those of `webapp.builds.choice.build_choice.PLACES` and ``frame``. `webapp.builds.fitting.roles`
says which properties each has. To add a rule, add a line;
those of the drive are in `webapp.builds.fitting.drive_rules`. What has to be computed
is judged by `webapp.builds.fitting.calculations`.
"""

from __future__ import annotations

from webapp.builds.fitting.drive_rules import DRIVE_RULES
from webapp.builds.fitting.rule import BUILDER, FORK_MAKER, FitRule, fit_rule, when
from webapp.common.text.language import tr

RULES: tuple[FitRule, ...] = (
    # Front
    fit_rule(
        "headset.frame",
        ("headset.fits", "equal", "frame.head_tube"),
        tr("head tube fitting"),
        tr("{left} goes into a {has}, and {right} has a {takes}"),
        tr("a headset made for a {takes}"),
    ),
    fit_rule(
        "headset.fork",
        ("headset.steerer", "equal", "fork.steerer"),
        tr("steerer"),
        tr("{left} guides a {has}, and {right} has a {takes}"),
        tr("a headset for a {takes}, or another fork"),
    ),
    fit_rule(
        "fork.length",
        ("fork.axle_to_crown", "within", "frame.fork_lengths"),
        tr("axle-to-crown along the steering axis"),
        tr("{left} is {has} long along the steering axis, and {right} is made for {takes}"),
        tr("a fork of {takes} from axle to crown"),
        source=BUILDER,
        unit=tr("mm"),
    ),
    fit_rule(
        "fork.travel",
        ("fork.travel", "at most", "frame.fork_travel"),
        tr("fork travel"),
        tr("{left} has {has} of travel, and {right} allows {takes}"),
        tr("a fork with at most {takes} of travel"),
        without=tr("{left} has {has} of travel, and {right} is made for rigid forks"),
        remedy_without=tr("a rigid fork"),
        source=BUILDER,
        unit=tr("mm"),
    ),
    fit_rule(
        "stem.steerer",
        ("stem.steerer_diameter", "equal", "fork.steerer_clamp_diameter"),
        tr("steerer clamp"),
        tr("{left} clamps a steerer of {has}, and the steerer of {right} measures {takes}"),
        tr("a stem for a steerer of {takes}"),
        unit=tr("mm"),
    ),
    fit_rule(
        "stem.bar",
        ("handlebar.clamp_diameter", "equal", "stem.bar_diameter"),
        tr("bar clamp"),
        tr("{left} measures {has} where it is clamped, and {right} clamps {takes}"),
        tr("a stem and a bar of one clamp diameter"),
        unit=tr("mm"),
    ),
    # Wheels
    fit_rule(
        "rim.fork",
        ("rim_front.bead_seat_diameter", "in", "fork.wheel_sizes"),
        tr("front wheel size"),
        tr("{left} is a rim of {has}, and {right} takes {takes}"),
        tr("a front rim of {takes}, or another fork"),
        source=FORK_MAKER,
        unit=tr("mm"),
    ),
    fit_rule(
        "rim.frame",
        ("rim_rear.bead_seat_diameter", "in", "frame.wheel_sizes"),
        tr("rear wheel size"),
        tr("{left} is a rim of {has}, and {right} takes {takes}"),
        tr("a rear rim of {takes}"),
        source=BUILDER,
        unit=tr("mm"),
    ),
    fit_rule(
        "tyre.rim.front",
        ("tyre_front.bead_seat_diameter", "equal", "rim_front.bead_seat_diameter"),
        tr("front tyre on its rim"),
        tr("{left} is made for a rim of {has}, and {right} measures {takes}"),
        tr("a front tyre for a rim of {takes}"),
        source=tr("ISO 5775 bead seat diameter"),
        unit=tr("mm"),
    ),
    fit_rule(
        "tyre.rim.rear",
        ("tyre_rear.bead_seat_diameter", "equal", "rim_rear.bead_seat_diameter"),
        tr("rear tyre on its rim"),
        tr("{left} is made for a rim of {has}, and {right} measures {takes}"),
        tr("a rear tyre for a rim of {takes}"),
        source=tr("ISO 5775 bead seat diameter"),
        unit=tr("mm"),
    ),
    fit_rule(
        "tyre.width.front",
        ("tyre_front.nominal_width", "within", "rim_front.tyre_range"),
        tr("front tyre width on its rim"),
        tr("{left} is {has} wide, and {right} is made for tyres of {takes}"),
        tr("a front tyre of {takes}, or a rim made for {has}"),
        unit=tr("mm"),
        applies=when("rim_front.has_tyre_range", True),
    ),
    fit_rule(
        "tyre.width.rear",
        ("tyre_rear.nominal_width", "within", "rim_rear.tyre_range"),
        tr("rear tyre width on its rim"),
        tr("{left} is {has} wide, and {right} is made for tyres of {takes}"),
        tr("a rear tyre of {takes}, or a rim made for {has}"),
        unit=tr("mm"),
        applies=when("rim_rear.has_tyre_range", True),
    ),
    fit_rule(
        "tyre.tubeless.front",
        ("tyre_front.tubeless", "in", "rim_front.takes_tubeless"),
        tr("front tubeless tyre"),
        tr("{left} needs a tubeless rim, and {right} is none"),
        tr("a tubeless front rim, or a tyre for tubes"),
        fits=tr("{left} and {right} go together with or without a tube"),
    ),
    fit_rule(
        "tyre.tubeless.rear",
        ("tyre_rear.tubeless", "in", "rim_rear.takes_tubeless"),
        tr("rear tubeless tyre"),
        tr("{left} needs a tubeless rim, and {right} is none"),
        tr("a tubeless rear rim, or a tyre for tubes"),
        fits=tr("{left} and {right} go together with or without a tube"),
    ),
    fit_rule(
        "axle.front",
        ("front_hub.axle", "equal", "fork.axle"),
        tr("front axle"),
        tr("{left} is built for a {has}, and {right} takes a {takes}"),
        tr("a front hub for a {takes}"),
    ),
    fit_rule(
        "axle.frame",
        ("axle.standard", "in", "frame.rear_axles"),
        tr("rear axle fitting"),
        tr("{left} makes a {has} of the frame's ends, and {right} takes a {takes}"),
        tr("an axle fitting for a {takes}"),
        source=BUILDER,
    ),
    fit_rule(
        "axle.hub",
        ("hub.axle", "equal", "axle.standard"),
        tr("rear axle"),
        tr("{left} is built for a {has}, and {right} holds a {takes}"),
        tr("the axle fitting for a {has}, or a hub for a {takes}"),
    ),
    fit_rule(
        "spokes.front",
        ("rim_front.spoke_holes", "equal", "front_hub.spoke_holes"),
        tr("front spoke holes"),
        tr("{left} is drilled for {has} spokes, and {right} for {takes}"),
        tr("a front rim and hub of one spoke count"),
    ),
    fit_rule(
        "spokes.rear",
        ("rim_rear.spoke_holes", "equal", "hub.spoke_holes"),
        tr("rear spoke holes"),
        tr("{left} is drilled for {has} spokes, and {right} for {takes}"),
        tr("a rear rim and hub of one spoke count"),
    ),
    # Seat
    fit_rule(
        "post.diameter",
        ("post.diameter", "equal", "frame.post_diameter"),
        tr("seat post diameter"),
        tr("{left} measures {has}, and the seat tube of {right} takes {takes}"),
        tr("a seat post of {takes}"),
        source=BUILDER,
        unit=tr("mm"),
    ),
    # Drive
    *DRIVE_RULES,
    # Brakes
    fit_rule(
        "brake.front.mount",
        ("brake.front_mount", "equal", "fork.brake_mount"),
        tr("front brake mount"),
        tr("{left} must have a {has} at the front, and {right} has a {takes}"),
        tr("brakes made for a {takes} at the front, or another fork"),
        applies=when("brake.has_front", True),
    ),
    fit_rule(
        "brake.front.rotor",
        ("brake.front_rotor", "within", "fork.rotors"),
        tr("front rotor"),
        tr("the front rotor of {left} measures {has}, and {right} allows {takes}"),
        tr("a front rotor of {takes}"),
        source=FORK_MAKER,
        unit=tr("mm"),
        applies=when("brake.has_front", True),
    ),
    fit_rule(
        "brake.front.hub",
        ("brake.front_fixing", "equal", "front_hub.rotor_fixing"),
        tr("front rotor fixing"),
        tr("the front rotor of {left} is a {has}, and {right} takes a {takes}"),
        tr("a front hub for a {has}, or other brakes"),
        without=tr("the front rotor of {left} is a {has}, and {right} takes no rotor"),
        remedy_without=tr("a front hub that takes a {has}"),
        applies=when("brake.has_front", True),
    ),
    fit_rule(
        "brake.rear.mount",
        ("brake.rear_mount", "equal", "frame.brake_mount"),
        tr("rear brake mount"),
        tr("{left} must have a {has} at the rear, and {right} has a {takes}"),
        tr("brakes made for a {takes} at the rear"),
        without=tr("{left} must have a {has} at the rear, and {right} has no mount for a brake"),
        remedy_without=tr("a front brake only, with a coaster brake at the rear"),
        applies=when("brake.has_rear", True),
    ),
    fit_rule(
        "brake.rear.rotor",
        ("brake.rear_rotor", "within", "frame.rotors"),
        tr("rear rotor"),
        tr("the rear rotor of {left} measures {has}, and {right} allows {takes}"),
        tr("a rear rotor of {takes}"),
        source=BUILDER,
        unit=tr("mm"),
        applies=when("brake.has_rear", True) + when("frame.has_brake_mount", True),
    ),
    fit_rule(
        "brake.rear.hub",
        ("brake.rear_fixing", "equal", "hub.rotor_fixing"),
        tr("rear rotor fixing"),
        tr("the rear rotor of {left} is a {has}, and {right} takes a {takes}"),
        tr("a rear hub for a {has}, or other brakes"),
        without=tr("the rear rotor of {left} is a {has}, and {right} takes no rotor"),
        remedy_without=tr(
            "a rear hub that takes a {has}, or a front brake only with a coaster brake"
        ),
        applies=when("brake.has_rear", True),
    ),
    fit_rule(
        "brake.two",
        ("brake.ends", "at least", "hub.brakes_needed"),
        tr("brakes"),
        tr(
            "brakes are chosen for {has} of the two wheels, and with {right} they are needed "
            "for {takes}"
        ),
        tr("brakes for both wheels, or for the front with a coaster brake"),
        fits=tr(
            "{left} and {right}: brakes are chosen for {has} of the two wheels and needed "
            "for {takes}"
        ),
        source=tr("two independent brakes, ISO 4210-2 [M] and local law"),
    ),
    # Positions
    fit_rule(
        tr("spacers"),
        ("positions.spacers", "at most", "frame.most_spacers"),
        tr("spacers under the stem"),
        tr("{left} has {has} of spacers under the stem, and {right} allows {takes}"),
        tr("at most {takes} of spacers, or a bar with more rise"),
        without=tr("{left} has {has} of spacers under the stem, and {right} allows none"),
        remedy_without=tr("no spacers, or a bar with more rise"),
        source=BUILDER,
        unit=tr("mm"),
    ),
    fit_rule(
        "saddle.rails",
        ("positions.rail", "within", "saddle.rails"),
        tr("saddle on its rails"),
        tr("the saddle of {left} is set {has} along its rails, and {right} can be set at {takes}"),
        tr("the saddle set at {takes} along its rails"),
        source=tr("saddle maker's marks"),
        unit=tr("mm"),
    ),
)

_MUDGUARD = when("extra.use", "mudguard")

EXTRA_RULES: tuple[FitRule, ...] = (
    fit_rule(
        "extra.mounts",
        ("extra.mount", "in", "bike.mounts"),
        tr("mount"),
        tr("{left} must be bolted to {has}, and {right} offers {takes} and nothing more"),
        tr("a fork with {has}, or the build without it"),
        without=tr("{left} must be bolted to {has}, and {right} offers no mounts at all"),
        remedy_without=tr("the build without it, or a fork with {has}"),
        fits=tr("{right} offers {has} for {left}"),
        applies=when("extra.has_mount", True),
    ),
    fit_rule(
        "extra.fork",
        ("extra.mount", "in", "fork.mounts"),
        tr("mount at the fork"),
        tr(
            "the front of {left} must be bolted to {has}, and {right} offers {takes} and "
            "nothing more"
        ),
        tr("a fork with {has}, or the build without it"),
        without=tr("the front of {left} must be bolted to {has}, and {right} offers no mounts"),
        remedy_without=tr("a fork with {has}, or the build without it"),
        fits=tr("{right} offers {has} for {left}"),
        applies=_MUDGUARD,
    ),
    fit_rule(
        "extra.wheel",
        ("rim_rear.bead_seat_diameter", "in", "extra.wheel_sizes"),
        tr("wheel size"),
        tr("{right} can go round a rim of {takes} only, and {left} measures {has}"),
        tr("the one made for a rim of {has}"),
        unit=tr("mm"),
        applies=when("extra.for_some_wheels", True),
    ),
    fit_rule(
        "extra.width",
        ("extra.width", "at least", "tyre_rear.width_on_rim"),
        tr("mudguard over the tyre"),
        tr("the width of {left} is {has}, and {right} measures {takes} on its rim"),
        tr("a tyre of at most {has}, or a wider mudguard"),
        unit=tr("mm"),
        applies=_MUDGUARD,
    ),
    fit_rule(
        "extra.half_link",
        ("extra.fits", "in", "transmission.half_links"),
        tr("half link"),
        tr("{left} goes into a {has}, and no half link is sold for {right}"),
        tr("the build without the half link"),
        without=tr("{left} goes into a {has}, and no half link is sold for {right}"),
        applies=when("extra.use", "half-link"),
    ),
)
"""Rules of fit of one extra; each extra of a build is judged in its turn."""
