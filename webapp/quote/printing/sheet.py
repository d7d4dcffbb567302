"""One quote as its sheet shows it, on the web and on paper alike."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass
from datetime import date
from itertools import zip_longest

import segno
from markupsafe import Markup

from webapp.builds.page.context import PrintedLine
from webapp.builds.page.figure_rows import FigureCell, FigureRow, with_feeling
from webapp.common.text.dates import day_in_words
from webapp.common.text.language import tr, trn
from webapp.common.timestamps import day_of
from webapp.quote.customer import Customer
from webapp.quote.freezing.bikes import heading_of, names_of, place_of
from webapp.quote.freezing.content import Pricing, QuoteContent
from webapp.quote.frozen_check import FrozenCheck
from webapp.quote.storage.read import QuoteView

_DRAWING_IDS = re.compile(r'<title id="(\S+?)-title"')


@dataclass(frozen=True, kw_only=True)
class BikeSheet:
    """What the sheet says of a further bike; ``name`` makes the ids of its part of the page."""

    name: str
    heading: str
    content: QuoteContent
    fit: tuple[str, ...]
    figures: tuple[FigureRow, ...]
    not_clear: tuple[FrozenCheck, ...]
    not_known: tuple[FrozenCheck, ...]
    clear: tuple[FrozenCheck, ...]
    drawing: Markup
    build_address: str


@dataclass(frozen=True, kw_only=True)
class SheetPage:
    """Everything a quote's page knows; all but state, link and addresses is frozen.

    Build, figures, drawing and checks are those of the first bike, ``further`` the others'.
    """

    number: str
    version: int
    version_label: str
    date: str
    valid_until: str
    state: str
    state_words: str
    customer: Customer
    note_lines: tuple[str, ...]
    content: QuoteContent
    figures: tuple[FigureRow, ...]
    lines: tuple[PrintedLine, ...]
    totals: tuple[PrintedLine, ...]
    warning: str
    message_lines: tuple[str, ...]
    not_clear: tuple[FrozenCheck, ...]
    not_known: tuple[FrozenCheck, ...]
    clear: tuple[FrozenCheck, ...]
    drawing: Markup
    link: str
    qr: Markup
    no_link: str
    build_address: str
    pdf: tuple[tuple[str, str], ...]
    heading: str
    first: str
    further: tuple[BikeSheet, ...]


def figures_of(content: QuoteContent) -> tuple[FigureRow, ...]:
    """The figures as quoted, with ± where the version has it."""
    return tuple(
        FigureRow(
            key=figure.key,
            name=figure.name,
            symbol=figure.symbol,
            unit=figure.unit,
            group=figure.group,
            cells=tuple(
                FigureCell(shown=shown, tolerance=tolerance)
                for shown, tolerance in zip_longest(figure.cells, figure.tolerances, fillvalue="")
            ),
            explain=with_feeling(figure.key, figure.explain),
        )
        for figure in content.figures
    )


def sheet_page(quote: QuoteView, *, link: str, today: date) -> SheetPage:
    """A quote ready to be shown.

    Parameters
    ----------
    quote : QuoteView
    link : str
        Its public address, where it can be reached today; not frozen, since a
        shop may move its site. Shown only with the version it opens.
    today : date
        For what becomes of a quote with time.

    Returns
    -------
    SheetPage
    """
    bikes = quote.bikes
    one, content = bikes[0], bikes[0].content
    standing = quote.standing
    opened = link_of(quote, link)
    return SheetPage(
        number=quote.number,
        version=quote.version,
        version_label=standing.label,
        date=day_in_words(day_of(quote.created_at)),
        valid_until=day_in_words(content.valid_until),
        state=standing.on(today),
        state_words=standing.words(today),
        customer=one.customer,
        note_lines=tuple(quote.customer.note.splitlines()),
        content=content,
        figures=figures_of(content),
        lines=printed_lines(content.price),
        totals=printed_totals(content.price),
        warning=warning_of(quote),
        message_lines=tuple(content.deal.message.splitlines()),
        not_clear=one.outcomes("no", "tight"),
        not_known=one.outcomes("unknown"),
        clear=one.outcomes("clear"),
        drawing=frozen_drawing(content),
        link=opened,
        # Made of squares, holds no text of anybody's.
        qr=Markup(qr_svg(opened) if opened else ""),  # noqa: S704
        no_link="" if opened else why_no_link(quote),
        build_address=_build_address(content),
        pdf=_pdf_addresses(quote),
        heading=bikes_in_words(quote.content),
        first=heading_of(quote.content, 1) if len(bikes) > 1 else "",
        further=tuple(
            _bike_sheet(bike, number, heading_of(quote.content, number))
            for number, bike in enumerate(bikes[1:], start=2)
        ),
    )


def _bike_sheet(bike: QuoteView, number: int, heading: str) -> BikeSheet:
    name = f"bike{number}"
    return BikeSheet(
        name=name,
        heading=heading,
        content=bike.content,
        fit=bike.customer.fit,
        figures=figures_of(bike.content),
        not_clear=_keyed_apart(bike.outcomes("no", "tight"), name),
        not_known=_keyed_apart(bike.outcomes("unknown"), name),
        clear=_keyed_apart(bike.outcomes("clear"), name),
        drawing=_named_apart(frozen_drawing(bike.content), name),
        build_address=_build_address(bike.content),
    )


def _keyed_apart(checks: tuple[FrozenCheck, ...], name: str) -> tuple[FrozenCheck, ...]:
    """Checks whose keys, the ids of a page, differ from those of another bike's."""
    return tuple(check.model_copy(update={"key": f"{name}-{check.key}"}) for check in checks)


