"""A form's fields and groups of fields, ready to be shown."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.common.web.choices import Option
from webapp.office.forms.field_words import FieldKind

NEW = "new:"
"""What stands before the path of a field in the name of another standard for it."""


@dataclass(frozen=True, kw_only=True)
class Tick:
    """One entry of a list that may be taken or not."""

    name: str
    label: str
    ticked: bool


@dataclass(frozen=True, kw_only=True)
class Another:
    """Where a standard is named that is not in the list yet.

    ``sure`` is the tick that says it is none of those it reads like, where that was asked.
    """

    name: str
    label: str
    hint: str
    value: str
    error: str
    sure: Tick | None

    @property
    def opened(self) -> bool:
        """Whether it is unfolded: something was typed there."""
        return bool(self.value or self.error)


@dataclass(frozen=True, kw_only=True)
class DataField:
    """One field of a form, ready to be shown; ``words`` is its value as readers see it.

    ``proposed`` is the id of the page's list that the field proposes from.
    """

    name: str
    label: str
    kind: FieldKind
    value: str
    unit: str = ""
    hint: str = ""
    required: bool = False
    error: str = ""
    options: tuple[Option, ...] = ()
    words: str = ""
    proposed: str = ""
    ticks: tuple[Tick, ...] = ()
    another: Another | None = None

    @property
    def attributes(self) -> dict[str, str]:
        """Further attributes of the control."""
        return {"list": self.proposed} if self.proposed else {}

    @property
    def is_set(self) -> bool:
        """Whether any number of standards can be ticked."""
        return self.another is not None and self.kind == "lines"

    @property
    def is_hidden(self) -> bool:
        """Whether it is a hidden field."""
        return self.kind == "hidden"

    @property
    def id(self) -> str:
        """The control's id in the page."""
        return f"f-{self.name}"

    @property
    def is_tick(self) -> bool:
        """Whether it is one box to tick."""
        return self.kind == "tick"

    @property
    def ticked(self) -> bool:
        """Whether the box is ticked."""
        return self.value == "yes"

    @property
    def has_lines(self) -> bool:
        """Whether it is a field of several lines."""
        return self.kind in {"area", "lines"}

    @property
    def inputmode(self) -> str:
        """The keys a telephone offers: those for numbers, or as usual."""
        return "decimal" if self.kind == "number" else ""


@dataclass(frozen=True, kw_only=True)
class DataGroup:
    """Fields under one heading, shown alone while ``folded``; groups may hold groups."""

    name: str
    label: str
    fields: tuple[DataField, ...]
    groups: tuple[DataGroup, ...] = ()
    note: str = ""
    folded: bool = False
