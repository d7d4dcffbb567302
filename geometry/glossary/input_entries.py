"""Glossary of the inputs: frame as drawn, parts, cockpit, saddle and state."""

from __future__ import annotations

from geometry.glossary.entries import Entry, angle, length

_DRAWING = "Builder's drawing."
_MAKER = "Part maker's dimension."
_SETTING = "As set on the bike."

_FRAME: tuple[Entry, ...] = tuple(
    make(f"frame.{field}", name, symbol, definition, source=_DRAWING, place=f"Frame.{field}")
    for make, field, name, symbol, definition in (
        (
            length,
            "reach",
            "Drawn reach",
            "R₀",
            "From the BB centre level forward to the centre of the head tube's top, as drawn.",
        ),
        (
            length,
            "stack",
            "Drawn stack",
            "S₀",
            "From the BB centre straight up to the height of the head tube's top, as drawn.",
        ),
        (angle, "head_angle", "Drawn head angle", "HA₀", "Steering axis from the level, as drawn."),
        (
            length,
            "head_tube_length",
            "Head tube length",
            "HT",
            "From the head tube's top to its bottom, along the steering axis.",
        ),
        (
            angle,
            "seat_tube_angle",
            "Drawn seat tube angle",
            "STA₀",
            "Seat tube's axis from the level, as drawn.",
        ),
        (
            length,
            "seat_tube_offset",
            "Seat tube offset",
            "so",
            "Distance of the seat tube's axis from the BB centre, square to it; positive when the"
            " axis passes in front.",
        ),
        (
            length,
            "seat_tube_length",
            "Seat tube length",
            "ST",
            "From the BB centre's foot on the seat tube's axis to the tube's top, along the axis.",
        ),
        (
            length,
            "chainstay_length",
            "Drawn chainstay length",
            "CS₀",
            "From the BB centre straight to the rear axle at slot position 0.",
        ),
        (
            length,
            "bb_drop",
            "Drawn BB drop",
            "D₀",
            "How far the BB centre lies below the rear axle at slot position 0, as drawn.",
        ),
        (
            length,
            "slot_length",
            "Slot length",
            "SL",
            "How far the rear axle slides back; 0 for a fixed axle.",
        ),
        (
            angle,
            "slot_angle",
            "Slot angle",
            "sa",
            "Slope of the slot in the drawn attitude; positive rises to the rear.",
        ),
    )
)


def _fork(prefix: str, name: str, place: str) -> tuple[Entry, ...]:
    """Entries of a fork, fitted or of the drawing."""
    return (
        length(
            f"{prefix}.axle_to_crown",
            f"{name} axle-to-crown",
            "AC",
            "From the axle to the crown race seat, fully extended; along the steering axis or"
            " straight, as its maker quotes it.",
            source=_MAKER,
            place=f"{place}.axle_to_crown",
        ),
        length(
            f"{prefix}.offset",
            f"{name} offset",
            "o",
            "Distance of the axle in front of the steering axis, square to it; negative for a fork"
            " turned round.",
            source=_MAKER,
            place=f"{place}.offset",
        ),
        length(
            f"{prefix}.travel",
            f"{name} travel",
            "tr",
            "How far the fork can be pressed in, along the steering axis; 0 for a rigid fork.",
            source=_MAKER,
            place=f"{place}.travel",
        ),
    )


def _fitted(prefix: str, how: str, place: str, source: str) -> tuple[Entry, ...]:
    """Entries of headset, wheels and axle position, fitted or of the drawing."""
    return (
        length(
            f"{prefix}.lower_headset_stack",
            f"Lower headset stack{how}",
            "LS",
            "From the head tube's bottom to the crown race seat, along the steering axis.",
            source=source,
            place=f"{place}.lower_headset_stack",
        ),
        length(
            f"{prefix}.front_radius",
            f"Front wheel radius{how}",
            "Rf₀",
            "Over the tyre, not pressed in.",
            source=source,
            place=f"{place}.front_radius",
        ),
        length(
            f"{prefix}.rear_radius",
            f"Rear wheel radius{how}",
            "Rr₀",
            "Over the tyre, not pressed in.",
            source=source,
            place=f"{place}.rear_radius",
        ),
        length(
            f"{prefix}.slot_position",
            f"Axle position in the slot{how}",
            "s",
            "Rear axle from the slot's front end, along the slot; 0 is fully forward.",
            source=source,
            place=f"{place}.slot_position",
        ),
    )


_TOP_TUBE: tuple[Entry, ...] = (
    length(
        "top_tube.below_head_tube_top",
        "Top tube below the head tube's top",
        "tb",
        "From the head tube's top down its axis to the top tube's centreline.",
        source=_DRAWING,
        place="TopTube.below_head_tube_top",
    ),
    length(
        "top_tube.along_seat_tube",
        "Top tube up the seat tube",
        "ta",
        "From the BB centre's foot on the seat tube's axis up to the top tube's centreline.",
        source=_DRAWING,
        place="TopTube.along_seat_tube",
    ),
    length(
        "top_tube.diameter",
        "Top tube diameter",
        "td",
        "Outside diameter.",
        source=_DRAWING,
        place="TopTube.diameter",
    ),
)

