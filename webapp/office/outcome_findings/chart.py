"""The size chart that follows from outcomes, beside the present one; it can be put into a draft."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlmodel import Session

from geometry.population import chart_moves
from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.writing.models import put_size
from webapp.fit.candidate_builds import candidate_builds
from webapp.fit.run import run_for, usual_choice
from webapp.office.revisions.drafts import (
    RevisionContent,
    all_revisions,
    begin_draft,
    locked_revision,
)
from webapp.office.save import one_save
from webapp.outcomes.findings import Findings

_STEP = 5.0


@dataclass(frozen=True, kw_only=True)
class ChartRow:
    """One size: the statures it is for now, and as offered [mm]."""

    slug: str
    name: str
    shortest: float
    tallest: float
    offered_shortest: float
    offered_tallest: float

    @property
    def moves(self) -> bool:
        """Whether anything changes."""
        return self.shortest != self.offered_shortest


def offered_chart(catalogue: Catalogue, found: Findings) -> tuple[ChartRow, ...]:
    """The chart moved by the findings, in steps of 5 mm.

    Parameters
    ----------
    catalogue : Catalogue
        With a size chart.
    found : Findings

    Returns
    -------
    tuple of ChartRow
        From small to large.
    """
    run = run_for(
        catalogue, candidate_builds(catalogue, usual_choice(catalogue)), catalogue.styles[0]
    )
    offset, slope = (found.number(name) for name in ("offset", "slope"))
    moves = chart_moves(
        run,
        offset=offset.learnt if offset.says_something else 0.0,
        slope=slope.learnt if slope.says_something else 0.0,
    )
    rows = []
    for size, move in zip(catalogue.sizes, moves.tolist(), strict=True):
        riders = size.data.riders
        if riders is not None:
            by = _STEP * round(move / _STEP)
            rows.append(
                ChartRow(
                    slug=size.slug,
                    name=size.name,
                    shortest=riders.shortest,
                    tallest=riders.tallest,
                    offered_shortest=riders.shortest + by,
                    offered_tallest=riders.tallest + by,
                )
            )
    return tuple(rows)


def put_chart(session: Session, rows: Sequence[ChartRow], *, who: str, model: str) -> int:
    """Put a chart into the model's draft; one is begun where there is none.

    Parameters
    ----------
    session : Session
        A writing session.
    rows : sequence of ChartRow
    who : str
        Who does it.
    model : str
        The model's slug.

    Returns
    -------
    int
        Number of the draft.
    """
    draft = _draft(session, model, who)
    offered = {row.slug: row for row in rows}
    with one_save(session):
        for size in draft.sizes:
            row = offered.get(size.slug)
            if row is None:
                continue
            riders = {"shortest": row.offered_shortest, "tallest": row.offered_tallest}
            put_size(
                session,
                who=who,
                model=model,
                revision=draft.number,
                slug=size.slug,
                name=size.name,
                position=size.position,
                data={**size.raw, "riders": riders},
            )
    return draft.number


def _draft(session: Session, model: str, who: str) -> RevisionContent:
    for revision in all_revisions(session, model):
        if revision.is_draft:
            return locked_revision(session, model, revision.number)
    return begin_draft(session, who=who, model=model)
