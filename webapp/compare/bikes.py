"""What is compared: a bike's name, figures, points and price, wherever they came from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from webapp.builds.choice.build_choice import BuildChoice
from webapp.builds.choice.places import PLACES, scope_words
from webapp.builds.evaluation import BuildResult
from webapp.builds.fitting.checks import label_of
from webapp.builds.points import points_of
from webapp.builds.solving.solver_inputs import SAGGED, Assembly, data_in
from webapp.catalogue.schema.part_kinds import TyreData
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.drawing.outline import Outline
from webapp.drawing.points import BikePoints


@dataclass(frozen=True, kw_only=True)
class Compared:
    """One bike of a comparison.

    Parameters
    ----------
    name : str
        Model and size.
    facts : tuple of str
        What distinguishes it: fork, wheels, axle position.
    states : mapping of state to mapping of key to float
        Figures, lengths [mm], angles [deg]; ``unloaded`` is always there.
    points : mapping of state to BikePoints, or an Outline where not all is known
    settings : mapping of name to float [mm]
        What it is set to: saddle height, spacers, axle position.
    parts : mapping of place to name
        What sits where; an empty place has ``"none"``.
    sold_as : str
        What the price is for.
    price : Money or None
        With tax; None while it is not known in full.
    cautions : tuple of str
        Sentences of caution about it.
    """

    name: str
    facts: tuple[str, ...]
    states: Mapping[str, Mapping[str, float]]
    points: Mapping[str, BikePoints | Outline]
    settings: Mapping[str, float]
    parts: Mapping[str, str]
    sold_as: str
    price: Money | None
    cautions: tuple[str, ...]

    def figures(self, state: str) -> Mapping[str, float]:
        """Figures in a state; a rigid fork cannot bottom, so its bike stands sagged then."""
        return self.states[state if state in self.states else SAGGED]

    def points_in(self, state: str) -> BikePoints | Outline:
        """Points in a state, as `figures`."""
        return self.points[state if state in self.points else SAGGED]


def compared_of(result: BuildResult) -> Compared:
    """A computed build as one bike of a comparison.

    Parameters
    ----------
    result : BuildResult

    Returns
    -------
    Compared
    """
    assembly, choice = result.assembly, result.choice
    return Compared(
        name=tr("{model}, size {size}", model=result.catalogue.model.name, size=assembly.size.name),
        facts=_facts(assembly, choice),
        states=MappingProxyType({name: found.figures for name, found in result.states.items()}),
        points=MappingProxyType({name: points_of(result, state=name) for name in result.states}),
        settings=MappingProxyType(
            {
                tr("Saddle height"): float(assembly.seat.height),
                tr("Spacers under the stem"): choice.spacers,
                tr("Axle position"): choice.slot,
            }
        ),
        parts=MappingProxyType(_parts(assembly)),
        sold_as=scope_words(result.catalogue, choice.scope),
        price=None if result.price.unpriced else result.price.gross,
        cautions=tuple(_cautions(result)),
    )


def _facts(assembly: Assembly, choice: BuildChoice) -> tuple[str, ...]:
    front, rear = (_tyre(assembly, f"tyre_{end}") for end in ("front", "rear"))
    tyres = (
        tr("tyres {front}", front=front)
        if front == rear
        else tr("tyres {front} front, {rear} rear", front=front, rear=rear)
    )
    facts = [assembly.parts["fork"].name, tyres]
    if assembly.size.data.slot_length:
        facts.append(tr("axle at {slot:g} mm of its slot", slot=choice.slot))
    return tuple(facts)


def _tyre(assembly: Assembly, place: str) -> str:
    tyre = data_in(assembly.parts, place, TyreData)
    return f"{tyre.nominal_width:g}-{tyre.bead_seat_diameter}"


def _parts(assembly: Assembly) -> dict[str, str]:
    found = {
        place.label: assembly.parts[place.name].name if place.name in assembly.parts else tr("none")
        for place in PLACES
    }
    return found | {tr("Extras"): ", ".join(part.name for part in assembly.extras) or tr("none")}


def _cautions(result: BuildResult) -> list[str]:
    revision = result.catalogue.revision
    found = []
    if revision.state == "withdrawn":
        found.append(
            tr(
                "Revision {number} was withdrawn: {withdrawn_reason}.",
                number=revision.number,
                withdrawn_reason=revision.withdrawn_reason,
            )
        )
    if result.failed:
        listed = "; ".join(label_of(check.code) for check in result.failed)
        found.append(tr("Its parts do not go together: {listed}.", listed=listed))
    if result.price.unpriced:
        found.append(tr("No price yet for {places}.", places=", ".join(result.price.unpriced)))
    return found