_STATE: tuple[Entry, ...] = (
    length(
        "state.fork_compression",
        "Fork compression",
        "fc",
        "Travel used, along the steering axis.",
        source=_SETTING,
        place="State.fork_compression",
    ),
    length(
        "state.front_deflection",
        "Front tyre deflection",
        "df",
        "Free minus loaded radius of the front wheel.",
        source=_SETTING,
        place="State.front_deflection",
    ),
    length(
        "state.rear_deflection",
        "Rear tyre deflection",
        "dr",
        "Free minus loaded radius of the rear wheel.",
        source=_SETTING,
        place="State.rear_deflection",
    ),
)

_COCKPIT: tuple[Entry, ...] = tuple(
    make(
        f"{owner}.{field}",
        name,
        symbol,
        definition,
        source=source,
        place=f"{owner.capitalize()}.{field}",
    )
    for make, owner, field, name, symbol, definition, source in (
        (
            length,
            "stem",
            "length",
            "Stem length",
            "sl",
            "From the steerer's centre to the bar's centre, along the stem.",
            _MAKER,
        ),
        (
            angle,
            "stem",
            "angle",
            "Stem angle",
            "sα",
            "From square to the steering axis; positive rises.",
            _MAKER,
        ),
        (
            length,
            "stem",
            "clamp_height",
            "Stem clamp height",
            "sc",
            "Height of the stem's clamp on the steerer.",
            _MAKER,
        ),
        (
            length,
            "handlebar",
            "width",
            "Bar width",
            "bw",
            "Over both ends.",
            _MAKER,
        ),
        (
            length,
            "handlebar",
            "rise",
            "Bar rise",
            "br",
            "From the clamp's centre up to where the grip sections start.",
            _MAKER,
        ),
        (
            angle,
            "handlebar",
            "backsweep",
            "Backsweep",
            "bs",
            "How far the grip sections turn back, seen from above.",
            _MAKER,
        ),
        (
            angle,
            "handlebar",
            "upsweep",
            "Upsweep",
            "us",
            "How far the grip sections turn up, seen from the front.",
            _MAKER,
        ),
        (
            length,
            "handlebar",
            "sweep_start",
            "Start of the sweep",
            "ss",
            "From the bar's centre outward to where the grip sections start.",
            _MAKER,
        ),
        (
            length,
            "handlebar",
            "grip_from_end",
            "Grip from the bar's end",
            "ge",
            "From the bar's end in to the grip's centre.",
            _SETTING,
        ),
        (
            length,
            "handlebar",
            "forward",
            "Bar forward",
            "bf",
            "From the clamp's centre forward to where the grip sections start.",
            _MAKER,
        ),
        (
            angle,
            "handlebar",
            "roll",
            "Bar roll",
            "ro",
            "Turn of the bar in the stem; positive tips the rise forward.",
            _SETTING,
        ),
        (
            length,
            "cockpit",
            "upper_headset_stack",
            "Upper headset stack",
            "hu",
            "From the head tube's top to the top of the headset's cover.",
            _MAKER,
        ),
        (
            length,
            "cockpit",
            "spacers",
            "Spacers",
            "sp",
            "Height of the spacers under the stem.",
            _SETTING,
        ),
        (
            length,
            "seat",
            "height",
            "Saddle height",
            "SH",
            "From the BB centre straight to where the post's axis meets the saddle's level.",
            _SETTING,
        ),
        (
            length,
            "seat",
            "post_offset",
            "Post setback",
            "po",
            "Of the post's clamp behind its axis, square to it.",
            _MAKER,
        ),
        (
            length,
            "seat",
            "rail_position",
            "Saddle on its rails",
            "rp",
            "Saddle slid forward (+) or back (−) from the rails' middle.",
            _SETTING,
        ),
        (
            length,
            "seat",
            "saddle_stack",
            "Saddle stack",
            "sk",
            "From the rails' centre up to the saddle's top.",
            _MAKER,
        ),
    )
)

INPUTS: tuple[Entry, ...] = (
    *_FRAME,
    *_TOP_TUBE,
    *_fork("fork", "Fork", "Fork"),
    *_fitted("build", "", "Build", _SETTING),
    *_fork("drawn_with.fork", "Drawn fork", "DrawnWith.fork"),
    *_fitted("drawn_with", " as drawn", "DrawnWith", _DRAWING),
    *_STATE,
    *_COCKPIT,
)
"""Everything given, in the order of the classes that hold it."""
