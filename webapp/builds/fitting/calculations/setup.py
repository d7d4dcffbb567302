"""One build as it is judged: what was chosen, and what the solver takes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TypeVar

from geometry.checks import Check
from geometry.core import Statement
from webapp.builds.choice.build_choice import BuildChoice
from webapp.builds.choice.places import PLACE_OF
from webapp.builds.fitting.roles import frame_name
from webapp.builds.fitting.sentences import WordedCheck, worded
from webapp.builds.solving.solver_inputs import Assembly, assemble
from webapp.catalogue.reading.views import AnyPart, Catalogue, PartView
from webapp.catalogue.schema.part_kinds import ExtraData, PartData
from webapp.common.text.language import tr
from webapp.common.text.statements import all_of

D = TypeVar("D", bound=PartData)


@dataclass(frozen=True, kw_only=True, eq=False)
class Setup:
    """One build to be judged.

    Parameters
    ----------
    catalogue : Catalogue
    choice : BuildChoice
    assembly : Assembly
    """

    catalogue: Catalogue
    choice: BuildChoice
    assembly: Assembly

    @classmethod
    def of(cls, catalogue: Catalogue, choice: BuildChoice) -> Setup:
        """A choice with its parts looked up and put together.

        Raises
        ------
        Invalid, GeometryError
            As `assemble`.
        """
        return cls(catalogue=catalogue, choice=choice, assembly=assemble(catalogue, choice))

    def part(self, place: str) -> AnyPart | None:
        """The part in a place; None where it is empty."""
        return self.assembly.parts.get(place)

    def data(self, place: str, kind: type[D]) -> D | None:
        """Data of the part in a place; None where it is empty."""
        return self.assembly.data(place, kind)

    def extras(self, use: str) -> tuple[PartView[ExtraData], ...]:
        """Extras of one use, in the catalogue's order."""
        every = self.assembly.extras
        return tuple(part for part in every if part.data.use == use) if every else ()

    @property
    def frame(self) -> str:
        """The frame's name, as refusals give it."""
        return frame_name(self.catalogue)

    def told(
        self, check: Check[Statement], *sides: str, failing: bool = False
    ) -> Iterator[WordedCheck]:
        """An answer in words, its reason beginning with the two that meet, if it is known.

        Parameters
        ----------
        check : Check
        sides : str
            As for `named`; none for an answer that names what it is about.
        failing : bool
            Whether only what fails is wanted: then nothing is said of all others.
        """
        if check.outcome == "no" or not failing:
            words = worded(check)
            yield self.named(words, *sides) if sides and check.known else words

    def named(self, check: WordedCheck, *sides: str) -> WordedCheck:
        """The same answer, its reason beginning with the two that meet.

        Parameters
        ----------
        check : WordedCheck
        sides : str
            Places whose parts meet, or ``"frame"``.

        Returns
        -------
        WordedCheck
        """
        names = [self.frame if side == "frame" else self._name(side) for side in sides]
        reason = check.reason[:1].lower() + check.reason[1:]
        told = tr("{names}: {reason}", names=all_of(names), reason=reason)
        return replace(check, reason=told)

    def _name(self, place: str) -> str:
        part = self.part(place)
        return part.name if part else tr("no {lower}", lower=PLACE_OF[place].label.lower())

    def at(self, slot: float) -> BuildChoice:
        """The same build with its axle elsewhere [mm]."""
        return replace(self.choice, slot=round(slot, 1))

    def choice_with(self, parts: Mapping[str, str], *, slot: float) -> BuildChoice:
        """The same build with other parts and its axle elsewhere [mm]."""
        return replace(self.choice, parts=MappingProxyType(dict(parts)), slot=round(slot, 1))

    def with_part(self, place: str, slug: str) -> BuildChoice:
        """The same build with another part in one place."""
        return self.choice.with_parts({**self.choice.parts, place: slug})
