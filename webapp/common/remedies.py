"""The sentences of the remedies that geometry gives with its refusals."""

from __future__ import annotations

from types import MappingProxyType

from geometry.bike import (
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
from geometry.checks import (
    ComparableValues,
    KnownNumber,
    RoleAndProperty,
)
from geometry.clearance import (
    AheadOfRearAxle,
    AtLeastPedalCentre,
    BeginsAtBridge,
    HeldByHead,
    RisingStations,
    WidthPerStation,
    WithinLargestTyre,
)
from geometry.core import (
    AnyNumber,
    AsManyNumbers,
    AtLeast,
    AtMost,
    DifferentNames,
    FigureOfBike,
    FigureOrInputOfBike,
    FiniteNumber,
    InputOfBike,
    KeyOfGlossary,
    KeyOfInput,
    LessThanChainstay,
    MatchingShape,
    MoreThan,
    NumberBetween,
    OneAtATime,
    OneOf,
    SeveralNumbers,
    SmallerSize,
    SomethingGiven,
    WholeNumber,
)
from geometry.drive import (
    BeltLengthsSold,
    LongerLoop,
    ReachesSlotLine,
    WheelsOfDriveApart,
)
from geometry.loads import (
    MassInAll,
    PointPerMass,
)
from geometry.matrix import (
    BothCoordinates,
    BuildThatStands,
    ShareOfSlot,
)
from geometry.population import (
    MoreThanLowLimit,
    SamePeople,
    WeightsOfOne,
)
from geometry.position import (
    AboveAxle,
    BelowSaddle,
    ClosesTriangle,
    CoversHeights,
    LessThanStraight,
    MoreThanBbDrop,
)
from geometry.rider import (
    AtLeastLeastRoom,
    HumanMeasure,
    MoreThanLowEdge,
    ShorterCranks,
)
from geometry.search import (
    LeastBelowMost,
    StancesBySeats,
)
from geometry.sizing import (
    MoreThanShortest,
    OneNumberEach,
    RisingStatures,
)
from geometry.verify import (
    CausesToTellApart,
    FigureOfDrawing,
    PlaceOfStandover,
)
from webapp.common.text.language import tr
from webapp.common.text.statements import Sentences

UNITS = MappingProxyType(
    {
        "": "",
        "mm": tr("mm"),
        "degrees": tr("degrees"),
        "kg": tr("kg"),
        "decimals": tr("decimals"),
        "teeth": tr("teeth"),
        "pitches": tr("pitches"),
        "turns": tr("turns"),
        "wheel turns": tr("wheel turns"),
        "turns a minute": tr("turns a minute"),
        "of travel": tr("of travel"),
        "of its length": tr("of its length"),
        "of sag": tr("of sag"),
        "of deflection": tr("of deflection"),
        "of the ratio": tr("of the ratio"),
        "mm or slot lengths": tr("mm or slot lengths"),
        "the input's unit": tr("the input's unit"),
        "the figure's unit": tr("the figure's unit"),
        "millimetres": tr("millimetres"),
        "kilograms": tr("kilograms"),
    }
)
"""What the units of the geometry are called in a remedy."""

_NUMBERS = {
    AnyNumber: tr("must be a number"),
    FiniteNumber: tr("must be a finite number of {unit}"),
    SmallerSize: tr("must be at most {most:g} {unit} in size"),
    MoreThan: tr("must be more than {bound:g} {unit}"),
    AtLeast: tr("must be at least {bound:g} {unit}"),
    AtMost: tr("must be at most {bound:g} {unit}"),
    NumberBetween: tr("must be from {lowest:g} to {highest:g} {unit}"),
    WholeNumber: tr("must be a whole number of {unit}"),
    SeveralNumbers: tr("must be a list of finite numbers"),
    AsManyNumbers: tr("must hold {count} numbers as the others"),
    MatchingShape: tr("must broadcast with {shape}"),
    LessThanChainstay: tr("must be less than the chainstay length"),
    OneAtATime: tr("must be one, not an array of several: ask once for each"),
    SomethingGiven: tr("must hold at least one"),
    OneOf: tr("must be {choices}"),
    DifferentNames: tr("must each have a name of its own"),
    KeyOfGlossary: tr("must be a key of the glossary"),
    KeyOfInput: tr("must be an input of the glossary, as in fork.offset"),
    FigureOfBike: tr("must be a figure of this bike"),
    InputOfBike: tr("must be an input of a part that this bike has"),
    FigureOrInputOfBike: tr("must be a figure or an input of this bike"),
}

_BIKE = {
    LongerThanOffset: tr("measured straight, it must be longer than the offset"),
    LessThanAxleToCrown: tr("must be less than the axle-to-crown length"),
    WithinSlot: tr("must lie within the slot's length"),
    BetweenSlotEnds: tr("must be between 0 and the slot's length, {longest:g} mm"),
    FixedAxle: tr("must be 0: this frame's axle does not slide"),
    WiderBar: tr("half the bar's width must hold the sweep's start and the grip"),
    TyreMarking: tr('must be width-diameter in mm, as in "64-622"'),
    DrawingThatCloses: tr(
        "no head angle can close this drawing: check stack, head tube, fork and wheels"
    ),
    TopTubeDrawn: tr("must be drawn before standover can be known"),
    BetweenTubes: tr("must lie between seat tube and head tube"),
    MoreThanSeatOffset: tr("must exceed the seat tube's offset from the BB"),
    WithinTravel: tr("must not exceed the fork's travel"),
    LessThanWheelRadius: tr("must be less than the wheel's radius"),
    WheelsApart: tr(
        "the wheels would overlap: the axles must be further apart than both radii together"
    ),
    FrontAxleAhead: tr(
        "the front axle must lie ahead of the rear axle: check reach and chainstay length"
    ),
    TubeNotLevel: tr("must stay between 0 and 180 degrees when the build stands"),
    SagOnce: tr("give the sag either in mm or as a fraction of travel"),
    ShareOfSlot: tr("must be a share of the slot's length, 0 to 1"),
    BothCoordinates: tr("give both coordinates of the mass centre, or none"),
    BuildThatStands: tr(
        "this combination of size, fork, wheels, axle position and state cannot stand: leave it out"
    ),
}

_TAPE = {
    ClosesTriangle: tr(
        "must close a triangle with {one} and {other}: together they are {together:g} mm long, "
        "so it cannot be longer"
    ),
    CoversHeights: tr(
        "must be at least the {apart:.0f} mm by which the heights of {one} and {other} differ"
    ),
    LessThanStraight: tr("must be less than {straight}, the straight way of {length:g} mm"),
    MoreThanBbDrop: tr("must be more than the BB's drop of {drop:g} mm"),
    BelowSaddle: tr("must be less than the saddle's height of {height:g} mm"),
    AboveAxle: tr("must be more than the wheel's radius: {wheel} says {radius:.0f} mm"),
}

_RIDER = {
    HumanMeasure: tr("give it in {unit}, between {lowest:.0f} and {highest:.0f}"),
    MoreThanLowEdge: tr("give more than the low edge, {low:g}"),
    AtLeastLeastRoom: tr("give at least the least room, {least:g} mm"),
    ShorterCranks: tr(
        "the leg does not reach from the post's axis to the pedal; use shorter cranks"
    ),
    MoreThanLowLimit: tr("give more than the low limit"),
    WeightsOfOne: tr("give weights of 0 or more that add up to 1"),
    SamePeople: tr("give the very same people"),
    OneNumberEach: tr("give {count} numbers, one for each"),
    MoreThanShortest: tr("give more than the shortest stature"),
    RisingStatures: tr("let statures rise from size to size"),
}

_PARTS = {
    WheelsOfDriveApart: tr("must be longer: ring and sprocket overlap"),
    LongerLoop: tr("must be more to go round both wheels"),
    ReachesSlotLine: tr("must be longer to reach the slot's line"),
    BeltLengthsSold: tr("must list the belt lengths to be had, in teeth"),
    AtLeastPedalCentre: tr("must be at least as far out as the pedal's centre"),
    AheadOfRearAxle: tr("must be ahead of the rear axle"),
    WidthPerStation: tr("must hold one width for each of the {stations} stations"),
    RisingStations: tr("must be two stations or more, increasing"),
    BeginsAtBridge: tr("must begin at the bridge, {bridge:g} mm, or before it"),
    WithinLargestTyre: tr("must not be wider than the largest that goes in, {largest:g} mm"),
    HeldByHead: tr("must not be longer than the head, which holds it"),
    PointPerMass: tr("must be one per mass, {masses}"),
    MassInAll: tr("must be more than 0 kg in all"),
    RoleAndProperty: tr('must be "role.property"'),
    ComparableValues: tr('"{relation}" cannot compare it with {other} of {part}'),
    KnownNumber: tr("must be a number; an unknown is stated as unknown"),
    StancesBySeats: tr("must be of stances × {seats} seats"),
    LeastBelowMost: tr("the least must not exceed the most"),
    CausesToTellApart: tr("must hold at least two causes to tell apart"),
    FigureOfDrawing: tr("must be a figure that the frame as drawn has"),
    PlaceOfStandover: tr("must be given with a published standover: where it is measured"),
}

REMEDIES = Sentences(
    MappingProxyType({**_NUMBERS, **_BIKE, **_TAPE, **_RIDER, **_PARTS}), units=UNITS
)
"""The sentence of every remedy."""
