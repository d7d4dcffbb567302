"""The one declaration of each drawn dimension of a frame size, and how it is read.

A dimension is declared once: by its field of `webapp.catalogue.schema.frames.SizeData`,
with its range there and a `Drawn` beside it. The office's form and grid, the tolerances,
the changelog, the published table (page, CSV and JSON) and the JSON interface take their
lists, order, limits, units and words from these declarations. Meaning and source stand in
the glossary of `geometry`, under ``frame.`` and the field's name.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, TypeVar

from pydantic import BaseModel, create_model
from pydantic.fields import FieldInfo

from webapp.common.text.language import tr

Model = TypeVar("Model", bound=BaseModel)


@dataclass(frozen=True)
class Drawn:
    """Marks a field as a drawn dimension, with what its range does not say.

    Parameters
    ----------
    name : str
        In the published table.
    label : str
        In the office, where it is longer than in the table.
    more, less : str
        What a larger and a smaller value is called in a changelog.
    off : float or None [mm or degrees]
        Its tolerance, ±, until the builder states another; None where it has none.
    solved : bool
        Whether the solver takes it.
    toleranced : bool
        Whether its tolerance enters the interval of a figure.
    """

    name: str
    label: str = ""
    more: str = tr("longer")
    less: str = tr("shorter")
    off: float | None = None
    solved: bool = True
    toleranced: bool = True


@dataclass(frozen=True, kw_only=True)
class FrameDimension:
    """One dimension of the drawing.

    Parameters
    ----------
    key : str
        Its field of the size's data.
    what : str
        The quantity in the trade's words, as a refusal calls it.
    unit : str
        ``mm`` or ``°``.
    default : float or None
        Its value where none is given; None where one is required.
    drawn : Drawn
        The rest of its declaration.
    """

    key: str
    what: str
    unit: str
    default: float | None
    drawn: Drawn

    @property
    def name(self) -> str:
        """In the published table."""
        return self.drawn.name

    @property
    def label(self) -> str:
        """In the office."""
        return self.drawn.label or self.drawn.name


def dimensions_of(model: type[BaseModel]) -> tuple[FrameDimension, ...]:
    """The fields of a class of data that are marked as `Drawn`, in their order."""
    return tuple(
        _dimension(key, field, mark)
        for key, field in model.model_fields.items()
        for mark in field.metadata
        if isinstance(mark, Drawn)
    )


def _dimension(key: str, field: FieldInfo, mark: Drawn) -> FrameDimension:
    extra = field.json_schema_extra
    unit = str(extra["unit"]) if isinstance(extra, dict) else ""
    return FrameDimension(
        key=key,
        what=(field.description or "").removesuffix(f" [{unit}]"),
        unit="°" if unit == "degrees" else unit,
        default=None if field.is_required() else float(field.default),
        drawn=mark,
    )


def with_numbers(
    name: str,
    base: type[Model],
    dimensions: Iterable[FrameDimension],
    field: Callable[[FrameDimension], tuple[Any, Any]],
) -> type[Model]:
    """A class of data with one number a dimension: annotation and default from ``field``."""
    fields: dict[str, Any] = {each.key: field(each) for each in dimensions}
    return create_model(name, __base__=base, __module__=base.__module__, **fields)
