"""The choices of a build as form fields, each option judged against the rest."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from geometry.drive import USUAL_CADENCE
from webapp.builds.choice.build_choice import POSITION_OF, ReadChoice
from webapp.builds.choice.places import NONE, PLACE_OF, SCOPES, lacks, scope_words
from webapp.builds.choice.wheel_sets import WheelSet, wheel_sets
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.checks import Option, extra_options, options
from webapp.builds.solving.solver_inputs import Assembly
from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.schema.part_kinds import ForkData, PartData
from webapp.common.text.language import tr
from webapp.common.text.sentences import ended, sentence


@dataclass(frozen=True, kw_only=True)
class OptionField:
    """One option of a list; ``reason`` says why it would not go with the rest."""

    value: str
    label: str
    note: str = ""
    price: str = ""
    reason: str = ""
    remedy: str = ""


@dataclass(frozen=True, kw_only=True)
class ListField:
    """A list to choose one from."""

    name: str
    label: str
    value: str
    options: tuple[OptionField, ...]
    error: str = ""


@dataclass(frozen=True, kw_only=True)
class NumberField:
    """A number to set; ``value`` is as typed when it was wrong."""

    name: str
    label: str
    value: str
    unit: str
    low: str
    high: str
    hint: str
    error: str = ""


@dataclass(frozen=True, kw_only=True)
class TickField:
    """One extra to tick."""

    value: str
    label: str
    price: str
    ticked: bool
    reason: str = ""
    remedy: str = ""


@dataclass(frozen=True, kw_only=True)
class FieldGroup:
    """Fields that belong together, with what is chosen in them in a few words."""

    key: str
    heading: str
    summary: str
    fields: tuple[ListField, ...]
    numbers: tuple[NumberField, ...] = ()
    open: bool = False


@dataclass(frozen=True, kw_only=True)
class BuildForm:
    """Every field of the build page."""

    revision: int
    size: ListField
    scope: ListField
    fork: ListField
    wheels: tuple[WheelSet, ...]
    slot: NumberField | None
    groups: tuple[FieldGroup, ...]
    extras: tuple[TickField, ...]
    extras_error: str


GROUPS: tuple[tuple[str, str, tuple[str, ...], tuple[str, ...]], ...] = (
    (
        "wheels",
        tr("Rims, tyres, hubs"),
        ("rim_front", "tyre_front", "rim_rear", "tyre_rear", "front_hub", "axle"),
        (),
    ),
    ("cockpit", tr("Cockpit"), ("headset", "stem", "handlebar"), ("spacers",)),
    ("seat", tr("Seat"), ("post", "saddle"), ("saddle_height", "rail")),
    (
        "drive",
        tr("Drive"),
        ("hub", "crank", "ring", "sprocket", "transmission", "derailleur", "pedal"),
        ("cadence",),
    ),
    ("brakes", tr("Brakes"), ("brake",), ()),
    ("suspension", tr("Fork set-up"), (), ("sag",)),
    ("load", tr("Luggage, riding, mud"), (), ("luggage", "usage", "mud")),
    ("finish", tr("Finish"), ("finish",), ()),
)

_WISH_HINTS = {
    "luggage": tr("What the bike carries beside its rider, on the racks chosen."),
    "usage": tr(
        "1 paved, 2 gravel, 3 rough trails, 4 descents below 40 km/h, 5 extreme downhill, "
        "6 road sport. Empty: what the frame is built for."
    ),
    "cadence": tr(
        "How fast you turn the cranks, for the speed in each gear. Empty: {usual_cadence:g}.",
        usual_cadence=USUAL_CADENCE,
    ),
    "mud": tr("Room around the tyres on top of the standard's gap."),
}


def build_form(catalogue: Catalogue, read: ReadChoice, assembly: Assembly | None) -> BuildForm:
    """The fields of the build page.

    Parameters
    ----------
    catalogue : Catalogue
    read : ReadChoice
        What was chosen, and what was wrong.
    assembly : Assembly or None
        None when the parts cannot stand together; options are then not judged.

    Returns
    -------
    BuildForm
    """
    maker = _FormMaker(catalogue, read, assembly)
    return BuildForm(
        revision=read.choice.revision,
        size=maker.size(),
        scope=maker.scope(),
        fork=maker.list_field("fork"),
        wheels=wheel_sets(catalogue, read.choice),
        slot=maker.slot(),
        groups=tuple(filter(_has_fields, (maker.group(*group) for group in GROUPS))),
        extras=maker.extras(),
        extras_error=maker.errors.get("extra", ""),
    )


def _has_fields(group: FieldGroup) -> bool:
    return bool(group.fields or group.numbers)


class _FormMaker:
    def __init__(self, catalogue: Catalogue, read: ReadChoice, assembly: Assembly | None) -> None:
        self.catalogue = catalogue
        self.choice = read.choice
        self.assembly = assembly
        self.typed = read.typed
        self.errors = {problem.field: problem.remedy for problem in read.problems}
        self.setup = (
            Setup(catalogue=catalogue, choice=read.choice, assembly=assembly) if assembly else None
        )
        self.judged: Mapping[str, tuple[Option, ...]] = (
            options(self.setup) if self.setup else MappingProxyType({})
        )

    def error(self, name: str) -> str:
        remedy = self.errors.get(name, "")
        return (
            tr("“{typed}” cannot be used: {remedy}", typed=self.typed.get(name, ""), remedy=remedy)
            if remedy
            else ""
        )

    def size(self) -> ListField:
        listed = tuple(
            OptionField(
                value=size.slug,
                label=size.name,
                price=f"+ {size.surcharge.format()}" if size.surcharge.minor else "",
            )
            for size in self.catalogue.sizes
        )
        return ListField(
            name="size",
            label=tr("Size"),
            value=self.choice.size,
            options=listed,
            error=self.error("size"),
        )

    def scope(self) -> ListField:
        listed = tuple(
            OptionField(value=scope, label=scope_words(self.catalogue, scope))
            for scope in SCOPES
            if scope == self.choice.scope or not lacks(self.catalogue, scope)
        )
        return ListField(
            name="scope",
            label=tr("What you order"),
            value=self.choice.scope,
            options=listed,
            error=self.error("scope"),
        )

    def list_field(self, place: str) -> ListField:
        known = PLACE_OF[place]
        listed = [self.option(option) for option in self.options_of(place)]
        if known.optional:
            listed.append(OptionField(value=NONE, label=tr("none")))
        return ListField(
            name=place,
            label=known.label,
            value=self.choice.parts[place] or NONE,
            options=tuple(listed),
            error=self.error(place),
        )

    def options_of(self, place: str) -> tuple[Option, ...]:
        if place in self.judged:
            return self.judged[place]
        offered = self.catalogue.offered(PLACE_OF[place].kind)
        return tuple(Option(part=part, reason="", remedy="") for part in offered)

    def option(self, option: Option) -> OptionField:
        part = option.part
        gone = part.retired and not part.assumed
        label = tr("{part} (no longer made)", part=part.name) if gone else part.name
        unpriced = "" if part.assumed else tr("no price yet")
        return OptionField(
            value=part.slug,
            label=label,
            note=part_note(part.data),
            price=part.price.format() if part.price else unpriced,
            reason=sentence(option.reason),
            remedy=ended(option.remedy),
        )

    def group(
        self, key: str, heading: str, places: tuple[str, ...], positions: tuple[str, ...]
    ) -> FieldGroup:
        there = [place for place in places if self.options_of(place)]
        fields = tuple(self.list_field(place) for place in there)
        numbers = tuple(self.number(name) for name in positions if self.applies(name))
        wrong = any(self.error(name) for name in (*places, *positions))
        names = [
            self.catalogue.part(PLACE_OF[place].kind, self.choice.parts[place]).name
            for place in places
            if self.choice.parts[place]
        ]
        return FieldGroup(
            key=key,
            heading=heading,
            summary=", ".join(names),
            fields=fields,
            numbers=numbers,
            open=wrong,
        )

    def applies(self, name: str) -> bool:
        return name != "sag" or self.fork.travel > 0

    @property
    def fork(self) -> ForkData:
        """Of the build."""
        return self.catalogue.data(ForkData, self.choice.parts["fork"])

    def number(self, name: str) -> NumberField:
        position = POSITION_OF[name]
        value = getattr(self.choice, name)
        shown = "" if value is None else f"{value:g}"
        return NumberField(
            name=name,
            label=position.label,
            value=self.typed.get(name, shown),
            unit=position.unit,
            low=f"{position.low:g}",
            high=f"{position.high:g}",
            hint=self.hint(name),
            error=self.error(name),
        )

    def hint(self, name: str) -> str:
        if name == "saddle_height" and self.assembly:
            reach = self.assembly.seat_range
            empty = "yours" if self.choice.rider and self.choice.rider.known else tr("the middle")
            return tr(
                (
                    "BB centre to saddle top. This post reaches {lowest:.0f} to "
                    "{highest:.0f} mm in this size; empty: {empty}."
                ),
                lowest=reach.lowest,
                highest=reach.highest,
                empty=empty,
            )
        if name == "sag":
            return tr(
                "Share of the travel used with the rider on. Empty: this fork's usual {usual:g} %.",
                usual=self.fork.sag_fraction * 100,
            )
        if name in _WISH_HINTS:
            return _WISH_HINTS[name]
        if name == "rail":
            return tr("Forward of the rails' middle; negative is back.")
        most = self.catalogue.revision.data.spacers.most
        return tr("At most {most:g} mm on this frame.", most=most)

    def slot(self) -> NumberField | None:
        length = self.catalogue.size(self.choice.size).data.slot_length
        if length == 0 and not self.error("slot"):
            return None
        return NumberField(
            name="slot",
            label=tr("Axle position"),
            value=self.typed.get("slot", f"{self.choice.slot:g}"),
            unit=tr("mm"),
            low="0",
            high=f"{length:g}",
            hint=tr("From the slot's front end. Further back: longer chainstay and wheelbase."),
            error=self.error("slot"),
        )

    def extras(self) -> tuple[TickField, ...]:
        judged = extra_options(self.setup) if self.setup else {}
        return tuple(
            TickField(
                value=part.slug,
                label=part.name,
                price=part.price.format() if part.price else tr("no price yet"),
                ticked=part.slug in self.choice.extras,
                reason=sentence(judged[part.slug].reason) if judged else "",
                remedy=ended(judged[part.slug].remedy) if judged else "",
            )
            for part in self.catalogue.offered("extra")
        )


def part_note(data: PartData) -> str:
    """The figures of a part that a rider chooses by, in a few words."""
    if isinstance(data, ForkData):
        way = "straight" if data.axle_to_crown_measured == "straight" else tr("along the axis")
        return tr(
            "axle-to-crown {axle_to_crown:g} mm {way}, offset {offset:g} mm",
            axle_to_crown=data.axle_to_crown,
            way=way,
            offset=data.offset,
        )
    return ""
