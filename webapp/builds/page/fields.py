"""The choices of a build as the page shows them: lists, numbers, ticks, in steps."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from webapp.builds.choice.wheel_sets import WheelSet
from webapp.builds.page.check_view import CheckLine

_TOLD_AT_ONCE = 1  # checks of a step that are not clear


class OptionField(NamedTuple):
    """One option of a list.

    ``effect`` says what it would change of price and mass, ``reason`` why it would not
    go with the rest; ``personal`` that this may rest on the rider's body.
    """

    value: str
    label: str
    note: str = ""
    effect: str = ""
    reason: str = ""
    remedy: str = ""
    personal: bool = False


class TickField(NamedTuple):
    """One thing to tick: an extra, or that the customer has a part already."""

    value: str
    label: str
    ticked: bool
    effect: str = ""
    reason: str = ""
    remedy: str = ""


class ListField(NamedTuple):
    """A list to choose one from.

    ``chosen`` is what is chosen, in words; ``short`` says that all names are;
    ``own`` the tick that the customer brings it;
    ``outcome`` is the worst of the checks shown here, ``no`` or ``tight``;
    ``common`` says that nothing of it rests on a rider or was typed: its markup may be kept.
    """

    name: str
    label: str
    value: str
    options: tuple[OptionField, ...]
    error: str = ""
    chosen: str = ""
    short: bool = False
    own: TickField | None = None
    outcome: str = ""
    common: bool = False


class NumberField(NamedTuple):
    """A number to set; ``value`` is as typed when it was wrong."""

    name: str
    label: str
    value: str
    unit: str
    low: str
    high: str
    hint: str
    error: str = ""


class Step(NamedTuple):
    """One step of choosing, with what is chosen in it in a few words.

    ``words`` tell what follows from what is set in it. A step that is ``open`` shows at
    once; one with something ``wrong`` is opened for it.
    ``troubles`` are its checks that are not clear, ``outcome`` the worst of them.
    """

    key: str
    heading: str
    summary: str = ""
    fields: tuple[ListField, ...] = ()
    numbers: tuple[NumberField, ...] = ()
    wheels: tuple[WheelSet, ...] = ()
    slider: NumberField | None = None
    ticks: tuple[TickField, ...] = ()
    ticks_error: str = ""
    words: tuple[str, ...] = ()
    open: bool = False
    wrong: bool = False
    outcome: str = ""
    troubles: tuple[CheckLine, ...] = ()

    @property
    def only_field(self) -> ListField | None:
        """Its list, where it has only one, which is shown open."""
        return self.fields[0] if len(self.fields) == 1 else None

    @property
    def several_fields(self) -> tuple[ListField, ...]:
        """Its lists, where it has several, each folded behind what is chosen in it."""
        return () if self.only_field else self.fields

    @property
    def first_troubles(self) -> tuple[CheckLine, ...]:
        """The worst of them, which are told at once."""
        return self.troubles[:_TOLD_AT_ONCE]

    @property
    def other_troubles(self) -> tuple[CheckLine, ...]:
        """Those folded behind how many they are, where a step has many."""
        return self.troubles[_TOLD_AT_ONCE:]


@dataclass(frozen=True, kw_only=True)
class BuildForm:
    """Every field of the build page, in its steps."""

    revision: int
    steps: tuple[Step, ...]
    fields: Mapping[str, ListField] = field(default_factory=dict)

    @property
    def slot(self) -> NumberField | None:
        """Where the axle is set; None where it is fixed."""
        return next((step.slider for step in self.steps if step.slider), None)
