"""The page *What this frame can be*: bars of the main figures, and the builds at their ends."""

from __future__ import annotations

from dataclasses import dataclass, replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse
from markupsafe import Markup

from webapp.builds.choice.build_choice import BuildChoice, address_of, read_choice
from webapp.builds.choice.carried_build import OTHERS_KEYS, carried_text, navigation_addresses
from webapp.builds.evaluation import BuildResult, compute
from webapp.builds.present_bike.reading import other_bikes
from webapp.catalogue.reading.load import load_catalogue
from webapp.common.query_strings import revision_in
from webapp.common.web.dependencies import PublicSession, query_of_request
from webapp.common.web.templating import page
from webapp.drawing.guides.span_bar import span_bar
from webapp.match.extremes import Span, figure_name, printed_in, spans, value_in

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, kw_only=True)
class EndLink:
    """One end of a bar: its value, and the build that reaches it."""

    shown: str
    address: str


@dataclass(frozen=True, kw_only=True)
class BarRow:
    """One figure: present, least and most of this size and of all."""

    name: str
    present: str
    least: EndLink
    most: EndLink
    all_least: EndLink
    all_most: EndLink
    bar: Markup


@dataclass(frozen=True, kw_only=True)
class RangePage:
    """Everything the template needs."""

    model: str
    size: str
    rows: tuple[BarRow, ...]
    address: str


@router.get("/build/{model}/range")
def range_of_build(model: str, request: Request, session: PublicSession) -> HTMLResponse:
    """What builds of this frame reach, the present one marked."""
    query = query_of_request(request)
    catalogue = load_catalogue(session, model, revision_in(query))
    choice = read_choice(catalogue, query, also=(*OTHERS_KEYS, "state", "seen")).choice
    others = other_bikes(query, session)
    result = compute(catalogue, choice)
    own, every = spans(catalogue, choice.size), spans(catalogue)
    context = RangePage(
        model=catalogue.model.name,
        size=result.assembly.size.name,
        rows=tuple(_row(span, whole, result) for span, whole in zip(own, every, strict=False)),
        address=address_of(choice),
    )
    return page(
        request,
        "pages/match/range.html",
        others.in_links(context),
        partial="partials/match/range.html",
        carried=navigation_addresses(carried_text(choice), others),
    )


def _row(span: Span, whole: Span, result: BuildResult) -> BarRow:
    present = value_in(span.key, result)
    ends = [value_in(span.key, each) for each in (span.least, span.most, whole.least, whole.most)]
    drawn = span_bar(present=present, own=(ends[0], ends[1]), every=(ends[2], ends[3]))
    links = [_end(span.key, each, result.choice)
             for each in (span.least, span.most, whole.least, whole.most)]  # fmt: skip
    return BarRow(
        name=figure_name(span.key),
        present=printed_in(span.key, result),
        least=links[0],
        most=links[1],
        all_least=links[2],
        all_most=links[3],
        bar=Markup(drawn),  # noqa: S704  # the drawing holds numbers alone
    )


def _end(key: str, result: BuildResult, present: BuildChoice) -> EndLink:
    address = address_of(replace(result.choice, rider=present.rider))
    return EndLink(shown=printed_in(key, result), address=address)