def _build_address(content: QuoteContent) -> str:
    return f"/build/{content.build.model_slug}?{content.build.query}"


def _named_apart(drawing: Markup, name: str) -> Markup:
    """A drawing whose ids differ from those of another bike's on the same page."""
    drawn = str(drawing)
    for known in set(_DRAWING_IDS.findall(drawn)):
        for end in ("title", "words"):
            drawn = re.sub(
                rf'(["\s]){re.escape(known)}-{end}(?=["\s])', rf"\1{name}-{known}-{end}", drawn
            )
    return Markup(drawn)  # noqa: S704  # frozen as drawn, only its ids are others


def bikes_in_words(content: QuoteContent) -> str:
    """Model and size of the bike quoted, or of all bikes."""
    model, size = names_of(content)
    return tr("{model}, size {size}", model=model, size=size)


def warning_of(quote: QuoteView) -> str:
    """The warning at the head of every copy when a check has failed; empty otherwise."""
    failed = list(dict.fromkeys(check.name for check in quote.outcomes("no")))
    if not failed:
        return ""
    return tr("Draft, not to be ordered. Failed: {checks}.", checks=", ".join(failed))


def alike_words(quantity: int) -> str:
    """The sentence that more than one bike is built to this sheet; empty for one."""
    if quantity == 1:
        return ""
    return trn("{count} of them.", "{count} of them, alike.", quantity)


def link_of(quote: QuoteView, link: str) -> str:
    """The link, for the version it opens; empty for any other, which it would not show."""
    return link if quote.standing.opened_by_link else ""


def why_no_link(quote: QuoteView) -> str:
    """The text in place of a link that would open another version."""
    if quote.standing.draft:
        return tr("No link yet: nobody can open this version until it is sent.")
    return tr(
        "No link: the customer’s link opens version {sent_version}.",
        sent_version=quote.sent_version,
    )


def qr_svg(link: str) -> str:
    """A QR code of a link as one SVG that scales, black on nothing.

    >>> qr_svg("https://shop.example/q/x")[:4]
    '<svg'
    """
    out = io.BytesIO()
    code = segno.make(link, micro=False, error="m")
    code.save(out, kind="svg", border=2, omitsize=True, xmldecl=False, nl=False, svgclass="qr")
    return out.getvalue().decode()


def printed_lines(price: Pricing) -> tuple[PrintedLine, ...]:
    """The build list with its discounts, as printed."""
    return tuple(
        PrintedLine(
            label=place_of(line.key, line.place),
            note=line.item,
            amount=line.amount.printed,
            key=line.key,
        )
        for line in price.lines
    )


def printed_totals(price: Pricing) -> tuple[PrintedLine, ...]:
    """The lines under the build list, as printed."""
    return tuple(
        PrintedLine(label=t.label, note="", amount=t.amount, key=f"total-{at}", main=t.main)
        for at, t in enumerate(price.totals)
    )


def frozen_drawing(content: QuoteContent) -> Markup:
    """The side elevation for wide and narrow screens, as it was drawn."""
    drawn = content.drawing.full + content.drawing.compact
    return Markup(drawn)  # noqa: S704  # frozen as drawn, when every text in it was escaped


def _pdf_addresses(quote: QuoteView) -> tuple[tuple[str, str], ...]:
    """The sheet for both papers, the shop's own first."""
    papers = sorted(("A4", "Letter"), key=lambda paper: paper != quote.content.paper)
    return tuple((paper, f"/q/{quote.token}/sheet.pdf?paper={paper.lower()}") for paper in papers)
