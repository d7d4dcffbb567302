"""The fields of a new model: what all sizes share in groups, and the table of sizes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sqlmodel import Session

from webapp.catalogue.standards import POSTS
from webapp.common.text.language import in_own_signs, tr
from webapp.common.web.choices import Option
from webapp.office.forms.field import Another
from webapp.office.forms.standards import another_of, standard_lists
from webapp.office.models.new_model import EXTRA_ROWS, JOINT_OF, LEFT_EMPTY, STARTS, NewSize
from webapp.office.revisions.size_grid import cell_name, label_of, rows_shown, unit_of

BLANK = "blank"


@dataclass(frozen=True, kw_only=True)
class Field:
    """One field; a list where it has options."""

    name: str
    label: str
    value: str
    unit: str = ""
    hint: str = ""
    error: str = ""
    required: bool = True
    options: tuple[Option, ...] = ()
    another: Another | None = None


@dataclass(frozen=True, kw_only=True)
class Group:
    """Fields that belong together; ``folded`` ones begin with what is usual."""

    heading: str
    fields: tuple[Field, ...]
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Row:
    """One dimension in every size."""

    label: str
    unit: str
    cells: tuple[Field, ...]


@dataclass(frozen=True, kw_only=True)
class Table:
    """The table of a new model."""

    sizes: tuple[NewSize, ...]
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class _Asked:
    """One question: its field, words, unit, and first value."""

    name: str
    label: str
    unit: str = "mm"
    start: str = ""
    hint: str = ""
    required: bool = True


_RIMS = (
    ("622", "622 (28″, 29″)"),
    ("584", "584 (27.5″, 650B)"),
    ("571", "571"),
    ("559", "559 (26″)"),
)
_MEASURED = (("along", tr("along the steering axis")), ("straight", tr("straight, axle to crown")))
_USAGE = (
    ("1", tr("1 paved")),
    ("2", tr("2 gravel, drops up to 15 cm")),
    ("3", tr("3 rough trails, below 60 cm")),
    ("4", tr("4 descents below 40 km/h, below 120 cm")),
    ("5", tr("5 extreme downhill")),
    ("6", tr("6 road sport")),
)

_GROUPS: tuple[tuple[str, str, tuple[_Asked, ...]], ...] = (
    (
        tr("Drawn with"),
        tr("The fork and wheels in the drawing. Frames sold alone are computed with these."),
        (
            _Asked("axle_to_crown", tr("Fork, axle to crown")),
            _Asked("axle_to_crown_measured", tr("Measured"), "", "along"),
            _Asked("offset", tr("Fork offset")),
            _Asked("travel", tr("Fork travel"), "mm", "0", tr("0 for a rigid fork")),
            _Asked(
                "lower_headset_stack",
                tr("Headset below the head tube"),
                "mm",
                "",
                tr("0 where the bearing sits inside the tube"),
            ),
            _Asked("rim", tr("Rims"), "", "622"),
            _Asked("tyre_width", tr("Tyre width")),
            _Asked(
                "wheel_radius",
                tr("Wheel radius, if measured"),
                "mm",
                "",
                tr("empty: from rim and tyre width"),
                required=False,
            ),
        ),
    ),
    (
        tr("What the frame takes"),
        "",
        (
            _Asked("head_tube", tr("Head tube"), ""),
            _Asked("fork_shortest", tr("Shortest fork allowed"), hint=tr("axle to crown, along")),
            _Asked("fork_longest", tr("Longest fork allowed"), hint=tr("axle to crown, along")),
            _Asked("travel_max", tr("Most fork travel allowed"), "mm", "0"),
            _Asked("tyre_recommended", tr("Widest tyre you recommend")),
            _Asked("tyre_largest", tr("Widest tyre that goes in")),
            _Asked("rear_axle", tr("Rear axle"), ""),
            _Asked("bottom_bracket", tr("Bottom bracket"), ""),
            _Asked("post_diameter", tr("Seat post"), ""),
            _Asked("rear_brake", tr("Rear brake"), "", required=False),
        ),
    ),
    (
        tr("What it is built for"),
        tr("Your limits; a build beyond them is never sold."),
        (
            _Asked("usage_class", tr("Riding, class of EN 17406"), "", "2"),
            _Asked("mass_rider", tr("Heaviest rider with luggage"), "kg"),
            _Asked("mass_whole", tr("Heaviest bike with rider and luggage"), "kg"),
        ),
    ),
    (
        tr("Usual values: look at them, change what is different"),
        "",
        (
            _Asked("ring_largest", tr("Largest ring the stays leave room for"), tr("teeth"), "40"),
            _Asked("ring_smallest", tr("Smallest ring"), tr("teeth"), "26"),
            _Asked("ring_chainline", tr("Chainline of that ring"), "mm", "47"),
            _Asked("chainline_min", tr("Chainline, least"), "mm", "43"),
            _Asked("chainline_max", tr("Chainline, most"), "mm", "55"),
            _Asked("rotor_min", tr("Smallest rotor"), "mm", "140"),
            _Asked("rotor_max", tr("Largest rotor"), "mm", "180"),
            _Asked("spacers", tr("Most spacers under the stem"), "mm", "40"),
        ),
    ),
)

STARTING_TEXTS: dict[str, str] = {
    each.name: each.start for _, _, asked in _GROUPS for each in asked if each.start
}


def groups(
    session: Session, texts: Mapping[str, str], errors: Mapping[str, str]
) -> tuple[Group, ...]:
    """Everything all sizes share, as fields."""
    lists = _lists(session)
    return tuple(
        Group(
            heading=heading,
            note=note,
            fields=tuple(
                Field(
                    name=each.name,
                    label=each.label,
                    value=texts.get(each.name, ""),
                    unit=each.unit,
                    hint=each.hint,
                    error=errors.get(each.name, ""),
                    required=each.required,
                    options=lists.get(each.name, ()),
                    another=another_of(each.name, each.label, JOINT_OF[each.name], texts, errors)
                    if each.name in JOINT_OF
                    else None,
                )
                for each in asked
            ),
        )
        for heading, note, asked in _GROUPS
    )


def _lists(session: Session) -> dict[str, tuple[Option, ...]]:
    """Lists to choose from: standards of their joints, and what is the same everywhere."""
    standards, first = standard_lists(session), tr("choose one")
    found = {field: standards.options(joint, first) for field, joint in JOINT_OF.items()}
    found["rear_brake"] = standards.options("brake_mount", tr("no disc brake"))
    found["axle_to_crown_measured"] = _choices(*_MEASURED)
    found["rim"], found["usage_class"] = _choices(*_RIMS), _choices(*_USAGE)
    found["post_diameter"] = _choices(("", first), *((f"{p:g}", f"{p:g} mm") for p in POSTS))
    return found


def _choices(*pairs: tuple[str, str]) -> tuple[Option, ...]:
    return tuple(Option(value=value, label=label) for value, label in pairs)


def table_of(
    sizes: Iterable[NewSize], texts: Mapping[str, str], errors: Mapping[str, str]
) -> Table:
    """The table of sizes, one row a dimension."""
    named = tuple(sizes)
    shown = (*rows_shown([size.slug for size in named], texts), *EXTRA_ROWS)
    return Table(sizes=named, rows=tuple(_row(path, named, texts, errors) for path in shown))


_RIDERS = {"riders.shortest": tr("Shortest rider"), "riders.tallest": tr("Tallest rider")}


def _row(
    path: str, sizes: tuple[NewSize, ...], texts: Mapping[str, str], errors: Mapping[str, str]
) -> Row:
    label, unit = _RIDERS.get(path) or label_of(path), unit_of(path)
    names = [cell_name(size.slug, path) for size in sizes]
    return Row(
        label=label,
        unit=unit,
        cells=tuple(
            Field(
                name=name,
                label=tr("{size}, {dimension}", size=size.name, dimension=label),
                value=texts.get(name, in_own_signs(STARTS.get(path, ""))),
                unit=unit,
                error=errors.get(name, ""),
                required=path not in LEFT_EMPTY,
            )
            for size, name in zip(sizes, names, strict=True)
        ),
    )


def labels_of(sizes: Iterable[NewSize], texts: Mapping[str, str]) -> dict[str, str]:
    """What every field of the form is called, in the form's order."""
    named = tuple(sizes)
    own = {"name": tr("Name of the model"), "frame_price": tr("Price of the frame")}
    shared = {each.name: each.label for _, _, asked in _GROUPS for each in asked}
    rows = table_of(named, texts, {}).rows
    return own | shared | {cell.name: cell.label for row in rows for cell in row.cells}


def is_chosen(name: str) -> bool:
    """Whether a field is a list to choose from."""
    return name in {*JOINT_OF, "post_diameter"}
