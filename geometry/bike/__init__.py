"""The bike itself: frame as drawn, fork and wheels, the bike standing on the ground, its
trail, cockpit, saddle and standover, its loaded states, and all its figures at once.
"""

from geometry.bike.cockpit import Cockpit, Handlebar, Hands, Places, Stem, hands, places_on_axis
from geometry.bike.drawing import Closure, closure, front_axle, rear_axle
from geometry.bike.frame_points import from_head_tube_top, on_seat_axis
from geometry.bike.left_out import missing
from geometry.bike.parts import Build, DrawnWith, Fork, Frame, Measured, State, TopTube
from geometry.bike.remedies import (
    BetweenSlotEnds,
    BetweenTubes,
    DrawingThatCloses,
    FixedAxle,
    FrontAxleAhead,
    LessThanAxleToCrown,
    LessThanWheelRadius,
    LongerThanOffset,
    MoreThanSeatOffset,
    SagOnce,
    TopTubeDrawn,
    TubeNotLevel,
    TyreMarking,
    WheelsApart,
    WiderBar,
    WithinSlot,
    WithinTravel,
)
from geometry.bike.saddle import Seat, Seated, seated
from geometry.bike.slopes import jacobian
from geometry.bike.standing import Standing, stand
from geometry.bike.standover_height import seat_tube_point, standover, top_tube_ends
from geometry.bike.states import LOADINGS, Loading
from geometry.bike.wheels import measured_width, radius, read_marking
from geometry.bike.whole_bike import (
    Bike,
    Stood,
    as_drawn,
    figures,
    is_figure,
    moved,
    numbers,
    stood,
)

__all__ = [
    "LOADINGS",
    "BetweenSlotEnds",
    "BetweenTubes",
    "Bike",
    "Build",
    "Closure",
    "Cockpit",
    "DrawingThatCloses",
    "DrawnWith",
    "FixedAxle",
    "Fork",
    "Frame",
    "FrontAxleAhead",
    "Handlebar",
    "Hands",
    "LessThanAxleToCrown",
    "LessThanWheelRadius",
    "Loading",
    "LongerThanOffset",
    "Measured",
    "MoreThanSeatOffset",
    "Places",
    "SagOnce",
    "Seat",
    "Seated",
    "Standing",
    "State",
    "Stem",
    "Stood",
    "TopTube",
    "TopTubeDrawn",
    "TubeNotLevel",
    "TyreMarking",
    "WheelsApart",
    "WiderBar",
    "WithinSlot",
    "WithinTravel",
    "as_drawn",
    "closure",
    "figures",
    "from_head_tube_top",
    "front_axle",
    "hands",
    "is_figure",
    "jacobian",
    "measured_width",
    "missing",
    "moved",
    "numbers",
    "on_seat_axis",
    "places_on_axis",
    "radius",
    "read_marking",
    "rear_axle",
    "seat_tube_point",
    "seated",
    "stand",
    "standover",
    "stood",
    "top_tube_ends",
]
