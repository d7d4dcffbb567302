"""What a rider feels of each figure, beside the words of the glossary.

Common practice of the trade [CP], in the direction in which a figure grows. A figure
without an entry is explained without such a clause.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from webapp.common.text.language import tr

FELT: Mapping[str, str] = MappingProxyType(
    {
        "reach": tr("More of it: more room while you stand on the pedals, further to the grips."),
        "stack": tr("More of it: the hands come up and the back with them."),
        "effective_top_tube": tr("More of it: you sit more stretched out."),
        "head_angle": tr("Less of it: calmer downhill and fast, slower to turn in tight bends."),
        "seat_tube_angle": tr(
            "More of it: the saddle comes forward, which helps on climbs and loads the hands."
        ),
        "effective_seat_angle": tr(
            "More of it: you sit further over the pedals, good uphill, heavier on the hands."
        ),
        "chainstay_length": tr(
            "More of it: steadier, and the front stays down uphill; less of it: easier to lift."
        ),
        "rear_centre": tr(
            "More of it: weight moves to the front wheel; less of it: the bike turns on its rear."
        ),
        "front_centre": tr(
            "More of it: harder to be thrown over the front, less weight on the front wheel."
        ),
        "front_centre_straight": tr(
            "More of it: more room for the toes and a surer feeling on steep ground."
        ),
        "wheelbase": tr("More of it: runs straight and calm; less of it: nimble in narrow turns."),
        "bb_drop": tr(
            "More of it: you feel in the bike and not on it; the pedals come nearer ground."
        ),
        "bb_drop_front": tr("More of it: the bike feels planted when the front goes down."),
        "bb_height": tr(
            "Less of it: surer in bends; more of it: fewer pedals on roots and stones."
        ),
        "standover": tr("Less of it: easier to put both feet down."),
        "trail": tr("More of it: the front wheel holds its line and asks for more hand to turn."),
        "mechanical_trail": tr("More of it: the bars feel heavier and centre themselves more."),
        "wheel_flop": tr(
            "More of it: at walking pace the wheel falls to the side it is turned to."
        ),
        "grips_to_rear_axle": tr("More of it: steadier, and more pull to lift the front."),
        "grips_to_rear_axle_straight": tr(
            "More of it: a longer lever to the rear wheel, slower to lift or flick."
        ),
        "grip_height": tr("More of it: an upright back and lighter hands, more wind."),
        "saddle_above_ground": tr(
            "More of it: further to put a foot down without leaving the saddle."
        ),
    }
)
