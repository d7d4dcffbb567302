"""What to put beside a build: the same with one thing changed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from types import MappingProxyType

from webapp.builds.choice.build_choice import BuildChoice
from webapp.builds.choice.wheel_sets import wheel_choices, wheel_words
from webapp.catalogue.reading.views import Catalogue
from webapp.common.text.language import tr


@dataclass(frozen=True, kw_only=True)
class Copy:
    """A build with one thing changed, and what that is."""

    label: str
    choice: BuildChoice


@dataclass(frozen=True, kw_only=True)
class CopyGroup:
    """Copies that change the same thing."""

    heading: str
    copies: tuple[Copy, ...]


def copies_of(catalogue: Catalogue, choice: BuildChoice) -> tuple[CopyGroup, ...]:
    """A build with another size, fork, wheel size or end of the slot.

    Parameters
    ----------
    catalogue : Catalogue
    choice : BuildChoice

    Returns
    -------
    tuple of CopyGroup
        Groups without any copy are left out. Whether the parts of a copy go
        together is judged when it is opened.
    """
    groups = (
        (tr("Size"), _sizes(catalogue, choice)),
        (tr("Fork"), _forks(catalogue, choice)),
        (tr("Wheel size"), _wheels(catalogue, choice)),
        (tr("Axle"), _slot_ends(catalogue, choice)),
    )
    found = (CopyGroup(heading=heading, copies=tuple(copies)) for heading, copies in groups)
    return tuple(group for group in found if group.copies)


def _sizes(catalogue: Catalogue, choice: BuildChoice) -> Iterator[Copy]:
    for size in catalogue.sizes:
        # Left out where this size's slot does not reach that axle position.
        if size.slug != choice.size and choice.slot <= size.data.slot_length:
            yield Copy(label=size.name, choice=replace(choice, size=size.slug))


def _forks(catalogue: Catalogue, choice: BuildChoice) -> Iterator[Copy]:
    for fork in catalogue.offered("fork"):
        if fork.slug != choice.part("fork"):
            parts = MappingProxyType({**choice.parts, "fork": fork.slug})
            yield Copy(label=fork.name, choice=replace(choice, parts=parts))


def _wheels(catalogue: Catalogue, choice: BuildChoice) -> Iterator[Copy]:
    for (front, rear), changed in wheel_choices(catalogue, choice):
        if changed != choice:
            yield Copy(label=wheel_words(front, rear), choice=changed)


def _slot_ends(catalogue: Catalogue, choice: BuildChoice) -> Iterator[Copy]:
    length = catalogue.size(choice.size).data.slot_length
    for label, end in ((tr("right forward"), 0.0), (tr("right back"), length)):
        if length and end != choice.slot:
            yield Copy(
                label=tr("{label}, {end:g} mm", label=label, end=end),
                choice=replace(choice, slot=end),
            )
