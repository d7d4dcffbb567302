"""Rules of fit of the drive: crank, ring, sprocket, chain or belt, hub, derailleur."""

from __future__ import annotations

from webapp.builds.fitting.rule import BUILDER, FitRule, fit_rule, when
from webapp.common.text.language import tr

_BELT = when("transmission.pitch_kind", "belt")

DRIVE_RULES: tuple[FitRule, ...] = (
    fit_rule(
        "crank.frame",
        ("frame.bottom_bracket", "in", "crank.bottom_brackets"),
        tr("bottom bracket shell"),
        tr("{left} has a {has}, and {right} can go in a {takes} only"),
        tr("a crank for a {has}"),
    ),
    fit_rule(
        "ring.crank",
        ("ring.mount", "equal", "crank.ring_mount"),
        tr("ring mount"),
        tr("{left} fits a {has}, and {right} has a {takes}"),
        tr("a ring for a {takes}"),
    ),
    fit_rule(
        "ring.transmission",
        ("ring.fits", "equal", "transmission.fits"),
        tr("ring"),
        tr("{left} is made for a {has}, and {right} is a {takes}"),
        tr("a ring made for a {takes}, or a {has} with its sprocket"),
    ),
    fit_rule(
        "sprocket.transmission",
        ("sprocket.fits", "equal", "transmission.fits"),
        tr("sprocket"),
        tr("{left} is made for a {has}, and {right} is a {takes}"),
        tr("a sprocket made for a {takes}, or a {has} with its ring"),
    ),
    fit_rule(
        "sprocket.hub",
        ("sprocket.mount", "equal", "hub.sprocket_mount"),
        tr("sprocket mount"),
        tr("{left} goes on a {has}, and {right} has a {takes}"),
        tr("a sprocket for a {takes}, or another hub"),
    ),
    fit_rule(
        "sprocket.single",
        ("sprocket.count", "at most", "hub.most_sprockets"),
        tr("sprockets"),
        tr("{left} is a cassette of {has}, and {right} takes a single sprocket"),
        tr("a single sprocket, or a hub for a derailleur"),
        fits=tr("{right} takes {left}"),
    ),
    fit_rule(
        "ring.smallest",
        ("ring.teeth", "at least", "frame.smallest_ring"),
        tr("ring"),
        tr("{left} has {has}, and {right} needs {takes} or more"),
        tr("a ring of at least {takes}"),
        source=BUILDER,
        unit=tr("teeth"),
    ),
    fit_rule(
        "chainline.frame",
        ("ring.chainline", "within", "frame.chainlines"),
        tr("chainline"),
        tr("{left} runs {has} out from the middle, and {right} allows {takes}"),
        tr("cranks or a ring with a chainline of {takes}"),
        source=BUILDER,
        unit=tr("mm"),
    ),
    fit_rule(
        "chainline.hub",
        ("ring.chainline", "within", "hub.chainlines"),
        tr("chainline"),
        tr("{left} runs {has} out from the middle, and {right} needs {takes}"),
        tr("cranks or a ring with a chainline of {takes}"),
        source=tr("maker of chain or belt: how far ring and hub may be out of line"),
        unit=tr("mm"),
        applies=when("hub.has_chainline", True),
    ),
    fit_rule(
        "belt.frame",
        ("transmission.pitch_kind", "in", "frame.loops"),
        tr("way in for a belt"),
        tr("{left} is a closed loop, and {right} does not open to let it in"),
        tr("a chain in place of the belt"),
        fits=tr("{right} opens to let {left} in"),
        source=BUILDER,
        applies=_BELT,
    ),
    fit_rule(
        "derailleur.hub",
        ("derailleur.present", "equal", "hub.needs_derailleur"),
        tr("derailleur"),
        tr("{right} shifts by a derailleur, and none is chosen"),
        tr("a derailleur, or a hub that does without"),
        without=tr("{right} does without a derailleur, and {left} is chosen"),
        remedy_without=tr("no derailleur, or a hub for a cassette"),
        fits=tr("{right} with {left}"),
    ),
    fit_rule(
        "derailleur.frame",
        ("derailleur.mount", "equal", "frame.derailleur_mount"),
        tr("derailleur mount"),
        tr("{left} hangs on a {has}, and {right} has a {takes}"),
        tr("a derailleur for a {takes}, or a drive without one"),
        without=tr("{left} hangs on a {has}, and {right} has nothing to hang a derailleur on"),
        remedy_without=tr("a drive without a derailleur"),
        source=BUILDER,
        applies=when("derailleur.present", True),
    ),
    fit_rule(
        "derailleur.chain",
        ("derailleur.fits", "equal", "transmission.fits"),
        tr("derailleur chain"),
        tr("{left} runs with a {has}, and {right} is a {takes}"),
        tr("a {has}, or a drive without a derailleur"),
        applies=when("derailleur.present", True),
    ),
    fit_rule(
        "derailleur.sprocket",
        ("sprocket.largest", "at most", "derailleur.largest_sprocket"),
        tr("largest sprocket"),
        tr("the largest sprocket of {left} has {has}, and {right} takes {takes} at most"),
        tr("a cassette whose largest sprocket has at most {takes}"),
        unit=tr("teeth"),
        source=tr("derailleur maker's limit"),
        applies=when("derailleur.present", True),
    ),
    fit_rule(
        "derailleur.speeds",
        ("sprocket.count", "equal", "derailleur.speeds"),
        tr("sprockets"),
        tr("{left} has {has} sprockets, and {right} shifts {takes}"),
        tr("a cassette of {takes} sprockets"),
        applies=when("derailleur.present", True),
    ),
    fit_rule(
        "derailleur.capacity",
        ("sprocket.span", "at most", "derailleur.capacity"),
        tr("largest less smallest sprocket"),
        tr(
            "from the smallest to the largest sprocket of {left} there are {has}, and "
            "{right} takes up {takes}"
        ),
        tr("a closer cassette, or a derailleur that takes up {has}"),
        unit=tr("teeth"),
        source=tr("derailleur maker's limit"),
        applies=when("derailleur.present", True),
    ),
)
