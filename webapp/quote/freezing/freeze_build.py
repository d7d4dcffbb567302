"""Makes the content of a quote from a computed build; the only place where values become text."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from importlib.metadata import PackageNotFoundError, version

from webapp.builds.choice.build_choice import query_of
from webapp.builds.choice.places import scope_words
from webapp.builds.evaluation import BuildResult
from webapp.builds.fitting.calculations.lead_time import (
    extra_weeks,
    lead_weeks,
    weeks_in_words,
)
from webapp.builds.fitting.calculations.loads import PERSONAL
from webapp.builds.page.check_view import check_line
from webapp.builds.page.figure_rows import (
    FEELING,
    OF_COCKPIT_AND_SADDLE,
    FigureRow,
    figure_rows,
)
from webapp.builds.page.picture import drawing_of, figures_drawn
from webapp.builds.points import points_of
from webapp.builds.solving.solver_inputs import STATE_NAMES, UNLOADED
from webapp.builds.solving.tolerances import intervals_of
from webapp.catalogue.schema.shop import Destination, ShopSettings
from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.drawing.labels import in_words
from webapp.drawing.paper import elevation_for_paper, small_elevation
from webapp.quote.agreed_terms.deal import Deal
from webapp.quote.freezing.assembly_settings import assembly_of, settings_of
from webapp.quote.freezing.bikes import extra_weeks_of
from webapp.quote.freezing.content import (
    Drawing,
    Figure,
    FrozenBuild,
    QuoteContent,
)
from webapp.quote.freezing.letterhead import letterhead_of
from webapp.quote.freezing.pricing import ROUNDING, basis_from, basis_of, dealt_price
from webapp.quote.frozen_check import FrozenCheck

PROGRAM = "Stancewright"
NOTHING_AGREED = Deal()
PAPER_WIDTH = 180.0  # [mm] what A4 and Letter both leave between the sheet's margins
# [mm] of the drawing on the first page: beside a bike's long list, below a frame's short one
_SMALL_WIDTH = {"bike": 62.0, "frameset": 116.0, "frame": 116.0}


def program_version() -> str:
    """Name and version of this program, as frozen with every quote."""
    try:
        return f"{PROGRAM} {version(PROGRAM)}"
    except PackageNotFoundError:  # run from the source tree without being installed
        return tr("{program} (source tree)", program=PROGRAM)


def freeze(
    result: BuildResult,
    *,
    on: date,
    deal: Deal = NOTHING_AGREED,
    before: QuoteContent | None = None,
) -> QuoteContent:
    """Freeze a computed build as the content of a quote.

    Parameters
    ----------
    result : BuildResult
        With a price for every line.
    on : date
        Day of the quote; it stays valid from then.
    deal : Deal
        What the shop agrees on top of the price list.
    before : QuoteContent, optional
        The version this one takes the place of; figures that differ from it carry the
        revision triangle.

    Returns
    -------
    QuoteContent

    Raises
    ------
    Invalid
        For a part without a price, or a deal that cannot be.
    """
    shop = result.catalogue.settings
    figures = _figures(result)
    revised = _revised(figures, before, result.catalogue.model.slug)
    basis = basis_from(result.price)
    content = QuoteContent(
        program=program_version(),
        paper=shop.paper,
        letterhead=letterhead_of(shop),
        build=_build(result),
        price=dealt_price(basis, NOTHING_AGREED, None),
        valid_until=on + timedelta(days=shop.quote_valid_days),
        valid_days=shop.quote_valid_days,
        lead_time=weeks_in_words(lead_weeks(result.setup)),
        states=tuple(STATE_NAMES[state] for state in result.states),
        figures=figures,
        revised=revised,
        settings=settings_of(result),
        assembly=assembly_of(result),
        checks=tuple(
            FrozenCheck.model_validate(check_line(check), from_attributes=True)
            for check in result.checks
            if check.code not in PERSONAL
        ),
        drawing=_drawing(result, frozenset(revised)),
        cautions=shop.cautions,
        terms=shop.terms,
        fit_notice=shop.fit_notice,
        basis=basis,
    )
    return agreed(content, deal, shop, on=on)


def agreed(content: QuoteContent, deal: Deal, shop: ShopSettings, *, on: date) -> QuoteContent:
    """The same build at the same list prices, with another deal.

    Parameters
    ----------
    content : QuoteContent
    deal : Deal
        In place of the one it has.
    shop : ShopSettings
        Where it sends to, and what holds where nothing is agreed.
    on : date
        Day of the new version.

    Returns
    -------
    QuoteContent

    Raises
    ------
    Invalid
        For a destination the shop does not send to any more, a discount larger than
        what it is given on, or a number of bikes where they are listed one by one.
    """
    if content.further and deal.quantity > 1:
        remedy = tr("1: this quote lists its bikes one by one")
        raise Invalid("quantity", deal.quantity, remedy)
    basis = basis_of(content)
    destination = destination_of(shop, deal.destination)
    note = (destination.note,) if destination and destination.note else ()
    smallest = Money(1, basis.currency).format()
    untaxed = destination is None and not float(basis.tax_percent)
    rounding = () if untaxed else (ROUNDING.format(smallest=smallest),)
    return content.model_copy(
        update={
            "basis": basis,
            "deal": deal,
            "price": dealt_price(basis, deal, destination),
            "valid_until": deal.valid_until or on + timedelta(days=shop.quote_valid_days),
            "valid_days": shop.quote_valid_days,
            "lead_time": deal.lead_time
            or weeks_in_words(shop.lead_time_weeks + extra_weeks_of(content)),
            "terms": (*shop.terms, *note, *_tax_number(deal), *rounding),
        }
    )


def _tax_number(deal: Deal) -> tuple[str, ...]:
    """The line a bill without tax needs, where the customer owes it."""
    number = deal.tax_number
    return (tr("VAT number of the customer: {number}.", number=number),) if number else ()


def destination_of(shop: ShopSettings, slug: str) -> Destination | None:
    """The place of that name; None for none, where the shop's own tax applies.

    Raises
    ------
    Invalid
        For a place the shop does not send to.
    """
    places = {place.slug: place for place in shop.destinations}
    if slug and slug not in places:
        raise Invalid(
            "destination", slug, tr("one of {choices}", choices=", ".join(places) or "none")
        )
    return places.get(slug)


def _build(result: BuildResult) -> FrozenBuild:
    model, choice = result.catalogue.model, result.choice
    return FrozenBuild(
        model_slug=model.slug,
        model=model.name,
        summary=model.summary,
        revision=choice.revision,
        size_slug=choice.size,
        size=result.assembly.size.name,
        scope=choice.scope,
        scope_words=scope_words(result.catalogue, choice.scope),
        query=query_of(replace(choice, rider=None)),
        extra_weeks=extra_weeks(result.setup),
    )


def _figures(result: BuildResult) -> tuple[Figure, ...]:
    """Every figure of what is sold; those of cockpit and saddle with a whole bike alone."""
    frame = result.catalogue.revision.data.tolerances
    found = intervals_of(frame, result.assembly, result.states[UNLOADED])
    widths = {key: float(each.half_width) for key, each in found.items()}
    rows = figure_rows(
        [state.figures for state in result.states.values()],
        tolerances=[widths if name == UNLOADED else {} for name in result.states],
    )
    whole = result.choice.scope == "bike"
    return tuple(_figure(row) for row in rows if whole or row.key not in OF_COCKPIT_AND_SADDLE)


def _revised(
    figures: tuple[Figure, ...], before: QuoteContent | None, model: str
) -> tuple[str, ...]:
    """Keys of the figures printed otherwise than before, where it was the same model."""
    if before is None or before.build.model_slug != model:
        return ()
    old = {figure.key: figure.cells[:1] for figure in before.figures}
    return tuple(f.key for f in figures if old.get(f.key, f.cells[:1]) != f.cells[:1])


def _figure(row: FigureRow) -> Figure:
    return Figure(
        key=row.key,
        name=row.name,
        symbol=row.symbol,
        unit=row.unit,
        group=row.group,
        cells=tuple(cell.shown for cell in row.cells),
        tolerances=tuple(cell.tolerance for cell in row.cells),
        numbers=tuple(cell.number for cell in row.cells),
        half_widths=tuple(cell.half_width for cell in row.cells),
        explain=tuple(pair for pair in row.explain if pair[0] != FEELING),
    )


def _drawing(result: BuildResult, revised: frozenset[str]) -> Drawing:
    title = tr(
        "{model}, size {size}, unloaded",
        model=result.catalogue.model.name,
        size=result.assembly.size.name,
    )
    figures, scope = figures_drawn(result), result.choice.scope
    points = points_of(result).as_sold(scope)
    paper = elevation_for_paper(
        points,
        figures,
        title=title,
        width=PAPER_WIDTH,
        standover_ahead=result.catalogue.revision.data.standover_at,
        changed=revised,
    )
    small, small_height = small_elevation(
        points,
        figures,
        title=title,
        width=_SMALL_WIDTH[scope],
        layout="compact" if scope == "bike" else "full",
        changed=revised,
    )
    return Drawing(
        full=str(drawing_of(result, layout="full", changed=revised)),
        compact=str(drawing_of(result, layout="compact", changed=revised)),
        paper=paper.svg,
        paper_width=paper.width,
        paper_height=paper.height,
        scale=paper.scale,
        title=title,
        words=in_words(figures),
        small=small,
        small_width=_SMALL_WIDTH[scope],
        small_height=small_height,
    )
