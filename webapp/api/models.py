"""Models, their sizes and options, and their geometry tables, as JSON and CSV."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from sqlmodel import Session

from geometry.bike import closure
from geometry.glossary import entry
from webapp.builds.choice.build_choice import (
    POSITIONS,
    BuildChoice,
    Query,
    address_of,
    pairs_of,
)
from webapp.builds.choice.places import PLACES
from webapp.builds.page.figure_rows import KEYS
from webapp.catalogue.reading.load import list_models, load_catalogue
from webapp.catalogue.reading.views import AnyPart, Catalogue, ModelView, RevisionView, SizeView
from webapp.common.errors import Invalid
from webapp.common.text.money import Money
from webapp.geometry_table.geometry_table import TableColumn, every_build, table_of
from webapp.geometry_table.table_check import table_check


def models_answer(session: Session) -> dict[str, Any]:
    """Every model with a published revision."""
    return {"models": [_model(model) for model in list_models(session)]}


def _model(model: ModelView) -> dict[str, Any]:
    return {
        "model": model.slug,
        "name": model.name,
        "summary": model.summary,
        "href": f"/api/v1/models/{model.slug}",
    }


def model_answer(session: Session, model: str, revision: int | None) -> dict[str, Any]:
    """One model: a revision, its sizes as drawn, and every option with its price.

    Parameters
    ----------
    session : Session
    model : str
    revision : int or None
        The published one when None.

    Returns
    -------
    dict

    Raises
    ------
    NotFound
        For an unknown model or revision.
    """
    catalogue = load_catalogue(session, model, revision)
    return {
        **_model(catalogue.model),
        "revision": _revision(catalogue.revision),
        "currency": catalogue.currency,
        "frame_price": _money(catalogue.frame_price),
        "sizes": [_size(size) for size in catalogue.sizes],
        "places": [
            {"place": place.name, "kind": place.kind, "optional": place.optional}
            for place in PLACES
        ],
        "positions": [
            {"position": at.name, "unit": at.unit, "low": at.low, "high": at.high}
            for at in POSITIONS
        ],
        "options": {
            kind: [_part(part) for part in catalogue.offered(kind)] for kind in catalogue.parts
        },
    }


def _revision(revision: RevisionView) -> dict[str, Any]:
    return {
        "number": revision.number,
        "state": revision.state,
        "published_on": revision.published_on.isoformat() if revision.published_on else None,
        "withdrawn_reason": revision.withdrawn_reason or None,
        "changelog": revision.changelog,
        "data": revision.data.model_dump(mode="json"),
    }


def _size(size: SizeView) -> dict[str, Any]:
    loop = closure(size.frame)
    return {
        "size": size.slug,
        "name": size.name,
        "surcharge": _money(size.surcharge),
        "drawn": size.data.model_dump(mode="json"),
        "closure": {"axle": loop.axle, "head_angle": loop.head_angle},
    }


def _part(part: AnyPart) -> dict[str, Any]:
    return {
        "part": part.slug,
        "name": part.name,
        "price": _money(part.price) if part.price else None,
        "standard": part.standard,
        "assumed": part.assumed,
        "data": part.data.model_dump(mode="json"),
    }


def _money(amount: Money) -> dict[str, Any]:
    return {"minor": amount.minor, "currency": amount.currency}


def tables_of(
    catalogue: Catalogue, choice: BuildChoice, *, every: bool
) -> list[tuple[TableColumn, ...]]:
    """The table of one build, or of every fork, wheel pair and end of the slot."""
    builds = every_build(catalogue, choice) if every else iter([choice])
    return [table_of(catalogue, build, with_intervals=not every) for build in builds]


def wants_every(query: Query) -> bool:
    """Whether a query asks for every build with ``all=1``.

    Raises
    ------
    Invalid
        For another value of ``all``.
    """
    value = (query.get("all") or ["0"])[-1]
    if value not in ("0", "1"):
        raise Invalid("all", value, "1 for every fork, wheel size and end of the slot, or 0")
    return value == "1"


def table_answer(catalogue: Catalogue, choice: BuildChoice, *, every: bool) -> dict[str, Any]:
    """The geometry table as data.

    Parameters
    ----------
    catalogue : Catalogue
    choice : BuildChoice
        The build whose every size is given; its own size does not matter.
    every : bool
        Every fork, wheel pair and end of the slot instead.

    Returns
    -------
    dict
        With ``units`` of every figure, and one entry a build in ``builds``,
        each with one entry a size: as drawn, closure, every state, and for one
        build ``intervals``, the ± of every figure. ``table_check`` holds what
        contradicts itself in the drawn table.

    Raises
    ------
    Invalid
        Parts that cannot stand together.
    """
    return {
        "model": catalogue.model.slug,
        "revision": catalogue.revision.number,
        "state": catalogue.revision.state,
        "units": {key: entry(key).unit for key in KEYS},
        "table_check": _table_check(catalogue),
        "builds": [_table(columns) for columns in tables_of(catalogue, choice, every=every)],
    }


def _table_check(catalogue: Catalogue) -> dict[str, Any]:
    found = table_check(catalogue)
    return {"outcome": found.outcome, "findings": [asdict(one) for one in found.findings]}


def _table(columns: tuple[TableColumn, ...]) -> dict[str, Any]:
    shared = [pair for pair in pairs_of(columns[0].choice) if pair[0] != "size"]
    return {
        "build": {
            name: [value for key, value in shared if key == name]
            if name == "extra"
            else dict(shared)[name]
            for name in dict(shared)
        },
        "sizes": [_column(column) for column in columns],
    }


def _column(column: TableColumn) -> dict[str, Any]:
    return {
        "size": column.size,
        "name": column.name,
        "address": address_of(column.choice),
        "drawn": dict(column.drawn),
        "closure": {"axle": column.closure},
        **{state: {key: figures[key] for key in KEYS} for state, figures in column.states.items()},
        "intervals": {
            state: {key: widths[key] for key in KEYS}
            for state, widths in column.half_widths.items()
            if widths
        },
    }
