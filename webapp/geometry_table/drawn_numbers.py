"""The drawn numbers of a published revision: they never change, so they may be kept for ever."""

from __future__ import annotations

import csv
import io
from typing import Any

from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.schema.frames import DIMENSIONS
from webapp.geometry_table.geometry_table import DRAWN, drawn_numbers

UNITS = {each.key: "degrees" if each.unit == "°" else each.unit for each in DIMENSIONS}


def drawn_data(catalogue: Catalogue) -> dict[str, Any]:
    """Every size's drawn numbers, lengths [mm], angles [degrees]."""
    revision = catalogue.revision
    drawn_with = revision.data.drawn_with.model_dump(mode="json")
    return {
        "model": catalogue.model.slug,
        "revision": revision.number,
        "published_on": revision.published_on.isoformat() if revision.published_on else None,
        "units": UNITS,
        "drawn_with": drawn_with,
        "sizes": [
            {
                "size": size.slug,
                "name": size.name,
                **drawn_numbers(size.data),
                "drawn_with": size.data.drawn_with.model_dump(mode="json")
                if size.data.drawn_with
                else drawn_with,
            }
            for size in catalogue.sizes
        ],
    }


def drawn_csv(catalogue: Catalogue) -> str:
    """The same numbers as CSV (RFC 4180), one line a size."""
    text = io.StringIO()
    writer = csv.writer(text)
    units = {"mm": "mm", "degrees": "deg"}
    head = [f"{name}_{units[UNITS[name]]}" for name in DRAWN]
    writer.writerow(["model", "revision", "size", "name", *head])
    for size in catalogue.sizes:
        numbers = drawn_numbers(size.data)
        writer.writerow(
            [
                catalogue.model.slug,
                catalogue.revision.number,
                size.slug,
                size.name,
                *(f"{numbers[name]:g}" for name in DRAWN),
            ]
        )
    return text.getvalue()
