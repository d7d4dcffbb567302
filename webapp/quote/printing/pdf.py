"""The quote sheet as PDF.

Everything goes to the typesetter as one piece of data and is shown as values, so
that no text can become markup. It reads templates and nothing else from its
folder, uses the fonts in ``static/fonts/print`` alone, and takes its clock from
the quote, so that the same quote gives the same bytes.
"""

from __future__ import annotations

import json
import logging
from collections.abc import Mapping
from datetime import datetime
from functools import cache
from typing import Any, Literal

import typst

from webapp.common.paths import STATIC, TEMPLATES
from webapp.common.text.dates import day_in_words
from webapp.common.text.extraction import on_paper
from webapp.common.text.language import language_code, locale_of, tr, translations, trn
from webapp.common.timestamps import day_of
from webapp.quote.freezing.assembly_settings import first_ride
from webapp.quote.freezing.bikes import heading_of, in_short, place_of
from webapp.quote.freezing.pricing import parts_of
from webapp.quote.printing.sheet import (
    alike_words,
    bikes_in_words,
    link_of,
    qr_svg,
    warning_of,
    why_no_link,
)
from webapp.quote.storage.read import QuoteView

log = logging.getLogger(__name__)

Paper = Literal["A4", "Letter"]
Copy = Literal["customer", "workshop"]
PRINT = TEMPLATES / "print"

NOT_ORDERED = tr("Not ordered: the customer has not accepted this version.")

_TEMPLATES: dict[Copy, str] = {"customer": "quote.typ", "workshop": "workshop.typ"}
_FIRST_LAYOUT = "quote_1.typ"  # of versions frozen before the first page had a drawing
_PAPERS: dict[Paper, str] = {"A4": "a4", "Letter": "us-letter"}


@cache
def fonts() -> typst.Fonts:
    """The fonts sheets are set in, read once; none of the system's."""
    return typst.Fonts(
        include_system_fonts=False,
        include_embedded_fonts=False,
        font_paths=[str(STATIC / "fonts" / "print")],
    )


@cache
def sentences_to_print() -> tuple[str, ...]:
    """Every sentence that stands in a template of the paper."""
    return tuple(dict.fromkeys(str(said) for _, _, said in on_paper()))


def printed_sentences() -> dict[str, str]:
    """The same in the language of the service, by their English."""
    spoken = translations(language_code())
    return {said: spoken.gettext(said) for said in sentences_to_print()}


def language_of_sheets() -> str:
    """The language that sheets are tagged with."""
    return locale_of(language_code()).language


def paper_size(paper: Paper) -> str:
    """A paper as the typesetter calls it."""
    return _PAPERS[paper]


def quote_pdf(
    quote: QuoteView,
    *,
    link: str,
    paper: Paper,
    firm_mark: str = "",
    copy: Copy = "customer",
    bike: int = 1,
) -> bytes:
    """The sheet of a quote as PDF.

    Parameters
    ----------
    quote : QuoteView
    link : str
        Its public address, printed and in the QR code of the version it opens.
    paper : {"A4", "Letter"}
    firm_mark : str
        The mark of its letterhead as SVG, from `mark_on_paper`; empty for none.
    copy : {"customer", "workshop"}
        The workshop's has what to build and how it is set, and no prices.
    bike : int
        Which bike the workshop's copy is of.

    Returns
    -------
    bytes
        Tagged and checked against PDF/UA-1. A text with characters that no font
        here has cannot pass that check; it is printed without it.
    """
    data = sheet_data(quote, link=link, paper=paper, firm_mark=firm_mark)
    if copy == "workshop":
        one = quote.bike(bike)
        data |= _of_bike(one, len(quote.bikes)) | {"subject": bikes_in_words(one.content)}
    return printed(data, template_of(quote, copy), at=quote.created_at)


def printed(data: Mapping[str, Any], template: str, *, at: datetime) -> bytes:
    """A sheet as PDF, tagged and checked where its letters allow it.

    Parameters
    ----------
    data : mapping
        Everything its template is given; ``number`` is the quote's. A ``firm_mark`` that
        cannot be drawn is left out rather than fail a customer.
    template : str
        In `PRINT`.
    at : datetime
        What its clock says.
    """
    given = json.dumps(data, ensure_ascii=False)
    try:
        return _compiled(given, ["ua-1"], template, at)
    except typst.TypstError as error:
        log.warning("quote %s printed without PDF/UA-1: %s", data["number"], error.message)
    try:
        return _compiled(given, [], template, at)
    except typst.TypstError as error:
        if not data.get("firm_mark"):
            raise
        log.warning("%s printed without the firm's mark: %s", data["number"], error.message)
        return printed({**data, "firm_mark": ""}, template, at=at)


