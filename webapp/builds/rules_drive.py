"""Rules of fit of the drive: crank, ring, sprocket, chain or belt, hub, derailleur."""

from __future__ import annotations

from geometry.standards import Rule
from webapp.builds.fit_rule import BUILDER, fit_rule, when

_BELT = when("transmission.pitch_kind", "belt")

DRIVE_RULES: tuple[Rule, ...] = (
    fit_rule(
        "crank.frame",
        ("frame.bottom_bracket", "in", "crank.bottom_brackets"),
        "bottom bracket shell",
        "choose a crank for this shell",
    ),
    fit_rule(
        "ring.crank",
        ("ring.mount", "equal", "crank.ring_mount"),
        "ring mount",
        "choose a ring for this crank",
    ),
    fit_rule(
        "ring.transmission",
        ("ring.fits", "equal", "transmission.fits"),
        "ring",
        "choose ring, sprocket and chain or belt of one kind",
    ),
    fit_rule(
        "sprocket.transmission",
        ("sprocket.fits", "equal", "transmission.fits"),
        "sprocket",
        "choose ring, sprocket and chain or belt of one kind",
    ),
    fit_rule(
        "sprocket.hub",
        ("sprocket.mount", "equal", "hub.sprocket_mount"),
        "sprocket mount",
        "choose a sprocket that mounts on this hub",
    ),
    fit_rule(
        "sprocket.single",
        ("sprocket.count", "at most", "hub.most_sprockets"),
        "sprockets",
        "choose a single sprocket for this hub",
    ),
    fit_rule(
        "ring.smallest",
        ("ring.teeth", "at least", "frame.smallest_ring"),
        "ring",
        "choose a larger ring",
        source=BUILDER,
        unit="teeth",
    ),
    fit_rule(
        "chainline.frame",
        ("ring.chainline", "within", "frame.chainlines"),
        "chainline",
        "choose cranks or a ring of another chainline",
        source=BUILDER,
        unit="mm",
    ),
    fit_rule(
        "chainline.hub",
        ("ring.chainline", "within", "hub.chainlines"),
        "chainline",
        "choose cranks or a ring nearer to the hub's chainline",
        source="maker of chain or belt: how far ring and hub may be out of line",
        unit="mm",
        applies=when("hub.has_chainline", True),
    ),
    fit_rule(
        "belt.frame",
        ("transmission.pitch_kind", "in", "frame.loops"),
        "way in for a belt",
        "choose a chain: this frame does not open for a belt",
        source=BUILDER,
        applies=_BELT,
    ),
    fit_rule(
        "derailleur.hub",
        ("derailleur.present", "equal", "hub.needs_derailleur"),
        "derailleur",
        "choose a derailleur with a cassette, and none without",
    ),
    fit_rule(
        "derailleur.frame",
        ("derailleur.mount", "equal", "frame.derailleur_mount"),
        "derailleur mount",
        "choose a drive without a derailleur",
        source=BUILDER,
        applies=when("derailleur.present", True),
    ),
    fit_rule(
        "derailleur.chain",
        ("derailleur.fits", "equal", "transmission.fits"),
        "derailleur chain",
        "choose the chain the derailleur runs with",
        applies=when("derailleur.present", True),
    ),
    fit_rule(
        "derailleur.sprocket",
        ("sprocket.largest", "at most", "derailleur.largest_sprocket"),
        "largest sprocket",
        "choose a smaller cassette",
        unit="teeth",
        source="derailleur maker's limit",
        applies=when("derailleur.present", True),
    ),
    fit_rule(
        "derailleur.speeds",
        ("sprocket.count", "equal", "derailleur.speeds"),
        "sprockets",
        "choose a cassette of the derailleur's count",
        applies=when("derailleur.present", True),
    ),
    fit_rule(
        "derailleur.capacity",
        ("sprocket.span", "at most", "derailleur.capacity"),
        "largest less smallest sprocket",
        "choose a closer cassette, or a derailleur with a longer cage",
        unit="teeth",
        source="derailleur maker's limit",
        applies=when("derailleur.present", True),
    ),
)
