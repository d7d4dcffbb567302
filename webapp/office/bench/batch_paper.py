"""The report of a batch on paper, for whoever made the frames."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime

from webapp.common.text.dates import day_in_words
from webapp.common.text.language import tr
from webapp.common.timestamps import day_of
from webapp.office.bench.batch import Line
from webapp.quote.printing.pdf import language_of_sheets, paper_size, printed, printed_sentences


def batch_pdf(lines: Sequence[Line], *, batch: str, bikes: str, firm: str, at: datetime) -> bytes:
    """The report as PDF.

    Parameters
    ----------
    lines : sequence of Line
        One a dimension.
    batch : str
    bikes : str
        Which models were measured.
    firm : str
        The shop's name.
    at : datetime
        The moment it is made.
    """
    data = {
        "sentences": printed_sentences(),
        "language": language_of_sheets(),
        "paper": paper_size("A4"),
        "number": batch,
        "bikes": bikes,
        "firm": firm,
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
