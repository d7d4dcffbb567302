"""The geometry table of one build in every size, and of every build the builder allows."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from geometry.bike import closure
from geometry.core import GeometryError
from webapp.builds.choice.build_choice import BuildChoice
from webapp.builds.choice.wheel_sets import wheel_choices
from webapp.builds.page.figure_rows import KEYS
from webapp.builds.solving.figures import StateFigures, solve_states
from webapp.builds.solving.solver_inputs import Assembly, assemble
from webapp.builds.solving.tolerances import intervals_of
from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.schema.frames import DIMENSIONS, SizeData
from webapp.common.errors import (
    Invalid,
    remedy_in_words,
)
from webapp.common.text.glossary import entry
from webapp.common.text.language import tr
from webapp.drawing.points import BikePoints, bike_points

DRAWN: tuple[str, ...] = tuple(each.key for each in DIMENSIONS)
"""Numbers of the drawing that do not depend on a build."""


@dataclass(frozen=True, kw_only=True)
class TableColumn:
    """One size of the table in one build.

    Parameters
    ----------
    size, name : str
        Slug and name.
    choice : BuildChoice
        The very build; its address opens it.
    states : mapping of state to mapping of key to float
        Every figure, lengths [mm], angles [deg].
    half_widths : mapping of state to mapping of key to float
        ± of every figure, about 95 in 100, from the builder's tolerances.
    drawn : mapping of name to float
        The size as drawn.
    closure : float [mm]
        How far the drawn table is from closing at the front axle.
    assembly, solved
        What was solved in every state, and how it stands: for the drawing.
    """

    size: str
    name: str
    choice: BuildChoice
    states: Mapping[str, Mapping[str, float]]
    half_widths: Mapping[str, Mapping[str, float]]
    drawn: Mapping[str, float]
    closure: float
    assembly: Assembly
    solved: Mapping[str, StateFigures]

    def points(self, state: str) -> BikePoints:
        """Frame, fork and wheels in one state, ready to be drawn [mm]."""
        return bike_points(
            self.solved[state].standing, self.assembly.build, state=self.assembly.states[state]
        )


def table_of(
    catalogue: Catalogue, choice: BuildChoice, *, with_intervals: bool = False
) -> tuple[TableColumn, ...]:
    """The table of one build in every size.

    Parameters
    ----------
    catalogue : Catalogue
        The revision.
    choice : BuildChoice
        Fork, wheels and axle position; its size does not matter.
    with_intervals : bool
        Whether the half-widths are wanted too; they take longer than the figures.

    Returns
    -------
    tuple of TableColumn
        In the builder's order of sizes.

    Raises
    ------
    Invalid
        When a size cannot stand with these parts, or its slot is shorter than
        the axle position asked for.
    """
    return tuple(
        _column(catalogue, replace(choice, size=size.slug), with_intervals=with_intervals)
        for size in catalogue.sizes
    )


def _column(catalogue: Catalogue, choice: BuildChoice, *, with_intervals: bool) -> TableColumn:
    size = catalogue.size(choice.size)
    try:
        assembly = assemble(catalogue, choice)
        solved = solve_states(assembly, standover_at=catalogue.revision.data.standover_at)
    except GeometryError as error:
        remedy = tr("{remedy} (size {name})", remedy=remedy_in_words(error), name=size.name)
        raise Invalid(error.field, error.value, remedy) from error
    return TableColumn(
        size=size.slug,
        name=size.name,
        choice=choice,
        states=MappingProxyType({name: found.figures for name, found in solved.items()}),
        half_widths=MappingProxyType(
            {
                name: _half_widths(catalogue, assembly, found) if with_intervals else {}
                for name, found in solved.items()
            }
        ),
        drawn=MappingProxyType(drawn_numbers(size.data)),
        closure=float(closure(size.frame).axle),
        assembly=assembly,
        solved=MappingProxyType(solved),
    )


def _half_widths(
    catalogue: Catalogue, assembly: Assembly, found: StateFigures
) -> Mapping[str, float]:
    known = intervals_of(catalogue.revision.data.tolerances, assembly, found)
    return MappingProxyType({key: float(interval.half_width) for key, interval in known.items()})


def drawn_numbers(data: SizeData) -> dict[str, float]:
    """The size's own numbers by name, lengths [mm], angles [deg]."""
    return {name: float(getattr(data, name)) for name in DRAWN}


def every_build(catalogue: Catalogue, choice: BuildChoice) -> Iterator[BuildChoice]:
    """Every fork, wheel pair and end of the slot, all else as in ``choice``.

    Parameters
    ----------
    catalogue : Catalogue
    choice : BuildChoice

    Yields
    ------
    BuildChoice
        Forks in the builder's order, then wheels, then the slot's front and rear end.
    """
    slot = min(size.data.slot_length for size in catalogue.sizes)
    for fork in catalogue.offered("fork"):
        parts = MappingProxyType({**choice.parts, "fork": fork.slug})
        for _, wheels in wheel_choices(catalogue, replace(choice, parts=parts)):
            for position in dict.fromkeys((0.0, slot)):
                yield replace(wheels, slot=position)


def rows_for_csv(catalogue: Catalogue, columns: tuple[TableColumn, ...]) -> Iterator[list[str]]:
    """One line a size and state: what it is, then every figure with the decimals it has in print.

    Yields
    ------
    list of str
        Without the heading line.
    """
    for column in columns:
        for state, figures in column.states.items():
            choice = column.choice
            yield [
                catalogue.model.slug,
                str(catalogue.revision.number),
                column.size,
                choice.part("fork"),
                choice.part("tyre_front"),
                choice.part("tyre_rear"),
                f"{choice.slot:g}",
                state,
                *(_for_machines(key, figures[key]) for key in KEYS),
            ]


def _for_machines(key: str, value: float) -> str:
    """A figure with a decimal point and a plain minus sign, whatever signs the shop prints."""
    places = entry(key).decimals
    return f"{round(value, places) + 0.0:.{places}f}"


def csv_head() -> list[str]:
    """Headings of the CSV table: name and unit of every column."""
    units = {"mm": "_mm", "°": "_deg", "": ""}
    what = ["model", "revision", "size", "fork", "tyre_front", "tyre_rear", "slot_position_mm"]
    return [*what, "state", *(f"{key}{units[entry(key).unit]}" for key in KEYS)]


def as_csv(catalogue: Catalogue, tables: Iterator[tuple[TableColumn, ...]]) -> str:
    """Tables as CSV (RFC 4180): comma, CRLF, a decimal point, UTF-8 when sent."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(csv_head())
    for columns in tables:
        writer.writerows(rows_for_csv(catalogue, columns))
    return text.getvalue()
