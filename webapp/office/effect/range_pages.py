"""What the frame of a draft can be, beside the published revision."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse
from markupsafe import Markup

from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.builds.choice.build_choice import address_of
from webapp.builds.evaluation import BuildResult
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import DomainError, NotFound
from webapp.common.text.language import tr
from webapp.common.web.choices import Link
from webapp.common.web.dependencies import ReadingSession, RowNumber, query_of_request
from webapp.common.web.templating import page
from webapp.drawing.guides.span_bar import two_bars
from webapp.match.extremes import Span, figure_name, printed_in, spans, value_in
from webapp.office.forms.submitted import PRIVATE
from webapp.office.revisions.drafts import RevisionContent, published_before, read_revision
from webapp.office.revisions.pages import address_of_revision

router = APIRouter(prefix="/office/models/{model}/{number}", include_in_schema=False)


@dataclass(frozen=True, kw_only=True)
class End:
    """One end of a bar: its value, and of a published build its address."""

    shown: str
    address: str = ""


@dataclass(frozen=True, kw_only=True)
class RangeRow:
    """One figure; an end is empty where no build of that revision could be ordered."""

    name: str
    bars: Markup
    before: tuple[End, ...]
    after: tuple[End, ...]


@dataclass(frozen=True, kw_only=True)
class DraftRangePage:
    """Everything the page knows."""

    person: Person
    revision: RevisionContent
    address: str
    before: str
    sizes: tuple[Link, ...]
    rows: tuple[RangeRow, ...]
    problem: str


@router.get("/range")
def draft_range(
    model: str, number: RowNumber, *, request: Request, person: Builder, session: ReadingSession
) -> HTMLResponse:
    """The least and the most of each main figure, of this revision and of the one before."""
    revision = read_revision(session, model, number)
    earlier = published_before(session, model, number)
    after = load_catalogue(session, model, number, drafts=True)
    before = None if earlier is None else load_catalogue(session, model, earlier.number)
    size = next(iter(query_of_request(request).get("size", ())), "")
    if size and size not in {each.slug for each in after.sizes}:
        raise NotFound("size", size, tr("a size of this revision"))
    rows: tuple[RangeRow, ...] = ()
    problem = ""
    try:
        rows = _rows(_spans(before, size), _spans(after, size))
    except DomainError as error:
        problem = "; ".join(f"{each.field}: {each.remedy}" for each in error.problems)
    address = address_of_revision(model, number)
    context = DraftRangePage(
        person=person,
        revision=revision,
        address=address,
        before="" if earlier is None else earlier.label,
        sizes=_sizes(after, f"{address}/range", size),
        rows=rows,
        problem=problem,
    )
    return page(request, "pages/office/effect/range.html", context, headers=PRIVATE)


def _sizes(catalogue: Catalogue, address: str, size: str) -> tuple[Link, ...]:
    every = Link(label=tr("All sizes"), address=address, present=not size)
    return (
        every,
        *(
            Link(label=each.name, address=f"{address}?size={each.slug}", present=each.slug == size)
            for each in catalogue.sizes
        ),
    )


def _spans(catalogue: Catalogue | None, size: str) -> dict[str, Span]:
    """By figure; nothing of a revision that does not have the size."""
    if catalogue is None or (size and size not in {each.slug for each in catalogue.sizes}):
        return {}
    return {span.key: span for span in spans(catalogue, size)}


def _rows(before: dict[str, Span], after: dict[str, Span]) -> tuple[RangeRow, ...]:
    return tuple(_row(key, before.get(key), after.get(key)) for key in {**after, **before})


def _row(key: str, before: Span | None, after: Span | None) -> RangeRow:
    drawn = two_bars(before=_values(key, before), after=_values(key, after))
    return RangeRow(
        name=figure_name(key),
        bars=Markup(drawn),  # noqa: S704  # the drawing holds numbers alone
        before=tuple(
            End(shown=printed_in(key, each), address=address_of(each.choice))
            for each in _ends(before)
        ),
        after=tuple(End(shown=printed_in(key, each)) for each in _ends(after)),
    )


def _ends(span: Span | None) -> tuple[BuildResult, ...]:
    return () if span is None else (span.least, span.most)


def _values(key: str, span: Span | None) -> tuple[float, float] | None:
    return None if span is None else (value_in(key, span.least), value_in(key, span.most))
