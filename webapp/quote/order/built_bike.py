"""The bike as built: what the workshop notes of it, and what is still missing.

It is kept with the order as plain values and printed from there, so that a hand-over sheet
reads the same years later. A field is never removed, renamed or given another meaning.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from functools import partial
from typing import Literal

from webapp.builds.assembly_notes import MAKERS
from webapp.common.errors import Gathering, Invalid
from webapp.common.text.language import tr, trn
from webapp.customers.typed import one_line, several_lines
from webapp.quote.freezing.assembly_settings import ASSUMED, first_ride
from webapp.quote.freezing.bikes import bikes_of, key_of
from webapp.quote.freezing.content import QuoteContent, Setting
from webapp.quote.frozen_check import Frozen
from webapp.quote.order.frames import frames_ordered

LONGEST_VALUE, LONGEST_NOTE = 120, 1000
_MOST_TORQUE = 100  # N m; nothing on a bicycle is tightened further

_MEASURED = re.compile(r"[\d.,−-]+ ?(mm|kg|°|%|bar)?")

JOINTS = (
    ("stem_steerer", tr("Stem on the steerer")),
    ("stem_bar", tr("Handlebar in the stem")),
    ("seat_clamp", tr("Seat clamp")),
    ("saddle", tr("Saddle on its post")),
    ("cranks", tr("Cranks")),
    ("pedals", tr("Pedals")),
    ("front_axle", tr("Front axle")),
    ("rear_axle", tr("Rear axle")),
    ("brakes", tr("Brakes on frame and fork")),
)
"""Joints of a built bike whose torque is noted; each at what the maker of its parts states."""


class SetUp(Frozen):
    """One thing that was set: as ordered, and as built; a limit has nothing built."""

    label: str
    ordered: str
    built: str
    note: str = ""

    @property
    def stands(self) -> str:
        """The present value."""
        return self.built or self.ordered

    @property
    def ordered_else(self) -> str:
        """The value ordered, where it was built differently."""
        return self.ordered if self.built not in ("", self.ordered) else ""

    @property
    def limit_of(self) -> str:
        """Of a limit, what it is one of, such as the place of the luggage."""
        return "" if self.built else self.note


class Torque(Frozen):
    """One joint and what it was tightened with [N m]; empty where nothing was noted."""

    key: str
    joint: str
    value: str


class BenchResult(Frozen):
    """What the bench check of one frame said, in the words it was kept in."""

    serial: str
    measured_on: date
    verdict: str
    stands_out: tuple[str, ...] = ()


class BuiltBike(Frozen):
    """One order's bike or bikes as built; ``version`` is the version they were built to."""

    form: Literal[1] = 1
    version: int
    set_up: tuple[SetUp, ...]
    torques: tuple[Torque, ...]
    checked: tuple[str, ...]
    unchecked: tuple[str, ...]
    note: str
    who: str
    on: date
    bench: tuple[BenchResult, ...] = ()


def without_words(built: BuiltBike) -> BuiltBike:
    """The same without free text: settings stay where they are numbers."""
    kept = tuple(
        each
        if each.built == each.ordered or _MEASURED.fullmatch(each.built)
        else each.model_copy(update={"built": ""})
        for each in built.set_up
    )
    return built.model_copy(update={"set_up": kept, "note": ""})


def field_of_setting(at: int) -> str:
    """The field in which the value of a setting is typed, by its place in the list."""
    return f"set_{at}"


def field_of_check(at: int) -> str:
    """The field that ticks a check before the first ride, by its place in the list."""
    return f"check_{at}"


def settings_built(content: QuoteContent) -> tuple[Setting, ...]:
    """Settings and limits of what is sold, without parts that are only assumed.

    Of several bikes, each names the one it is of.
    """
    return tuple(
        each.model_copy(update={"label": of_bike(content, number, each.label)})
        for number, bike in enumerate(bikes_of(content), start=1)
        for each in bike.assembly
        if each.note != ASSUMED
    )


def of_bike(content: QuoteContent, number: int, words: str) -> str:
    """A text about a bike, with its number where the quote holds several."""
    return tr("Bike {number}: {place}", number=number, place=words) if content.further else words


