"""From a computed build to the content of a quote: everything printed once, here."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from importlib.metadata import PackageNotFoundError, version

from webapp.build.choice import query_of
from webapp.build.context import check_line, price_totals
from webapp.build.figure_rows import FigureRow, figure_rows
from webapp.build.picture import drawing_of, figures_drawn, points_of
from webapp.build.pricing import SCOPE_WORDS, PriceLine
from webapp.build.service import BuildResult
from webapp.catalogue.shop_data import Address
from webapp.drawing.paper import elevation_for_paper
from webapp.drawing.words import in_words
from webapp.quote.assembly_notes import assembly_of, settings_of
from webapp.quote.content import (
    Amount,
    Drawing,
    Figure,
    FrozenBuild,
    FrozenCheck,
    Letterhead,
    Line,
    Pricing,
    QuoteContent,
    Total,
)

PROGRAM = "cinderholt-configurator"
PAPER_WIDTH = 180.0  # [mm] what A4 and Letter both leave between the sheet's margins


def program_version() -> str:
    """Name and version of this program, as frozen with every quote."""
    try:
        return f"{PROGRAM} {version(PROGRAM)}"
    except PackageNotFoundError:  # run from the source tree without being installed
        return f"{PROGRAM} (source tree)"


def freeze(result: BuildResult, *, on: date) -> QuoteContent:
    """Freeze a computed build as the content of a quote.

    Parameters
    ----------
    result : BuildResult
        With a price for every line.
    on : date
        Day of the quote; it stays valid from then.

    Returns
    -------
    QuoteContent
    """
    shop = result.catalogue.settings
    return QuoteContent(
        program=program_version(),
        paper=shop.paper,
        letterhead=_letterhead(shop.letterhead),
        build=_build(result),
        price=_pricing(result),
        valid_until=on + timedelta(days=shop.quote_valid_days),
        valid_days=shop.quote_valid_days,
        lead_time=f"{shop.lead_time_weeks:g} weeks",
        states=tuple(result.states),
        figures=tuple(
            map(_figure, figure_rows([state.figures for state in result.states.values()]))
        ),
        settings=settings_of(result),
        assembly=assembly_of(result),
        checks=tuple(
            FrozenCheck.model_validate(check_line(check), from_attributes=True)
            for check in result.checks
        ),
        drawing=_drawing(result),
        cautions=shop.cautions,
        terms=shop.terms,
        fit_notice=shop.fit_notice,
    )


def _letterhead(address: Address) -> Letterhead:
    return Letterhead(**address.model_dump())


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
        scope_words=SCOPE_WORDS[choice.scope],
        query=query_of(replace(choice, rider=None)),
    )


def _pricing(result: BuildResult) -> Pricing:
    price = result.price
    totals = price_totals(price)
    return Pricing(
        price_list=result.catalogue.price_list,
        lines=tuple(_line(line) for line in price.lines),
        totals=tuple(Total(label=t.label, amount=t.amount, main=t.main) for t in totals),
        net=Amount.of(price.net),
        tax=Amount.of(price.tax),
        gross=Amount.of(price.gross),
        deposit=Amount.of(price.deposit),
        tax_name=price.tax_name,
        tax_percent=price.tax_percent,
        deposit_percent=price.deposit_percent,
        tax_included=price.tax_included,
    )


def _line(line: PriceLine) -> Line:
    if line.amount is None:
        raise ValueError(f"{line.item} has no price; such a build is not quoted")
    return Line(key=line.key, place=line.place, item=line.item, amount=Amount.of(line.amount))


def _figure(row: FigureRow) -> Figure:
    return Figure(
        key=row.key,
        name=row.name,
        symbol=row.symbol,
        unit=row.unit,
        group=row.group,
        cells=tuple(cell.shown for cell in row.cells),
        explain=row.explain,
    )


def _drawing(result: BuildResult) -> Drawing:
    title = f"{result.catalogue.model.name}, size {result.assembly.size.name}, unloaded"
    figures = figures_drawn(result)
    paper = elevation_for_paper(
        points_of(result),
        figures,
        title=title,
        width=PAPER_WIDTH,
        standover_ahead=result.catalogue.revision.data.standover_at,
    )
    return Drawing(
        full=str(drawing_of(result, layout="full")),
        compact=str(drawing_of(result, layout="compact")),
        paper=paper.svg,
        paper_width=paper.width,
        paper_height=paper.height,
        scale=paper.scale,
        title=title,
        words=in_words(figures),
    )