def template_of(quote: QuoteView, copy: Copy) -> str:
    """The template a version prints with: always the one of the layout it was frozen for."""
    if copy == "customer" and not quote.content.drawing.small and not quote.content.further:
        return _FIRST_LAYOUT
    return _TEMPLATES[copy]


def sheet_data(quote: QuoteView, *, link: str, paper: Paper, firm_mark: str = "") -> dict[str, Any]:
    """Everything the sheet's template is given."""
    content, standing, bikes = quote.content, quote.standing, quote.bikes
    opened = link_of(quote, link)
    currency = content.price.gross.currency
    return {
        "sentences": printed_sentences(),
        "language": language_of_sheets(),
        "title": title_of(quote),
        "alike": alike_words(content.deal.quantity),
        "subject": bikes_in_words(content),
        "paper": paper_size(paper),
        "number": quote.number,
        "version": standing.label,
        "mark": standing.mark(),
        "firm_mark": firm_mark,
        "not_ordered": not_ordered(quote),
        "date": day_in_words(day_of(quote.created_at)),
        "valid_until": day_in_words(content.valid_until),
        "customer": {"name": quote.customer.name, "mail": quote.customer.mail},
        "note": quote.customer.note,
        "link": opened,
        "qr": qr_svg(opened) if opened else "",
        "no_link": "" if opened else why_no_link(quote),
        "lines": [
            {
                "place": place_of(line.key, line.place),
                "item": line.item,
                "amount": line.amount.figure,
            }
            for line in content.price.lines
        ],
        "totals": [
            {"label": total.label, "amount": total.money.figure, "main": total.main}
            for total in content.price.totals
        ],
        "currency": currency,
        **(_of_bike(bikes[0], len(bikes)) | {"warning": warning_of(quote)}),
        "first": heading_of(content, 1) if len(bikes) > 1 else "",
        "further": [
            {"heading": heading_of(content, number), **_of_bike(bike, len(bikes))}
            for number, bike in enumerate(bikes[1:], start=2)
        ],
    }


def _of_bike(bike: QuoteView, bikes: int) -> dict[str, Any]:
    """What the templates are given of one bike."""
    content = bike.content
    parts = parts_of(content, bikes=bikes)
    return {
        "fit": bike.customer.fit,
        "clear": clear_words(bike),
        "content": content.model_dump(
            mode="json",
            exclude={
                "figures": {"__all__": {"explain"}},
                "drawing": {"full", "compact"},
                "basis": True,
                "checks": True,
                "further": True,
            },
        )
        | {"parts": [{"place": place, "item": item} for place, item in parts]},
        "checks": [check.model_dump(mode="json") for check in bike.checks],
        "warning": warning_of(bike),
        "first_ride": first_ride(content.build.scope),
    }


def title_of(quote: QuoteView) -> str:
    """What the customer's sheet is for."""
    content = quote.content
    if content.further:
        count = 1 + len(content.further)
        return tr("Quote for {count} bikes: {bikes}", count=count, bikes=in_short(content))
    return trn(
        "Quote for one {model}, size {size}",
        "Quote for {count} {model}, size {size}",
        content.deal.quantity,
        model=content.build.model,
        size=content.build.size,
    )


def clear_words(quote: QuoteView) -> str:
    """How many checks are clear; empty when none is."""
    count = len(quote.outcomes("clear"))
    return trn("{count} check is clear.", "{count} checks are clear.", count) if count else ""


def not_ordered(quote: QuoteView) -> str:
    """The heading of a workshop copy of any version but the accepted one."""
    return "" if quote.version == quote.accepted_version else NOT_ORDERED


def _compiled(data: str, standards: list[Any], template: str, at: datetime) -> bytes:
    compiler = typst.Compiler(
        input=str(PRINT / template),
        root=str(PRINT),
        font_paths=fonts(),
        ignore_system_fonts=True,
        sys_inputs={"data": data},
    )
    made = compiler.compile(format="pdf", pdf_standards=standards, timestamp=at)
    if not isinstance(made, bytes):
        raise TypeError("the typesetter gave no single document")
    return made
