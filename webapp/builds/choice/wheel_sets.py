"""Pairs of wheel sizes a build can take, with tyres to match."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from webapp.builds.choice.build_choice import BuildChoice, address_of
from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.schema.part_kinds import RimData, TyreData
from webapp.common.text.language import tr


@dataclass(frozen=True, kw_only=True)
class WheelSet:
    """A shortcut to a pair of wheel sizes with tyres to match."""

    label: str
    address: str
    present: bool


_IN_THE_TRADE: Mapping[int, str] = MappingProxyType(
    {622: "29", 584: "27.5", 559: "26", 507: "24", 451: "20", 406: "20", 355: "18", 349: "16"}
)
"""What wheels of a bead seat diameter [mm] are called, in inches [CP]."""


def rim_words(diameter: int) -> str:
    """A rim's size as the shop says it, with the name its wheels go by.

    >>> rim_words(622), rim_words(630)
    ('622 (29 in)', '630')
    """
    inches = _IN_THE_TRADE.get(diameter)
    return tr("{mm} ({inches} in)", mm=diameter, inches=inches) if inches else f"{diameter}"


def wheel_words(front: int, rear: int) -> str:
    """The sizes of a pair of wheels.

    >>> wheel_words(584, 584), wheel_words(622, 584)
    ('584 (27.5 in)', '622 (29 in) front, 584 (27.5 in) rear')
    """
    if front == rear:
        return rim_words(front)
    return tr("{front} front, {rear} rear", front=rim_words(front), rear=rim_words(rear))


def wheel_choices(
    catalogue: Catalogue, choice: BuildChoice
) -> tuple[tuple[tuple[int, int], BuildChoice], ...]:
    """The build on every pair of wheel sizes, rear never larger than front.

    Parameters
    ----------
    catalogue : Catalogue
    choice : BuildChoice
        Its tyres' widths are kept as nearly as the catalogue allows.

    Returns
    -------
    tuple of ((front, rear), BuildChoice)
        Bead seat diameters [mm], largest first.
    """
    own = tuple(choice.parts[place] for place in _WHEEL_PLACES)
    found: tuple[tuple[tuple[int, int], tuple[str, ...]], ...] = catalogue.memory.of(
        ("wheels", own), lambda: tuple(_wheels(catalogue, choice))
    )
    return tuple(
        (sizes, choice if slugs == own else choice.with_parts(_with_wheels(choice, slugs)))
        for sizes, slugs in found
    )


_WHEEL_PLACES = ("rim_front", "tyre_front", "rim_rear", "tyre_rear")


def _with_wheels(choice: BuildChoice, slugs: tuple[str, ...]) -> dict[str, str]:
    return {**choice.parts, **dict(zip(_WHEEL_PLACES, slugs, strict=True))}


def _wheels(
    catalogue: Catalogue, choice: BuildChoice
) -> Iterator[tuple[tuple[int, int], tuple[str, ...]]]:
    """Every pair of sizes with its rims and tyres, which depend on those of the build alone."""
    sizes = sorted({rim.data.bead_seat_diameter for rim in catalogue.offered(RimData)})
    sizes.reverse()
    for front in sizes:
        for rear in (size for size in sizes if size <= front):
            changed = _with_wheel(catalogue, choice, "front", front)
            changed = changed and _with_wheel(catalogue, changed, "rear", rear)
            if changed is not None:
                yield (front, rear), tuple(changed.parts[place] for place in _WHEEL_PLACES)


def wheel_sets(catalogue: Catalogue, choice: BuildChoice) -> tuple[WheelSet, ...]:
    """Shortcuts to the pairs of wheel sizes the catalogue has; the present one is marked."""
    present = tuple(
        catalogue.data(RimData, choice.parts[f"rim_{end}"]).bead_seat_diameter
        for end in ("front", "rear")
    )
    return tuple(
        WheelSet(
            label=wheel_words(front, rear),
            address=address_of(changed),
            present=present == (front, rear),
        )
        for (front, rear), changed in wheel_choices(catalogue, choice)
    )


def _with_wheel(
    catalogue: Catalogue, choice: BuildChoice, end: str, diameter: int
) -> BuildChoice | None:
    """The build with one wheel of another size, the tyre as near in width as there is."""
    rim_now = catalogue.data(RimData, choice.parts[f"rim_{end}"])
    tyre_now = catalogue.data(TyreData, choice.parts[f"tyre_{end}"])
    rims = [p for p in catalogue.offered(RimData) if p.data.bead_seat_diameter == diameter]
    tyres = [p for p in catalogue.offered(TyreData) if p.data.bead_seat_diameter == diameter]
    if not rims or not tyres:
        return None
    if rim_now.bead_seat_diameter == tyre_now.bead_seat_diameter == diameter:
        return choice
    rim = min(rims, key=lambda p: abs(p.data.inner_width - rim_now.inner_width))
    tyre = min(tyres, key=lambda p: abs(p.data.nominal_width - tyre_now.nominal_width))
    parts = {**choice.parts, f"rim_{end}": rim.slug, f"tyre_{end}": tyre.slug}
    return choice.with_parts(parts)
