"""What the geometry table's page shows."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from markupsafe import Markup

from webapp.builds.choice.build_choice import (
    BuildChoice,
    ReadChoice,
    address_of,
    pairs_of,
    query_of,
)
from webapp.builds.choice.carried_build import OtherBikes
from webapp.builds.choice.field_words import problem_words
from webapp.builds.choice.wheel_sets import wheel_choices, wheel_words
from webapp.builds.page.fields import ListField, NumberField
from webapp.builds.page.figure_rows import FigureCell, FigureRow, figure_rows, printed
from webapp.builds.page.form import build_form
from webapp.builds.solving.solver_inputs import UNLOADED
from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.schema.frames import DIMENSIONS
from webapp.common.text.dates import day_in_words
from webapp.common.text.language import tr
from webapp.common.text.units import number
from webapp.common.web.choices import Link
from webapp.drawing.sizes import SizesPicture
from webapp.geometry_table.geometry_table import TableColumn
from webapp.geometry_table.sizes_drawn import own_size, sizes_drawn
from webapp.geometry_table.table_check import TableCheckLines, table_check_lines

STATES = {
    UNLOADED: "unloaded",
    "sagged": tr("sagged, rider aboard"),
    "bottomed": tr("bottomed, all travel used"),
}


@dataclass(frozen=True, kw_only=True)
class SizeHead:
    """A column's heading, which opens the size's build; ``own`` marks the rider's size."""

    name: str
    address: str
    own: bool = False


@dataclass(frozen=True, kw_only=True)
class TablePage:
    """Everything the geometry table's templates know."""

    model: str
    model_slug: str
    models: tuple[Link, ...]
    revision: int
    revision_words: str
    changelog: str
    revisions: tuple[Link, ...]
    errors: tuple[tuple[str, str], ...]
    fork: ListField
    front_tyre: ListField
    rear_tyre: ListField
    headset: ListField
    slot: NumberField | None
    wheels: tuple[Link, ...]
    states: tuple[Link, ...]
    state: str
    hidden: tuple[tuple[str, str], ...]
    words: str
    sizes: tuple[SizeHead, ...]
    picture: SizesPicture | None
    rows: tuple[FigureRow, ...]
    drawn: tuple[FigureRow, ...]
    check: TableCheckLines
    downloads: tuple[Link, ...]
    data: Markup
    here: str


# Fields of the table's own form; the rest of the build is sent in hidden fields.
_OWN_FIELDS = frozenset({"fork", "tyre_front", "tyre_rear", "headset", "slot"})


def table_address(choice: BuildChoice, state: str) -> str:
    """Address of the table of a build in one state."""
    tail = "" if state == UNLOADED else f"&{urlencode({'state': state})}"
    return f"/table/{choice.model}?{query_of(choice)}{tail}"


def table_page(
    catalogue: Catalogue,
    read: ReadChoice,
    columns: tuple[TableColumn, ...],
    *,
    state: str,
    models: tuple[Link, ...],
    revisions: tuple[Link, ...],
    data: Markup,
    others: OtherBikes,
) -> TablePage:
    """The page of one table.

    Parameters
    ----------
    catalogue : Catalogue
    read : ReadChoice
        With what was wrong in the address, if anything.
    columns : tuple of TableColumn
        Empty when the parts cannot stand together.
    state : str
        The state shown.
    models, revisions : tuple of Link
        Others to look at.
    data : Markup
        The same for machines (schema.org), ready for a data block.
    others : OtherBikes
        Further bikes that its links take along.

    Returns
    -------
    TablePage
    """
    choice = read.choice
    own = own_size(catalogue, choice) if columns else ""
    form = build_form(catalogue, read, None)
    fields = form.fields
    states = tuple(columns[0].states) if columns else ()
    shown = state if state in states else UNLOADED
    page = TablePage(
        model=catalogue.model.name,
        model_slug=catalogue.model.slug,
        models=models,
        revision=catalogue.revision.number,
        revision_words=_revision_words(catalogue),
        changelog=catalogue.revision.changelog,
        revisions=revisions if len(revisions) > 1 else (),
        errors=tuple((each.field, problem_words(each)) for each in read.problems),
        fork=fields["fork"],
        front_tyre=fields["tyre_front"],
        rear_tyre=fields["tyre_rear"],
        headset=fields["headset"],
        slot=form.slot,
        wheels=tuple(
            Link(
                label=wheel_words(front, rear),
                address=table_address(wheels, shown),
                present=wheels == choice,
            )
            for (front, rear), wheels in wheel_choices(catalogue, choice)
        ),
        states=tuple(
            Link(
                label=STATES[name],
                address=table_address(choice, name),
                present=name == shown,
            )
            for name in (states if len(states) > 1 else ())
        ),
        state=STATES[shown],
        hidden=(
            *(pair for pair in pairs_of(choice) if pair[0] not in _OWN_FIELDS),
            *others.pairs,
        ),
        words=_words(catalogue, choice),
        sizes=tuple(
            SizeHead(
                name=column.name,
                address=address_of(column.choice),
                own=column.name == own,
            )
            for column in columns
        ),
        picture=sizes_drawn(
            catalogue.model.name, columns, state=shown, state_words=STATES[shown], own=own
        )
        if columns
        else None,
        rows=figure_rows([column.states[shown] for column in columns]) if columns else (),
        drawn=_drawn_rows(columns),
        check=table_check_lines(catalogue),
        downloads=_downloads(choice),
        data=data,
        here=table_address(choice, shown),
    )
    return others.in_links(page, but=("downloads",))


