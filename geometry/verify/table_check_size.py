"""One drawn size: its values, how each is rounded, and how far it is from agreeing.

A printed value stands for anything that rounds to it: 65.5° for 65.45° to 65.55°.
What a size's values leave open between them is therefore bounded: the sum of
what each one's rounding can do. Beyond that bound the values contradict one
another; beyond what rounding does in 95 of 100 cases they probably do.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from geometry.bike import (
    Bike,
    Build,
    Frame,
    as_drawn,
    closure,
    figures,
    is_figure,
    jacobian,
    moved,
    numbers,
)
from geometry.core import (
    InvalidInput,
    KeyOfGlossary,
    Num,
    checked,
    whole,
)
from geometry.glossary import GLOSSARY
from geometry.verify.relations import RELATIONS, STEP, Relation, applies, stepped_from
from geometry.verify.remedies import FigureOfDrawing

What = Literal["closure", "published", "triangle", "slip", "order", "copy", "gap"]
"""Kinds of comparison: the drawing's loop, a redundant value against the computed one,
printed values among themselves; one value against all that speaks about it; a column
that decreases, a size like another one, a size that is missing."""

_DRAWN = ("frame.", "top_tube.", "drawn_with.")
_RELATED: Mapping[str, str] = {
    "head_angle": "frame.head_angle",
    "chainstay_length": "frame.chainstay_length",
    "bb_drop": "frame.bb_drop",
    "front_radius": "drawn_with.front_radius",
    "rear_radius": "drawn_with.rear_radius",
    "fork.offset": "drawn_with.fork.offset",
}
"""Drawn values that can stand in a relation among printed ones."""
_AT_SLOT_START = ("chainstay_length", "bb_drop")


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class DrawnSize:
    """One size of a builder's table: as drawn, and as published.

    Parameters
    ----------
    name : str
        What the size is called.
    frame : Frame
        One size as drawn, with what it is drawn with.
    published : mapping of str to float [mm, deg]
        Redundant values that the table states of the drawn bike, by their keys
        in the glossary (``"wheelbase"``, ``"trail"``).
    decimals : mapping of str to int
        Printed decimals of drawn (``"frame.reach"``) and published values;
        taken from the values themselves where not given.
    standover_ahead : float, optional [mm]
        Where standover is measured, ahead of the BB; needed to check it.
    further : mapping of str to float
        Columns that no drawing computes (a mass, a post's depth), by any name; they
        are looked at along the sizes.

    Raises
    ------
    InvalidInput
        A published key that is no figure, a value that is no number, or
        decimals that are not a whole number.

    Examples
    --------
    >>> from geometry.examples import trail_hardtail
    >>> DrawnSize(name="M", frame=trail_hardtail(), published={"wheelbase": 1171}).published
    {'wheelbase': 1171.0}
    """

    name: str
    frame: Frame
    published: Mapping[str, float] = field(default_factory=dict)
    decimals: Mapping[str, int] = field(default_factory=dict)
    standover_ahead: float | None = None
    further: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for key in self.published:
            if key not in GLOSSARY or "." in key or not is_figure(key):
                raise InvalidInput("published", key, KeyOfGlossary())
        values = {k: float(checked(f"published.{k}", v, "mm")) for k, v in self.published.items()}
        object.__setattr__(self, "published", values)
        more = {k: float(checked(f"further.{k}", v, "mm")) for k, v in self.further.items()}
        object.__setattr__(self, "further", more)
        for key, value in self.decimals.items():
            whole(f"decimals.{key}", value, "decimals", least=0)


@dataclass(frozen=True, slots=True)
class Case:
    """A size with its printed rounding, on which values can be tried out."""

    name: str
    bike: Bike
    published: Mapping[str, float]
    stated: Mapping[str, float]
    halves: Mapping[str, float]
    further: Mapping[str, float] = field(default_factory=dict)

    def value(self, key: str) -> float:
        """A drawn, published or further value [mm, deg]."""
        return self.stated[key]

    def changed(self, key: str, change: float) -> Case:
        """The same size with one value changed, unchecked."""
        if key in self.published:
            value = self.published[key] + change
            return replace(self, published={**self.published, key: value})
        if key in self.further:
            return self
        return replace(self, bike=moved(self.bike, {key: change}))

    def gaps(self) -> dict[str, float]:
        """How far each comparison is from agreeing, by its name."""
        return {name: float(gap) for name, gap in _gaps(self.bike, self.published).items()}

    def rounded(self, key: str, value: float) -> float:
        """A value as it would be printed."""
        return round(value, _decimals_in(2 * self.halves[key]))


def _decimals_in(step: float) -> int:
    """Decimals of a printed step such as 0.1."""
    return int(np.round(-np.log10(step)))


def printed_decimals(value: float) -> int:
    """Decimals a value needs to be printed.

    Parameters
    ----------
    value : float [any unit]

    Returns
    -------
    int

    Examples
    --------
    >>> printed_decimals(635.05), printed_decimals(445.0)
    (2, 0)
    """
    text = f"{value:.6f}".rstrip("0")
    return len(text.partition(".")[2])


def cases(sizes: Sequence[DrawnSize]) -> list[Case]:
    """Sizes with their rounding: each column has as many decimals as its longest value.

    Parameters
    ----------
    sizes : sequence of DrawnSize

    Returns
    -------
    list of Case

    Raises
    ------
    GeometryError
        A size that cannot stand at all.

    Examples
    --------
    Printed to 0.1 mm, a value may be off by 0.05 mm.

    >>> from geometry.examples import trail_hardtail
    >>> (case,) = cases([DrawnSize(name="M", frame=trail_hardtail(), published={"trail": 122.5})])
    >>> case.halves["trail"]
    0.05
    """
    bikes = [_bike(size) for size in sizes]
    found = [_values(bike, size) for bike, size in zip(bikes, sizes, strict=True)]
    made = []
    for bike, size, own in zip(bikes, sizes, found, strict=True):
        halves = {key: 0.5 * 10.0 ** -_column(key, size, found) for key in own}
        made.append(Case(size.name, bike, size.published, own, halves, size.further))
    return made


def _bike(size: DrawnSize) -> Bike:
    """The size with the parts of its drawing; its published values must be computable."""
    drawn = size.frame.drawn_with
    build = Build(
        frame=size.frame,
        fork=drawn.fork,
        lower_headset_stack=drawn.lower_headset_stack,
        front_radius=drawn.front_radius,
        rear_radius=drawn.rear_radius,
        slot_position=drawn.slot_position,
    )
    bike = Bike(build=build, standover_ahead=size.standover_ahead)
    known = figures(bike)
    for key in size.published:
        if key not in known:
            raise InvalidInput("published", key, FigureOfDrawing())
    return bike


def _values(bike: Bike, size: DrawnSize) -> dict[str, float]:
    """Every value that the drawing or the table states."""
    drawn = {k: float(v) for k, v in numbers(bike).items() if k.startswith(_DRAWN)}
    return {**drawn, **size.published, **size.further}


def _column(key: str, size: DrawnSize, found: Iterable[Mapping[str, float]]) -> int:
    """Printed decimals of a column."""
    stated = size.decimals.get(key)
    if stated is not None:
        return int(stated)
    return max(printed_decimals(values[key]) for values in found if key in values)


def _related(bike: Bike, published: Mapping[str, Num]) -> dict[str, Num]:
    """Printed values, and drawn ones that can stand in a relation among them."""
    drawn = bike.build.frame.drawn_with
    slid = bool(np.any(np.real(drawn.slot_position) != 0))
    known = numbers(bike)
    values = {
        key: known[source]
        for key, source in _RELATED.items()
        if not (slid and key in _AT_SLOT_START)
    }
    return {**values, **published}


def relations_of(bike: Bike, published: Mapping[str, Num]) -> list[Relation]:
    """Relations among the printed values of a size.

    Parameters
    ----------
    bike : Bike
        With the parts of its drawing.
    published : mapping of str to float [mm, deg]

    Returns
    -------
    list of Relation
        Those that hold between at least two published values; one alone is
        compared with the computed one instead.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> published = {"front_centre": 750.0, "rear_centre": 420.0, "wheelbase": 1171.0}
    >>> [found.formula for found in relations_of(Bike(build=trail_build()), published)]
    ['W = RC + FC']
    """
    values = _related(bike, published)
    return [
        relation
        for relation in RELATIONS
        if applies(relation, values) and sum(key in published for key in relation.keys) > 1
    ]


def _gaps(bike: Bike, published: Mapping[str, Num]) -> dict[str, Num]:
    """Every comparison of a size; complex steps pass through."""
    found: dict[str, Num] = {"closure": closure(bike.build.frame).axle}
    computed = figures(as_drawn(bike))
    found |= {key: value - computed[key] for key, value in published.items()}
    values = _related(bike, published)
    return found | {r.name: r.gap(values) for r in relations_of(bike, published)}


def slopes(case: Case) -> dict[str, dict[str, float]]:
    """How every comparison of a size follows every value that is stated.

    Parameters
    ----------
    case : Case

    Returns
    -------
    dict of str to dict of str to float
        By comparison, then by value; values without effect are left out
        [mm or deg per unit].

    Examples
    --------
    Stack raises the drawn front axle by as much.

    >>> from geometry.examples import trail_hardtail
    >>> (case,) = cases([DrawnSize(name="M", frame=trail_hardtail(), published={"trail": 122.5})])
    >>> slopes(case)["closure"]["frame.stack"]
    1.0
    """
    stated = {**case.published, **case.further}
    drawn = [key for key in case.halves if key not in stated]

    def by_drawing(bike: Bike) -> dict[str, Num]:
        return _gaps(bike, case.published)

    rows = jacobian(by_drawing, case.bike, drawn)
    found = {name: dict(zip(drawn, map(float, row), strict=True)) for name, row in rows.items()}
    for key, value in case.published.items():
        stepped = _gaps(case.bike, {**case.published, key: stepped_from(value)})
        for name, gap in stepped.items():
            found[name][key] = float(np.asarray(gap).imag) / STEP
    return {name: {k: s for k, s in row.items() if s != 0.0} for name, row in found.items()}


def kind_of(name: str, case: Case) -> What:
    """Which kind of comparison a name is.

    Parameters
    ----------
    name : str
        Of a comparison, as in `Case.gaps`.
    case : Case

    Returns
    -------
    {"closure", "published", "triangle"}

    Examples
    --------
    >>> from geometry.examples import trail_hardtail
    >>> (case,) = cases([DrawnSize(name="M", frame=trail_hardtail(), published={"trail": 122.5})])
    >>> [kind_of(name, case) for name in case.gaps()]
    ['closure', 'published']
    """
    if name == "closure":
        return "closure"
    return "published" if name in case.published else "triangle"