def is_set_up(setting: Setting) -> bool:
    """Whether it is set on the bike; what is permitted and what makers state is not."""
    return setting.unit != "kg" and setting.value != MAKERS


def joints_of(content: QuoteContent) -> tuple[tuple[str, str], ...]:
    """The joints that are tightened on what is ordered; none of what is sold unbuilt."""
    return tuple(
        (key_of(number, key), of_bike(content, number, joint))
        for number, bike in enumerate(bikes_of(content), start=1)
        if bike.build.scope == "bike"
        for key, joint in JOINTS
    )


def first_ride_checks(content: QuoteContent) -> tuple[str, ...]:
    """What is checked before the first ride, on every bike."""
    return tuple(
        of_bike(content, number, words)
        for number, bike in enumerate(bikes_of(content), start=1)
        for words in first_ride(bike.build.scope)
    )


def read_built(
    fields: Mapping[str, str], content: QuoteContent, *, version: int, who: str, on: date
) -> BuiltBike:
    """Read the bike as built from its form.

    Parameters
    ----------
    fields : mapping of str to str
        As typed.
    content : QuoteContent
        Of the version it was built to.
    version : int
    who : str
    on : date

    Raises
    ------
    Invalid
        With every field that cannot be used.
    """
    gathering = Gathering()
    set_up, torques = [], []
    for at, each in enumerate(settings_built(content)):
        if not is_set_up(each):
            set_up.append(SetUp(label=each.label, ordered=each.value, built="", note=each.note))
            continue
        value = one_line(fields.get(field_of_setting(at), "")) or each.value
        if len(value) > LONGEST_VALUE:
            remedy = tr("at most {longest} characters", longest=LONGEST_VALUE)
            gathering.add(field_of_setting(at), value[:LONGEST_VALUE], remedy)
        set_up.append(SetUp(label=each.label, ordered=each.value, built=value, note=each.note))
    for key, joint in joints_of(content):
        value = gathering.take(partial(_torque, key, fields.get(key, ""))) or ""
        torques.append(Torque(key=key, joint=joint, value=value))
    note = several_lines(fields.get("note", ""))
    if len(note) > LONGEST_NOTE:
        gathering.add("note", note[:80], tr("at most {longest} characters", longest=LONGEST_NOTE))
    gathering.finish()
    checks = first_ride_checks(content)
    done = [bool(fields.get(field_of_check(at))) for at in range(len(checks))]
    return BuiltBike(
        version=version,
        set_up=tuple(set_up),
        torques=tuple(torques),
        checked=tuple(words for words, ticked in zip(checks, done, strict=True) if ticked),
        unchecked=tuple(words for words, ticked in zip(checks, done, strict=True) if not ticked),
        note=note,
        who=who,
        on=on,
    )


def _torque(name: str, typed: str) -> str:
    """A torque as it is kept: a number of newton metres.

    >>> _torque("cranks", " 40 Nm"), _torque("saddle", "5,5"), _torque("saddle", "")
    ('40', '5.5', '')
    """
    bare = one_line(typed).lower().replace(" ", "").removesuffix("nm").removesuffix("n·m")
    if not bare:
        return ""
    figure = bare.replace(",", ".")
    plain = figure.replace(".", "", 1)
    if plain.isascii() and plain.isdigit() and 0 < Decimal(figure) <= _MOST_TORQUE:
        return f"{Decimal(figure).normalize():f}"
    raise Invalid(name, typed[:40], tr("newton metres, more than 0 and at most {most}", most=100))


def missing_of(
    built: BuiltBike | None, content: QuoteContent, *, version: int, serials: int
) -> tuple[str, ...]:
    """What must be noted before a bike is handed over, in words; empty when nothing is missing.

    Parameters
    ----------
    built : BuiltBike or None
    content : QuoteContent
        Of the version accepted.
    version : int
        Its number.
    serials : int
        How many frames of the order have a serial number.
    """
    said = []
    unnamed = len(frames_ordered(content)) - serials
    if unnamed > 0:
        said.append(trn("the serial number", "{count} serial numbers", unnamed))
    if built is None or built.version != version:
        said.append(tr("the set-up as built"))
    else:
        said += built.unchecked
    return tuple(said)
