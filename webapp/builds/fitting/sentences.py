"""The sentences of every check that is computed: one place for their words."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType
from typing import TypeAlias

from geometry.checks import (
    Ask,
    AskMaker,
    AskOrMeasure,
    Check,
    Ground,
    PartOfClass,
    Source,
    UsageNotStated,
    UsageStated,
    unknown,
)
from geometry.clearance import (
    AxleAt,
    AxleFurtherBack,
    Beside,
    BossNotKnown,
    BottleOnMount,
    CranksAtMost,
    DeeperSeatTube,
    DropperAtMost,
    Gap,
    GapBelowLaw,
    Loaded,
    LongerPost,
    MoreToeRoom,
    MountRoomNotKnown,
    NarrowerOrLowerTyre,
    NeverAbreast,
    NoBottleOnMount,
    NoBottleOnSeatTube,
    NothingIsEnough,
    OtherBottle,
    PedalLeaning,
    Place,
    PostBesideBottle,
    SaddleOnPost,
    ShorterPost,
    ThisTyre,
    ToeAhead,
    TyreAtMost,
    TyreWidth,
    TyreWidthNotKnown,
)
from geometry.core import Statement
from geometry.drive import (
    ArmFixed,
    ArmLoose,
    AxleSetAt,
    ChooseAnotherPair,
    FixingNotKnown,
    FrameWithFixing,
    HalfLink,
    HubRatio,
    KeepHubRatio,
    LargestRingNotKnown,
    NoCountCloses,
    OtherPair,
    PairCloses,
    PairNeverCloses,
    RingAtMost,
    RingBesideStay,
    SetAxleAt,
    SmallestRatioNotKnown,
    TensionerOrLongerSlot,
)
from geometry.loads import (
    FrontShare,
    LoadLess,
    NothingMore,
    Permitted,
    PermittedNotKnown,
    RiderForward,
)
from webapp.common.text.language import tr
from webapp.common.text.statements import Sentences

WordedCheck: TypeAlias = Check[str]
"""A check whose reason and remedy are sentences."""

CHECK_SENTENCES = Sentences(
    of=MappingProxyType(
        {
            Ask: tr("ask the {whom}"),
            AskMaker: tr("ask its maker"),
            AskOrMeasure: tr("ask the builder or measure the part"),
            UsageStated: tr(
                "{part} is class {stated} ({built_for}); the riding is class {wished} ({riding})"
            ),
            UsageNotStated: tr("the usage class of {part}"),
            PartOfClass: tr("a part of class {classes}, or gentler riding"),
            AxleSetAt: tr(
                "The axle is set at {position:.1f} mm; {pitches:g} pitches close "
                "at {closes_at:.1f} mm"
            ),
            SetAxleAt: tr("set the axle at {position:.1f} mm with a loop of {pitches:g} pitches"),
            NoCountCloses: tr("No count closes with the axle inside this slot"),
            ChooseAnotherPair: tr("choose another ring or sprocket, a half link or a tensioner"),
            PairNeverCloses: tr(
                "{ring:g} × {sprocket:g}: no count closes with the axle inside this slot"
            ),
            PairCloses: tr(
                "{ring:g} × {sprocket:g} closes with {pitches:g} pitches, the "
                "axle at {position:.1f} mm; the slot takes up {takes_up:.2f} % of lengthening"
            ),
            HalfLink: tr("a half link"),
            OtherPair: tr("{ring:g} × {sprocket:g} with {pitches:g} pitches"),
            TensionerOrLongerSlot: tr("a tensioner, or a frame whose axle slides further"),
            SmallestRatioNotKnown: tr("the smallest ratio this hub allows"),
            HubRatio: tr("{ring} × {sprocket} is {ratio:.3f}; this hub allows {least:g} and more"),
            KeepHubRatio: tr(
                "a ring of at least {ring:g} teeth, or a sprocket of at most {sprocket:g}"
            ),
            FixingNotKnown: tr(
                "whether the frame has a fixing for the coaster brake's reaction arm"
            ),
            ArmFixed: tr("The coaster brake's reaction arm is fixed to the frame: {fixing}"),
            ArmLoose: tr("The frame has nothing to fix the coaster brake's reaction arm to"),
            FrameWithFixing: tr("choose a frame with a fixing, or a hub without this brake"),
            LargestRingNotKnown: tr("the largest ring the stays allow"),
            RingBesideStay: tr("The ring has {ring} teeth; the stays allow {most:g}"),
            RingAtMost: tr("a ring of at most {most:g} teeth"),
            MountRoomNotKnown: tr("the room at this mount"),
            BottleOnMount: tr(
                "{bottle}: {length:g} × {diameter:g} mm; the {mount} has room "
                "for {room_length:g} × {room_diameter:g} mm"
            ),
            OtherBottle: tr("{bottle} instead"),
            NoBottleOnMount: tr("no bottle on the {mount}"),
            BossNotKnown: tr("how deep the upper bottle boss lies"),
            PostBesideBottle: tr(
                "The post goes {needed:.0f} mm in; the bottle's bolt leaves {left:.0f} mm"
            ),
            NoBottleOnSeatTube: tr("no bottle on the seat tube"),
            DropperAtMost: tr("a dropper of at most {travel:g} mm"),
            SaddleOnPost: tr(
                "The saddle is to be at {height:.0f} mm; this post reaches "
                "{lowest:.0f} to {highest:.0f} mm here"
            ),
            DeeperSeatTube: tr("a seat tube {by:.0f} mm deeper, or another post"),
            LongerPost: tr("a post {by:.0f} mm longer"),
            ShorterPost: tr(
                "a post {by:.0f} mm shorter above the collar (less travel), or a "
                "deeper or shorter seat tube"
            ),
            TyreWidthNotKnown: tr("the widest tyre for this rim size and axle position"),
            TyreWidth: tr(
                "The tyre measures {width:g} mm; recommended up to "
                "{recommended:g}, goes in up to {largest:g} mm"
            ),
            TyreAtMost: tr("a tyre of at most {width:g} mm"),
            AxleFurtherBack: tr("the axle at {position:g} mm or further back"),
            Gap: tr("{gap:.1f} mm between tyre and {place}"),
            GapBelowLaw: tr(
                "{gap:.1f} mm between tyre and {place}; the US legal floor is {floor:g} mm"
            ),
            NarrowerOrLowerTyre: tr("a narrower or lower tyre"),
            AxleAt: tr("the axle at {position:.1f} mm"),
            ThisTyre: tr("the tyre {tyre}"),
            NothingIsEnough: tr("no axle position and no available tyre is enough"),
            ToeAhead: tr(
                "From the pedal's centre forward to the {what}: {clearance:.0f} "
                "mm, the wheel turned {turned:.0f}°"
            ),
            NeverAbreast: tr("The {what} never comes abreast of the pedal"),
            MoreToeRoom: tr(
                "{by:.0f} mm more, by shorter cranks, a smaller front wheel or a "
                "longer front centre"
            ),
            PedalLeaning: tr(
                "Leaning {lean:g}° ({state}), the lowest pedal is {height:.0f} mm above the ground"
            ),
            CranksAtMost: tr("cranks of at most {length:.0f} mm, larger wheels or less BB drop"),
            FrontShare: tr("The front wheel carries {percent:.0f} % of bike and rider"),
            RiderForward: tr(
                "rider {by:.0f} mm further forward, or load moved from the rear to the front"
            ),
            PermittedNotKnown: tr("the permissible mass for: {what}"),
            Permitted: tr("{what}: {mass:g} kg; permitted by the {source}: {limit:g} kg"),
            LoadLess: tr("{less:g} kg less, or a frame or part permitted for {mass:g} kg"),
            NothingMore: tr("nothing more to be loaded"),
        }
    ),
    words=MappingProxyType(
        {
            Ground.PAVED: tr("paved"),
            Ground.GRAVEL: tr("gravel"),
            Ground.ROUGH_TRAILS: tr("rough trails"),
            Ground.DESCENTS: tr("descents below 40 km/h"),
            Ground.EXTREME_DOWNHILL: tr("extreme downhill"),
            Ground.ROAD_SPORT: tr("road sport"),
            Source.BUILDER: tr("builder"),
            Source.FORK_MAKER: tr("fork's maker"),
            Source.HUB_MAKER: tr("hub's maker"),
            Source.CLOSED_LOOP: tr("plane geometry of the closed loop"),
            Source.EN_17406: tr("EN 17406, class as stated by the maker"),
            Source.ISO_4210_GAP: tr("ISO 4210-2, to be confirmed with the standard"),
            Source.ISO_4210_FRONT_SHARE: tr(
                "ISO 4210-2, cl. 4.7.5, from an excerpt of a national adoption"
            ),
            Source.CFR_PEDAL: tr("16 CFR 1512.17(c)"),
            Source.CFR_TOE: tr("16 CFR 1512.17(d)"),
            Source.FEET_HELD: tr("feet held on the pedals: no limit"),
            Place.STAYS: tr("stays"),
            Place.BRIDGE: tr("bridge"),
            Place.FORK_LEGS: tr("fork legs"),
            Place.CROWN_OR_ARCH: tr("crown or arch"),
            Beside.TYRE: tr("tyre"),
            Beside.MUDGUARD: tr("mudguard"),
            Loaded.UNLOADED: tr("unloaded"),
            Loaded.SAGGED: tr("sagged"),
        }
    ),
)

_UNITS = MappingProxyType({"teeth": tr("teeth")})


def worded(check: Check[Statement]) -> WordedCheck:
    """A check of the geometry with its sentences.

    Parameters
    ----------
    check : Check

    Returns
    -------
    WordedCheck
        The same, reason, remedy, source and unit as people read them.
    """
    say = CHECK_SENTENCES.say
    reason = say(check.reason)
    return with_words(
        check,
        reason=reason if check.known else _not_known(reason),
        remedy=say(check.remedy) if check.remedy else "",
    )


def with_words(check: Check[Statement], *, reason: str, remedy: str) -> WordedCheck:
    """The same check with these sentences, and its source and unit in words."""
    return Check(
        code=check.code,
        outcome=check.outcome,
        figure=check.figure,
        limit=check.limit,
        margin=check.margin,
        unit=_UNITS.get(check.unit, check.unit),
        reason=reason,
        source=CHECK_SENTENCES.word(check.source),
        remedy=remedy,
        safety=check.safety,
    )


def not_known(
    code: str, *, missing: str, source: str, remedy: str, safety: bool = False
) -> WordedCheck:
    """A check that cannot be answered, saying what is missing.

    >>> not_known("post", missing="its depth", source="builder", remedy="measure it").reason
    'Not known: its depth'
    """
    found = unknown(code, missing=missing, source=source, remedy=remedy, safety=safety)
    return replace(found, reason=_not_known(missing))


def _not_known(missing: str) -> str:
    return tr("Not known: {missing}", missing=missing)