def _revision_words(catalogue: Catalogue) -> str:
    revision = catalogue.revision
    if revision.state == "withdrawn":
        return tr(
            "Revision {number}, withdrawn: {withdrawn_reason}",
            number=revision.number,
            withdrawn_reason=revision.withdrawn_reason,
        )
    if not revision.published_on:
        return tr("Revision {number}", number=revision.number)
    return tr(
        "Revision {number}, published {day}",
        number=revision.number,
        day=day_in_words(revision.published_on),
    )


def _words(catalogue: Catalogue, choice: BuildChoice) -> str:
    fork = catalogue.part("fork", choice.part("fork")).name
    front = catalogue.part("tyre", choice.part("tyre_front")).name
    rear = catalogue.part("tyre", choice.part("tyre_rear")).name
    tyres = (
        front if front == rear else tr("{front} in front and {rear} behind", front=front, rear=rear)
    )
    if not catalogue.size(choice.size).data.slot_length:
        return tr("Standing with {fork} and {tyres}.", fork=fork, tyres=tyres)
    return tr(
        "Standing with {fork} and {tyres}, axle {position} mm from the front of its slot.",
        fork=fork,
        tyres=tyres,
        position=number(choice.slot),
    )


def _drawn_rows(columns: tuple[TableColumn, ...]) -> tuple[FigureRow, ...]:
    rows = [
        FigureRow(
            key=f"drawn-{each.key}",
            name=each.name,
            symbol="",
            unit=each.unit,
            group="",
            cells=tuple(FigureCell(shown=f"{column.drawn[each.key]:g}") for column in columns),
            explain=(),
        )
        for each in DIMENSIONS
        if columns
    ]
    if columns:
        rows.append(_closure_row(columns))
    return tuple(rows)


def _closure_row(columns: tuple[TableColumn, ...]) -> FigureRow:
    return FigureRow(
        key="drawn-closure",
        name=tr("Closes within"),
        symbol="",
        unit=tr("mm"),
        group="",
        cells=tuple(
            FigureCell(shown=printed("closure_axle", column.closure)) for column in columns
        ),
        explain=(
            (
                tr("What"),
                tr("How far the drawn front axle is from where the drawn wheels would put it."),
            ),
            (
                tr("Reading"),
                tr("Zero within the table's own rounding: the drawing is consistent."),
            ),
        ),
    )


def _downloads(choice: BuildChoice) -> tuple[Link, ...]:
    start = f"/api/v1/models/{choice.model}/table"
    query = query_of(choice)
    return (
        Link(label=tr("This table as CSV"), address=f"{start}.csv?{query}"),
        Link(label=tr("This table as JSON"), address=f"{start}.json?{query}"),
        Link(
            label=tr("Every fork, wheel size and end of the slot as CSV"),
            address=f"{start}.csv?all=1&{query}",
        ),
        Link(
            label=tr("The drawn numbers of this revision, which never change, as JSON"),
            address=f"/table/{choice.model}/revision/{choice.revision}/drawn.json",
        ),
    )
