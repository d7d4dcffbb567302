"""The choices of a build as form fields, each option judged against the rest."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import chain
from types import MappingProxyType

from geometry.drive import USUAL_CADENCE
from webapp.builds.choice.build_choice import POSITION_OF, ReadChoice
from webapp.builds.choice.places import MADE_HERE, NONE, PLACE_OF, SCOPES, lacks, scope_words
from webapp.builds.choice.wheel_sets import wheel_sets
from webapp.builds.effects import Effects
from webapp.builds.evaluation import BuildResult
from webapp.builds.fitting.options import Option, extra_options, options
from webapp.builds.page.check_view import CheckLine
from webapp.builds.page.fields import (
    BuildForm,
    ListField,
    NumberField,
    OptionField,
    Step,
    TickField,
)
from webapp.builds.page.load_words import load_words
from webapp.builds.page.troubles import Troubles
from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.schema.part_kinds import ForkData, PartData
from webapp.common.text.language import tr
from webapp.common.text.sentences import ended, sentence

GROUPS: tuple[tuple[str, str, tuple[str, ...], tuple[str, ...]], ...] = (
    ("fork", tr("Fork"), ("fork",), ("sag",)),
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
    ("load", tr("Luggage, riding, mud"), (), ("luggage", "usage", "mud")),
    ("finish", tr("Finish"), ("finish",), ()),
)
"""Steps of parts: key, heading, places, positions; sizes stand before them, extras after."""

MOST_FIELDS = 2_000  # lists kept with a catalogue, each of some kilobytes

OPEN = frozenset({"size", "axle"})
"""Steps that show at once."""

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


def build_form(
    catalogue: Catalogue,
    read: ReadChoice,
    result: BuildResult | None,
    troubles: Troubles = MappingProxyType({}),
) -> BuildForm:
    """The fields of the build page.

    Parameters
    ----------
    catalogue : Catalogue
    read : ReadChoice
        What was chosen, and what was wrong.
    result : BuildResult or None
        None when the parts cannot stand together; options are then not judged.
    troubles : mapping of place or step to tuple of CheckLine
        Checks that are not clear, shown where the choice was made.

    Returns
    -------
    BuildForm
    """
    maker = _FormMaker(catalogue, read, result)
    first, *rest = (maker.group(*group) for group in GROUPS)
    steps = (maker.size(), first, maker.axle(), *rest, maker.extras(), maker.scope())
    there = [step for step in steps if step.fields or step.numbers or step.wheels or step.ticks]
    shown = [_with_troubles(step, troubles) for step in there]
    return BuildForm(
        revision=read.choice.revision,
        steps=tuple(shown),
        fields=MappingProxyType({each.name: each for step in shown for each in step.fields}),
    )


def _with_troubles(step: Step, troubles: Troubles) -> Step:
    """The step with what is not clear in it, its fields marked."""
    at_fields = (troubles.get(each.name, ()) for each in step.fields)
    found = (*troubles.get(step.key, ()), *chain.from_iterable(at_fields))
    if not found:
        return step
    fields = tuple(
        each._replace(outcome=_worst(troubles[each.name])) if each.name in troubles else each
        for each in step.fields
    )
    return step._replace(fields=fields, troubles=found, outcome=_worst(found))


def _worst(found: Iterable[CheckLine]) -> str:
    outcomes = {line.outcome for line in found}
    return next((each for each in ("no", "tight") if each in outcomes), "")


class _FormMaker:
    def __init__(self, catalogue: Catalogue, read: ReadChoice, result: BuildResult | None) -> None:
        self.catalogue = catalogue
        self.choice = read.choice
        self.typed = read.typed
        self.errors = {problem.field: problem.remedy for problem in read.problems}
        self.setup = result.setup if result else None
        self.judged: Mapping[str, tuple[Option, ...]] = (
            options(self.setup) if self.setup else MappingProxyType({})
        )
        self.effects = Effects(catalogue, read.choice, price=result.price if result else None)
        self.fields = catalogue.memory.nested("fields", most=MOST_FIELDS)

    def error(self, name: str) -> str:
        remedy = self.errors.get(name, "")
        return (
            tr("“{typed}” cannot be used: {remedy}", typed=self.typed.get(name, ""), remedy=remedy)
            if remedy
            else ""
        )

    def size(self) -> Step:
        listed = tuple(
            OptionField(value=size.slug, label=size.name, effect=self.effects.of_size(size).words)
            for size in self.catalogue.sizes
        )
        return self.short_list("size", tr("Size"), self.choice.size, listed)

    def scope(self) -> Step:
        listed = tuple(
            OptionField(
                value=scope,
                label=scope_words(self.catalogue, scope),
                effect=self.effects.of(replace(self.choice, scope=scope)).words,
            )
            for scope in SCOPES
            if scope == self.choice.scope or not lacks(self.catalogue, scope)
        )
        return self.short_list("scope", tr("What you order"), self.choice.scope, listed)

    def short_list(
        self, name: str, label: str, value: str, listed: tuple[OptionField, ...]
    ) -> Step:
        """A step of one list that is no part."""
        chosen = next(option.label for option in listed if option.value == value)
        found = ListField(
            name=name,
            label=label,
            value=value,
            options=listed,
            error=self.error(name),
            chosen=chosen,
            short=name == "size",
        )
        return Step(
            key=name,
            heading=label,
            summary=chosen,
            fields=(found,),
            open=name in OPEN,
            wrong=bool(found.error),
        )

    def axle(self) -> Step:
        """Wheel sizes, which change rims and tyres together, and where the axle is."""
        slider = self.slot()
        return Step(
            key="axle",
            heading=tr("Wheel size and axle") if slider else tr("Wheel size"),
            wheels=wheel_sets(self.catalogue, self.choice),
            slider=slider,
            open="axle" in OPEN,
            wrong=bool(slider and slider.error),
        )

    def list_field(self, place: str) -> ListField:
        """The list of a place, the same object for all builds where the same is said of it."""
        judged = self.options_of(place)
        parts = [option.part for option in judged]
        optional = [None] if PLACE_OF[place].optional else []
        effects, saved = self.effects.said_of(place, [*parts, *optional])
        value, error = self.choice.parts[place] or NONE, self.error(place)
        own = self.own(place, saved)

        def made(*, common: bool) -> ListField:
            listed = _listed(judged, effects)
            return ListField(
                name=place,
                label=PLACE_OF[place].label,
                value=value,
                options=listed,
                error=error,
                chosen=next((option.label for option in listed if option.value == value), ""),
                own=own,
                common=common,
            )

        if error or any(option.personal for option in judged):
            return made(common=False)
        said = [(option.part.slug, option.reason, option.remedy) for option in judged]
        key = (place, value, own, effects, tuple(said))
        return self.fields.of(key, lambda: made(common=True))

    def own(self, place: str, saved: str) -> TickField | None:
        """The box that says the customer brings the part of a place, where they can."""
        slug = self.choice.parts[place]
        if place in MADE_HERE or place not in self.effects.sold or not slug:
            return None
        if self.catalogue.part(PLACE_OF[place].kind, slug).assumed:
            return None
        owned = place in self.choice.own
        return TickField(
            value=place,
            label=tr("I have it already"),
            ticked=owned,
            effect="" if owned else saved,
        )

    def options_of(self, place: str) -> tuple[Option, ...]:
        if place in self.judged:
            return self.judged[place]
        offered = self.catalogue.offered(PLACE_OF[place].kind)
        return tuple(Option(part=part, reason="", remedy="") for part in offered)

    def group(
        self, key: str, heading: str, places: tuple[str, ...], positions: tuple[str, ...]
    ) -> Step:
        there = [place for place in places if self.options_of(place)]
        fields = tuple(self.list_field(place) for place in there)
        numbers = tuple(self.number(name) for name in positions if self.applies(name))
        words = load_words(self.setup) if key == "load" and self.setup else ()
        return Step(
            key=key,
            heading=heading,
            words=words,
            summary=", ".join(found.chosen for found in fields if found.value != NONE),
            fields=fields,
            numbers=numbers,
            open=key in OPEN,
            wrong=any(self.errors.get(name) for name in (*places, *positions)),
        )

    def applies(self, name: str) -> bool:
        return name != "sag" or self.fork.travel > 0

    @property
    def fork(self) -> ForkData:
        """Data of the build's fork."""
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
        if name == "saddle_height" and self.setup:
            reach = self.setup.assembly.seat_range
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

    def extras(self) -> Step:
        judged = extra_options(self.setup) if self.setup else {}
        offered = self.catalogue.offered("extra")
        ticks = tuple(
            TickField(
                value=part.slug,
                label=part.name,
                effect=self.effects.of_extra(part).words,
                ticked=part.slug in self.choice.extras,
                reason=sentence(judged[part.slug].reason) if judged else "",
                remedy=ended(judged[part.slug].remedy) if judged else "",
            )
            for part in offered
        )
        return Step(
            key="extras",
            heading=tr("Extras"),
            summary=", ".join(part.name for part in offered if part.slug in self.choice.extras),
            ticks=ticks,
            ticks_error=self.error("extra"),
            wrong=bool(self.error("extra")),
        )


def _listed(judged: Iterable[Option], effects: Sequence[str]) -> tuple[OptionField, ...]:
    """The options of a place, and that of none where an effect is left over for it."""
    listed = [_option(option, effect) for option, effect in zip(judged, effects, strict=False)]
    left = effects[len(listed) :]
    return (*listed, *(OptionField(value=NONE, label=tr("none"), effect=each) for each in left))


def _option(option: Option, effect: str) -> OptionField:
    part = option.part
    gone = part.retired and not part.assumed
    return OptionField(
        value=part.slug,
        label=tr("{part} (no longer made)", part=part.name) if gone else part.name,
        note=part_note(part.data),
        effect="" if part.assumed else effect,
        reason=sentence(option.reason),
        remedy=ended(option.remedy),
        personal=option.personal,
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
