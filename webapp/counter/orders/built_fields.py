"""The fields in which a bike is noted as built: those of each bike under its own heading."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import count

from webapp.common.text.language import tr
from webapp.quote.freezing.assembly_settings import ASSUMED, first_ride
from webapp.quote.freezing.bikes import bikes_of, heading_of, key_of
from webapp.quote.freezing.content import QuoteContent
from webapp.quote.order.built_bike import (
    JOINTS,
    field_of_check,
    field_of_setting,
    is_set_up,
)


@dataclass(frozen=True, kw_only=True)
class BuiltField:
    """One field of the form: a setting or a joint; ``hint`` is what was ordered."""

    name: str
    label: str
    value: str
    hint: str = ""
    unit: str = ""

    @property
    def is_long(self) -> bool:
        """Whether a line of a phone cannot show it whole."""
        return len(self.value) > _SHOWN_IN_A_LINE


_SHOWN_IN_A_LINE = 24  # letters at 320 px


@dataclass(frozen=True, kw_only=True)
class Tick:
    """One check before the first ride."""

    name: str
    label: str
    ticked: bool


@dataclass(frozen=True, kw_only=True)
class BikeFields:
    """The fields of one bike; ``heading`` names it where the order holds several."""

    heading: str
    settings: tuple[BuiltField, ...]
    joints: tuple[BuiltField, ...]
    checks: tuple[Tick, ...]


def fields_of_bikes(content: QuoteContent, known: Mapping[str, str]) -> Iterator[BikeFields]:
    """The fields of every bike of an order.

    Parameters
    ----------
    content : QuoteContent
        Of the version it is built to.
    known : mapping of str to str
        What stands in the fields.
    """
    settings, checks = count(), count()  # they are numbered through all bikes
    for number, bike in enumerate(bikes_of(content), start=1):
        sold = [(next(settings), each) for each in bike.assembly if each.note != ASSUMED]
        yield BikeFields(
            heading=heading_of(content, number) if content.further else "",
            settings=tuple(
                BuiltField(
                    name=field_of_setting(at),
                    label=each.label,
                    value=known.get(field_of_setting(at), each.value),
                    hint=_ordered(each.value, each.note),
                )
                for at, each in sold
                if is_set_up(each)
            ),
            joints=tuple(
                BuiltField(name=name, label=joint, value=known.get(name, ""), unit="N·m")
                for key, joint in JOINTS
                if bike.build.scope == "bike"
                for name in [key_of(number, key)]
            ),
            checks=tuple(
                Tick(name=name, label=words, ticked=bool(known.get(name)))
                for words in first_ride(bike.build.scope)
                for name in [field_of_check(next(checks))]
            ),
        )


def _ordered(value: str, note: str) -> str:
    if not note:
        return tr("ordered: {value}", value=value)
    return tr("ordered: {value}; {note}", value=value, note=note)
