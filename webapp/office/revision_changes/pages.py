"""What changed between two revisions, as a page and as data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, JSONResponse

from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.catalogue.reading.load import load_catalogue
from webapp.common.text.language import in_own_signs, tr
from webapp.common.text.sentences import capitalized
from webapp.common.text.units import minus, number
from webapp.common.web.choices import Option
from webapp.common.web.dependencies import ReadingSession, query_of_request
from webapp.common.web.templating import page
from webapp.office.forms.submitted import PRIVATE
from webapp.office.revision_changes.side_by_side import RevisionChanges, as_data, changes_between
from webapp.office.revisions.drafts import all_revisions
from webapp.office.revisions.revision_differences import DrawnRow

router = APIRouter(prefix="/office/models/{model}", include_in_schema=False)

Number = Annotated[int, Query(ge=1, le=9999)]


@dataclass(frozen=True, kw_only=True)
class ChangedRow:
    """One line of a table of changes: of every size what it was if that differs, now, change."""

    name: str
    unit: str
    cells: tuple[tuple[str, str, str], ...]
    changed: bool


@dataclass(frozen=True, kw_only=True)
class ChangesPage:
    """Everything the page knows."""

    person: Person
    model: str
    model_name: str
    before: str
    after: str
    revisions: tuple[Option, ...]
    sizes: tuple[str, ...]
    words: str
    drawn: tuple[ChangedRow, ...]
    others: tuple[tuple[str, str, str, str], ...]
    standing: tuple[ChangedRow, ...]
    forks: tuple[Option, ...]
    tyres: tuple[Option, ...]
    fork: str
    tyre_front: str
    tyre_rear: str
    slot: str
    data_address: str
    errors: tuple[tuple[str, str], ...]


@router.get("/changes")
def changes(
    model: str,
    *,
    request: Request,
    person: Builder,
    session: ReadingSession,
    start: Annotated[int, Query(alias="from", ge=1, le=9999)],
    to: Number,
) -> HTMLResponse:
    """Two revisions side by side."""
    query = query_of_request(request)
    found = changes_between(session, model, (start, to), query, drafts=True)
    catalogue = load_catalogue(session, model, to, drafts=True)
    revisions = tuple(
        Option(value=str(r.number), label=r.label) for r in all_revisions(session, model)
    )
    forks, tyres = (
        tuple(Option(value=p.slug, label=p.name) for p in catalogue.offered(kind))
        for kind in ("fork", "tyre")
    )
    context = ChangesPage(
        person=person,
        model=model,
        model_name=found.after.model_name,
        before=str(start),
        after=str(to),
        revisions=revisions,
        sizes=_sizes(found),
        words=found.words or tr("Nothing changed."),
        drawn=tuple(_drawn(row) for row in found.drawn.rows),
        others=tuple(
            (capitalized(other.where), other.label, other.before, other.after)
            for other in found.drawn.others
        ),
        standing=_standing(found),
        forks=forks,
        tyres=tyres,
        fork=found.choice.part("fork"),
        tyre_front=found.choice.part("tyre_front"),
        tyre_rear=found.choice.part("tyre_rear"),
        slot=in_own_signs(f"{found.choice.slot:g}"),
        data_address=f"/office/models/{model}/changes.json?{request.url.query}",
        errors=tuple((p.field, f"{p.field}: {p.remedy}") for p in found.problems),
    )
    status = 422 if context.errors else 200
    return page(
        request,
        "pages/office/revision_changes/revision_changes.html",
        context,
        status=status,
        headers=PRIVATE,
    )


@router.get("/changes.json")
def changes_as_data(
    model: str,
    *,
    request: Request,
    _person: Builder,
    session: ReadingSession,
    start: Annotated[int, Query(alias="from", ge=1, le=9999)],
    to: Number,
) -> JSONResponse:
    """The same as JSON, drafts too; of published revisions anybody may ask under /api/v1."""
    query = query_of_request(request)
    found = changes_between(session, model, (start, to), query, drafts=True)
    data: dict[str, Any] = as_data(found)
    return JSONResponse(data, headers=PRIVATE)


def _sizes(found: RevisionChanges) -> tuple[str, ...]:
    rows = found.drawn.rows
    return tuple(one.size_name for one in rows[0].changes) if rows else ()


def was(before: str, after: str) -> str:
    """The former value, where it differs from the present one.

    >>> was("450", "455"), was("450", "450")
    ('450', '')
    """
    return "" if before == after else before


def _drawn(row: DrawnRow) -> ChangedRow:
    def shown(value: float | None) -> str:
        return "–" if value is None else in_own_signs(f"{value:g}")

    return ChangedRow(
        name=row.label,
        unit=row.unit,
        cells=tuple(
            (
                was(shown(one.before), shown(one.after)),
                shown(one.after),
                minus(in_own_signs(f"{one.change:+g}")) if one.change else "",
            )
            for one in row.changes
        ),
        changed=row.changed,
    )


def _standing(found: RevisionChanges) -> tuple[ChangedRow, ...]:
    zero = {number(0.0, places) for places in range(4)}
    return tuple(
        ChangedRow(
            name=row.name,
            unit=row.unit,
            cells=tuple(
                (was(before, now), now, "" if change.lstrip("+\N{MINUS SIGN}") in zero else change)
                for before, now, change in row.shown()
            ),
            changed=any(before != after for before, after, _ in row.shown()),
        )
        for row in found.standing
    )
