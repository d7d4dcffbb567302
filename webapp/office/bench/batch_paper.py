"""The report of a batch on paper, for whoever made the frames."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime

from webapp.catalogue.schema.shop import ShopSettings
from webapp.common.text.dates import day_in_words
from webapp.common.text.language import tr
from webapp.common.timestamps import day_of
from webapp.office.bench.batch import Line
from webapp.quote.freezing.letterhead import letterhead_of
from webapp.quote.printing.pdf import language_of_sheets, paper_size, printed, printed_sentences


def batch_pdf(
    lines: Sequence[Line], *, batch: str, bikes: str, shop: ShopSettings, mark: str, at: datetime
) -> bytes:
    """The report as PDF.

    Parameters
    ----------
    lines : sequence of Line
        One a dimension.
    batch : str
    bikes : str
        Which models were measured.
    shop : ShopSettings
        For the head of the paper, and its size.
    mark : str
        The shop's mark as SVG.
    at : datetime
        The moment it is made.
    """
    data = {
        "sentences": printed_sentences(),
        "language": language_of_sheets(),
        "paper": paper_size(shop.paper),
        "number": batch,
        "bikes": bikes,
        "head": letterhead_of(shop).model_dump(),
        "firm_mark": mark,
        "on": day_in_words(day_of(at)),
        "lines": [
            asdict(line)
            | {
                "count": str(line.count),
                "worst": [tr("{serial} {off}", serial=s, off=off) for s, off in line.worst],
            }
            for line in lines
        ],
    }
    return printed(data, "batch.typ", at=at)
