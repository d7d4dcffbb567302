"""What would be right where the geometry refuses something: the sentences of its remedies."""

from __future__ import annotations

from types import MappingProxyType

from geometry import (
    bike,
    checks,
    clearance,
    core,
    drive,
    loads,
    matrix,
    population,
    position,
    rider,
    search,
    sizing,
    verify,
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
    core.AnyNumber: tr("must be a number"),
    core.FiniteNumber: tr("must be a finite number of {unit}"),
    core.SmallerSize: tr("must be at most {most:g} {unit} in size"),
    core.MoreThan: tr("must be more than {bound:g} {unit}"),
    core.AtLeast: tr("must be at least {bound:g} {unit}"),
    core.AtMost: tr("must be at most {bound:g} {unit}"),
    core.NumberBetween: tr("must be from {lowest:g} to {highest:g} {unit}"),
    core.WholeNumber: tr("must be a whole number of {unit}"),
    core.SeveralNumbers: tr("must be a list of finite numbers"),
    core.AsManyNumbers: tr("must hold {count} numbers as the others"),
    core.MatchingShape: tr("must broadcast with {shape}"),
    core.LessThanChainstay: tr("must be less than the chainstay length"),
    core.OneAtATime: tr("must be one, not an array of several: ask once for each"),
    core.SomethingGiven: tr("must hold at least one"),
    core.OneOf: tr("must be {choices}"),
    core.DifferentNames: tr("must each have a name of its own"),
    core.KeyOfGlossary: tr("must be a key of the glossary"),
    core.KeyOfInput: tr("must be an input of the glossary, as in fork.offset"),
    core.FigureOfBike: tr("must be a figure of this bike"),
    core.InputOfBike: tr("must be an input of a part that this bike has"),
    core.FigureOrInputOfBike: tr("must be a figure or an input of this bike"),
}

_BIKE = {
    bike.LongerThanOffset: tr("measured straight, it must be longer than the offset"),
    bike.LessThanAxleToCrown: tr("must be less than the axle-to-crown length"),
    bike.WithinSlot: tr("must lie within the slot's length"),
    bike.BetweenSlotEnds: tr("must be between 0 and the slot's length, {longest:g} mm"),
    bike.FixedAxle: tr("must be 0: this frame's axle does not slide"),
    bike.WiderBar: tr("half the bar's width must hold the sweep's start and the grip"),
    bike.TyreMarking: tr('must be width-diameter in mm, as in "64-622"'),
    bike.DrawingThatCloses: tr(
        "no head angle can close this drawing: check stack, head tube, fork and wheels"
    ),
    bike.TopTubeDrawn: tr("must be drawn before standover can be known"),
    bike.BetweenTubes: tr("must lie between seat tube and head tube"),
    bike.MoreThanSeatOffset: tr("must exceed the seat tube's offset from the BB"),
    bike.WithinTravel: tr("must not exceed the fork's travel"),
    bike.LessThanWheelRadius: tr("must be less than the wheel's radius"),
    bike.WheelsApart: tr(
        "the wheels would overlap: the axles must be further apart than both radii together"
    ),
    bike.FrontAxleAhead: tr(
        "the front axle must lie ahead of the rear axle: check reach and chainstay length"
    ),
    bike.TubeNotLevel: tr("must stay between 0 and 180 degrees when the build stands"),
    bike.SagOnce: tr("give the sag either in mm or as a fraction of travel"),
    bike.AngleBothWheelsReach: tr(
        "no pitch of the frame keeps both wheels on the ground at this angle"
    ),
    matrix.ShareOfSlot: tr("must be a share of the slot's length, 0 to 1"),
    matrix.BothCoordinates: tr("give both coordinates of the mass centre, or none"),
    matrix.BuildThatStands: tr(
        "this combination of size, fork, wheels, axle position and state cannot stand: leave it out"
    ),
}

_TAPE = {
    position.ClosesTriangle: tr(
        "must close a triangle with {one} and {other}: together they are {together:g} mm long, "
        "so it cannot be longer"
    ),
    position.CoversHeights: tr(
        "must be at least the {apart:.0f} mm by which the heights of {one} and {other} differ"
    ),
    position.LessThanStraight: tr(
        "must be less than {straight}, the straight way of {length:g} mm"
    ),
    position.MoreThanBbDrop: tr("must be more than the BB's drop of {drop:g} mm"),
    position.BelowSaddle: tr("must be less than the saddle's height of {height:g} mm"),
    position.AboveAxle: tr("must be more than the wheel's radius: {wheel} says {radius:.0f} mm"),
}

_RIDER = {
    rider.HumanMeasure: tr("give it in {unit}, between {lowest:.0f} and {highest:.0f}"),
    rider.MoreThanLowEdge: tr("give more than the low edge, {low:g}"),
    rider.AtLeastLeastRoom: tr("give at least the least room, {least:g} mm"),
    rider.ShorterCranks: tr(
        "the leg does not reach from the post's axis to the pedal; use shorter cranks"
    ),
    population.MoreThanLowLimit: tr("give more than the low limit"),
    population.WeightsOfOne: tr("give weights of 0 or more that add up to 1"),
    population.SamePeople: tr("give the very same people"),
    sizing.OneNumberEach: tr("give {count} numbers, one for each"),
    sizing.MoreThanShortest: tr("give more than the shortest stature"),
    sizing.RisingStatures: tr("let statures rise from size to size"),
}

_PARTS = {
    drive.WheelsOfDriveApart: tr("must be longer: ring and sprocket overlap"),
    drive.LongerLoop: tr("must be more to go round both wheels"),
    drive.ReachesSlotLine: tr("must be longer to reach the slot's line"),
    drive.BeltLengthsSold: tr("must list the belt lengths to be had, in teeth"),
    clearance.AtLeastPedalCentre: tr("must be at least as far out as the pedal's centre"),
    clearance.AheadOfRearAxle: tr("must be ahead of the rear axle"),
    clearance.WidthPerStation: tr("must hold one width for each of the {stations} stations"),
    clearance.RisingStations: tr("must be two stations or more, increasing"),
    clearance.BeginsAtBridge: tr("must begin at the bridge, {bridge:g} mm, or before it"),
    clearance.WithinLargestTyre: tr(
        "must not be wider than the largest that goes in, {largest:g} mm"
    ),
    clearance.HeldByHead: tr("must not be longer than the head, which holds it"),
    loads.PointPerMass: tr("must be one per mass, {masses}"),
    loads.MassInAll: tr("must be more than 0 kg in all"),
    checks.RoleAndProperty: tr('must be "role.property"'),
    checks.ComparableValues: tr('"{relation}" cannot compare it with {other} of {part}'),
    checks.KnownNumber: tr("must be a number; an unknown is stated as unknown"),
    search.StancesBySeats: tr("must be of stances × {seats} seats"),
    search.LeastBelowMost: tr("the least must not exceed the most"),
    verify.CausesToTellApart: tr("must hold at least two causes to tell apart"),
    verify.FigureOfDrawing: tr("must be a figure that the frame as drawn has"),
    verify.PlaceOfStandover: tr("must be given with a published standover: where it is measured"),
}

REMEDIES = Sentences(
    MappingProxyType({**_NUMBERS, **_BIKE, **_TAPE, **_RIDER, **_PARTS}), units=UNITS
)
"""The sentence of every remedy."""
